/**
 * How far a result may be off when each reading may be off by a little: JCGM 100:2008 (GUM), 5.1.2, numerically as in note 2 to its
 * 5.1.3: each reading alone is moved up and down by what it may be off, and the square root of the sum of squares is the answer. Of the
 * two moves the larger counts (the GUM takes their mean), so that a result that runs away on one side is not believed. Readings
 * count as independent of one another.
 */

/** A reading, or a result, with what it may be off by, both in the same unit. */
export interface Uncertain {
  readonly value: number;
  readonly off: number;
}

export const exactly = (value: number): Uncertain => ({ value, off: 0 });

/** `of` at the readings, and what it may be off by; as likely to hold as the readings' own figures are. */
export function propagate(of: (...values: number[]) => number, ...readings: readonly Uncertain[]): Uncertain {
  const values = readings.map(({ value }) => value);
  const result = of(...values);
  const moves = readings.map(({ value, off }, i) =>
    Math.max(...[value + off, value - off].map((moved) => Math.abs(of(...values.with(i, moved)) - result))),
  );
  return { value: result, off: Math.hypot(...moves) };
}

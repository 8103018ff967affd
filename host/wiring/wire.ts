/** Copper wire: resistance, voltage drop along a run and back, what it bears, and the smallest that does. Lengths in m, areas in mm². */

/** International annealed copper standard at 20 °C, Ω·m (IEC 60028). Stranded and warm wire has up to 15 % and 20 % more. */
const COPPER_OHM_M = 1.7241e-8;

export interface WireSize {
  readonly mm2: number;
  /** Current for long in an installation at 40 °C. */
  readonly bears_a: number;
}

/**
 * Cross-sections from 0.5 mm² on are of IEC 60228; the smaller ones are of the trade (common practice). Currents: IEC 60204-1,
 * table 6, PVC in conduit (B1), from memory; up to 0.5 mm² its row for electronics, of 0.2 mm² where it has none between;
 * 0.14 mm² is common practice.
 */
export const WIRES: readonly WireSize[] = [
  { mm2: 0.14, bears_a: 2 },
  { mm2: 0.25, bears_a: 4.3 },
  { mm2: 0.34, bears_a: 4.3 },
  { mm2: 0.5, bears_a: 7.5 },
  { mm2: 0.75, bears_a: 8.6 },
  { mm2: 1, bears_a: 10.3 },
  { mm2: 1.5, bears_a: 13.5 },
  { mm2: 2.5, bears_a: 18.3 },
  { mm2: 4, bears_a: 24 },
  { mm2: 6, bears_a: 31 },
];

/** Of one conductor, Ω. */
export const resistance_ohm = (length_m: number, mm2: number): number => (COPPER_OHM_M * length_m) / (mm2 * 1e-6);

/** Lost on the way there and back, V. */
export const drop_v = (current_a: number, length_m: number, mm2: number): number =>
  2 * current_a * resistance_ohm(length_m, mm2);

/**
 * The smallest wire that bears a current for long and loses no more than `most_v` on its way there and back; null: none here.
 * @param most_v Infinity: whatever it loses.
 */
export const wireFor = (
  { bears_a, drawn_a }: { readonly bears_a: number; readonly drawn_a: number },
  length_m: number,
  most_v: number,
): WireSize | null =>
  WIRES.find((wire) => wire.bears_a >= bears_a && drop_v(drawn_a, length_m, wire.mm2) <= most_v) ?? null;

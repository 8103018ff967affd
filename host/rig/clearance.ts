/**
 * What a platform's parts measure besides their joints, for collisions and drawings, mm. A figure that the file leaves out is
 * usual, not measured, and told so.
 */

export interface Clearance {
  /** A servo's body: along the crank at angle 0, across the base plate, along the shaft. */
  readonly servo_body_mm: readonly [number, number, number];
  /** Horn, along the shaft. */
  readonly horn_thick_mm: number;
  /** Rod, rod end included; an actuator's body. */
  readonly rod_thick_mm: number;
  /** Base plate's face beneath the cranks' axes. */
  readonly axes_above_base_mm: number;
  /** Moving plate's face beneath the rod ends' centres; negative: the plate is above them. */
  readonly plate_below_studs_mm: number;
  /** What must stay free between two bodies. */
  readonly gap_mm: number;
  /** Keys whose value is assumed. */
  readonly assumed: readonly string[];
}

/** What a file gives of it. */
export type GivenClearance = Partial<Omit<Clearance, 'assumed'>>;

const USUAL = {
  servo_body_mm: [20, 40, 38],
  horn_thick_mm: 4,
  rod_thick_mm: 6,
  axes_above_base_mm: 20,
  plate_below_studs_mm: 8,
  gap_mm: 2,
} as const satisfies Omit<Clearance, 'assumed'>;

/** What is given, and for the rest usual figures of standard servos of 40 x 20 x 38 mm that stand on their short side, with ball-ended rods (common practice; ours). */
export function usualClearance(given: GivenClearance = {}): Clearance {
  const assumed = Object.keys(USUAL).filter((key) => given[key as keyof GivenClearance] === undefined);
  return { ...USUAL, ...given, assumed };
}

/** The keys that are there: a schema's output holds those that are not as undefined. */
export const givenClearance = (file: {
  readonly [K in keyof GivenClearance]?: GivenClearance[K] | undefined;
}): GivenClearance => Object.fromEntries(Object.entries(file).filter(([, value]) => value !== undefined));

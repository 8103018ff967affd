/** How far what is delivered may be from what was asked. */
export interface Tolerance {
  readonly mm: number;
  readonly deg: number;
}

/** Where nobody asks for another (ours: what an audience does not see). */
export const TOLERANCE: Tolerance = { mm: 0.5, deg: 0.5 };

/** What a part of which only the mass is known is taken to look like. */

/** Density of an assumed part, kg/m³: printed shells, plates and motors with the air between them (ours; water has 1000). */
export const ASSUMED_KG_M3 = 300;

/** Radius of a solid ball of that density, mm. */
export const ballRadius_mm = (mass_kg: number): number =>
  1000 * Math.cbrt((3 * mass_kg) / (4 * Math.PI * ASSUMED_KG_M3));

/**
 * Where a crank's servo stands on the base plate: the body evenly about its shaft, inward of the crank, behind the rod and the horn.
 * One place says it for collisions and drawings. Base frame, mm, seen from +z.
 */
import type { Clearance } from './clearance.ts';
import type { Leg } from './rig.ts';

type Point = readonly [x: number, y: number];

/** Of the joint's distance from the middle: nearer than this the shaft points past the middle only by rounding. */
const EVEN = 1e-9;

/** Which way along the shaft (-uy, ux) of a crank along (ux, uy) at (x, y) lies the middle of the base: 1, or -1 against it. */
export const inwardAlongShaft = (x: number, y: number, ux: number, uy: number): 1 | -1 =>
  y * ux - x * uy > EVEN * (Math.abs(x) + Math.abs(y)) ? -1 : 1;

/** From the plane of the rods' middles back to the body's face: half a rod, then the horn. */
export const faceBehindRod_mm = ({ rod_thick_mm, horn_thick_mm }: Clearance): number =>
  rod_thick_mm / 2 + horn_thick_mm;

/** Corners of a body's rectangle in the base plate, around it: two at its face, two at its back. */
export function bodyCorners(
  { base_mm: [x, y], azimuth_rad }: Leg,
  clearance: Clearance,
): readonly [Point, Point, Point, Point] {
  const [ux, uy] = [Math.cos(azimuth_rad), Math.sin(azimuth_rad)];
  const [long, , deep] = clearance.servo_body_mm;
  const inward = inwardAlongShaft(x, y, ux, uy);
  const face = faceBehindRod_mm(clearance) * inward;
  const back = face + deep * inward;
  const at = (along: number, shaft: number): Point => [x + along * ux - shaft * uy, y + along * uy + shaft * ux];
  return [at(-long / 2, face), at(long / 2, face), at(long / 2, back), at(-long / 2, back)];
}

/** How far a body reaches below the base plate's face, mm; 0 or less: it stands on it, or over it. */
export const belowFace_mm = ({ servo_body_mm: [, height], axes_above_base_mm }: Clearance): number =>
  height / 2 - axes_above_base_mm;

/** The outline of a body as an eye sees it: the hull of its corners or, of an ellipsoid, the edge that its rays touch. */
import { type Frame, inWorld } from '../../../report/draw/frames.ts';
import { type Point, hull } from '../../../report/draw/silhouette.ts';
import type { Vec3 } from '../../../rig/rig.ts';
import { add, cross, mulVecT, scale, sub } from '../../../rig/rotation.ts';
import type { Outline } from './bodies.ts';

const EDGE = 48;

/**
 * Where rays from the eye touch an ellipsoid, mm, in its carrier's frame; none from inside it. In axes in which it is the unit ball
 * they touch on the circle p·eye = 1 (the polar plane of the eye).
 */
export function touched(eye_mm: Vec3, at_mm: Vec3, [a, b, c]: Vec3): Vec3[] {
  const away = sub(eye_mm, at_mm);
  const eye: Vec3 = [away[0] / a, away[1] / b, away[2] / c];
  const far = Math.hypot(...eye);
  if (!(far > 1)) return [];
  const middle = scale(eye, 1 / far ** 2);
  const radius = Math.sqrt(1 - 1 / far ** 2);
  const aside: Vec3 = Math.abs(eye[2]) < 0.9 * far ? [0, 0, 1] : [1, 0, 0];
  const across = cross(eye, aside);
  const u = scale(across, radius / Math.hypot(...across));
  const v = scale(cross(eye, u), 1 / far);
  return Array.from({ length: EDGE }, (_, i) => {
    const angle = (2 * Math.PI * i) / EDGE;
    const p = add(middle, add(scale(u, Math.cos(angle)), scale(v, Math.sin(angle))));
    return add(at_mm, [p[0] * a, p[1] * b, p[2] * c]);
  });
}

/**
 * The outline on the picture, px, counter-clockwise with y up.
 * @param seen a point of the world (mm) on the picture
 */
export function outlineSeen(
  outline: Outline,
  carrier: Frame,
  eye_mm: Vec3,
  seen: (point: Vec3) => Point,
): readonly Point[] {
  const eye = mulVecT(carrier.turn, sub(eye_mm, carrier.origin_mm));
  const points = outline.kind === 'corners' ? outline.points_mm : touched(eye, outline.at_mm, outline.radii_mm);
  return hull(points.map((point) => seen(inWorld(carrier, point))));
}

/** A few points of a body that tell where it stands, in its carrier's frame, mm. */
export function marksOf(outline: Outline): readonly Vec3[] {
  if (outline.kind === 'corners') {
    const step = Math.max(1, Math.floor(outline.points_mm.length / 8));
    return outline.points_mm.filter((_, i) => i % step === 0);
  }
  const [x, y, z] = outline.at_mm;
  const [a, b, c] = outline.radii_mm;
  return [outline.at_mm, [x + a, y, z], [x, y + b, z], [x, y, z + c]];
}

/** The furthest that one of these points is on the picture from where another frame has it, px. */
export function apart(marks: readonly Vec3[], one: Frame, other: Frame, seen: (point: Vec3) => Point): number {
  return marks.reduce((most, mark) => {
    const [ax, ay] = seen(inWorld(one, mark));
    const [bx, by] = seen(inWorld(other, mark));
    return Math.max(most, Math.hypot(ax - bx, ay - by));
  }, 0);
}

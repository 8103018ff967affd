/** Outlines of plain bodies seen from the side: world x to the right, world z up, y away from the eye and dropped. */
import type { Shape, Vec3 } from '../../rig/rig.ts';
import { cross, dot, scale, add } from '../../rig/rotation.ts';
import { inWorld, type Frame } from './frames.ts';

/** World x and z in mm. */
export type Point = readonly [x_mm: number, z_mm: number];

export type Silhouette =
  | { readonly kind: 'outline'; readonly points: readonly Point[] }
  | {
      readonly kind: 'ellipse';
      readonly centre: Point;
      readonly radii_mm: Point;
      readonly turn_rad: number;
    };

export const fromSide = ([x, , z]: Vec3): Point => [x, z];

/** Corners of the convex hull, counter-clockwise (Andrew's monotone chain); two corners when all lie on a line. */
export function hull(points: readonly Point[]): readonly Point[] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const chain = (from: readonly Point[]): Point[] => {
    const corners: Point[] = [];
    for (const p of from) {
      for (let o = corners.at(-2), a = corners.at(-1); o && a; o = corners.at(-2), a = corners.at(-1)) {
        // Exactly 0: any more would cut the corner off an edge that is upright but for rounding.
        if ((a[0] - o[0]) * (p[1] - o[1]) - (a[1] - o[1]) * (p[0] - o[0]) > 0) break;
        corners.pop();
      }
      corners.push(p);
    }
    return corners.slice(0, -1);
  };
  return [...chain(sorted), ...chain(sorted.reverse())];
}

/**
 * An ellipsoid's shadow is an ellipse: with A = turn·diag(radii) and P dropping y, the one of the matrix P·A·Aᵀ·Pᵀ,
 * whose eigenvalues are the squared semi-axes.
 */
function ellipsoid({ turn }: Frame, centre: Vec3, [a, b, c]: Vec3): Silhouette {
  const along_x: Vec3 = [turn[0] * a, turn[1] * b, turn[2] * c];
  const along_z: Vec3 = [turn[6] * a, turn[7] * b, turn[8] * c];
  const [xx, xz, zz] = [dot(along_x, along_x), dot(along_x, along_z), dot(along_z, along_z)];
  const [mean, half] = [(xx + zz) / 2, Math.hypot((xx - zz) / 2, xz)];
  return {
    kind: 'ellipse',
    centre: fromSide(centre),
    radii_mm: [Math.sqrt(mean + half), Math.sqrt(Math.max(0, mean - half))],
    turn_rad: Math.atan2(2 * xz, xx - zz) / 2,
  };
}

const SIGNS = [-1, 1] as const;

const boxCorners = ([a, b, c]: Vec3): readonly Vec3[] =>
  SIGNS.flatMap((i) => SIGNS.flatMap((j) => SIGNS.map((k): Vec3 => [(i * a) / 2, (j * b) / 2, (k * c) / 2])));

const RIM = 48;

function cylinderRims(radius_mm: number, length_mm: number, along: Vec3): readonly Vec3[] {
  const axis = scale(along, 1 / (Math.hypot(...along) || 1));
  const aside: Vec3 = Math.abs(axis[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0];
  const u = scale(cross(axis, aside), radius_mm / (Math.hypot(...cross(axis, aside)) || 1));
  const v = cross(axis, u);
  return Array.from({ length: RIM }, (_, i) => (2 * Math.PI * i) / RIM).flatMap((angle) =>
    SIGNS.map((end) =>
      add(scale(axis, (end * length_mm) / 2), add(scale(u, Math.cos(angle)), scale(v, Math.sin(angle)))),
    ),
  );
}

/** The outline of a body whose centre lies at `at_mm` in its carrier's frame, axes parallel to the carrier's. */
export function silhouette(shape: Shape, carrier: Frame, at_mm: Vec3): Silhouette {
  const outline = (points: readonly Vec3[]): Silhouette => ({
    kind: 'outline',
    points: hull(points.map((point) => fromSide(inWorld(carrier, add(at_mm, point))))),
  });
  switch (shape.kind) {
    case 'ellipsoid':
    case 'ellipsoid_shell':
      return ellipsoid(carrier, inWorld(carrier, at_mm), shape.radii_mm);
    case 'box':
      return outline(boxCorners(shape.size_mm));
    case 'mesh':
      return outline(boxCorners(shape.size_mm).map((corner) => add(shape.middle_mm, corner)));
    case 'cylinder':
      return outline(cylinderRims(shape.radius_mm, shape.length_mm, shape.along));
  }
}

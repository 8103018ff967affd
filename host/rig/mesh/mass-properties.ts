/**
 * Volume, centre and inertia of a closed triangle mesh of even density: exact integrals over the polyhedron (B. Mirtich, Fast and
 * Accurate Computation of Polyhedral Mass Properties, 1996; D. Eberly, Polyhedral Mass Properties (Revisited)), here as the sum
 * over the signed tetrahedra between each triangle and one point. Exact but for rounding: about 1e-12 of the size (tests).
 */
import type { Vec3 } from '../rig.ts';
import type { Mat3 } from '../rotation.ts';
import type { MeshProblem, Triangles } from './stl.ts';

export interface MassProperties {
  readonly volume_mm3: number;
  /** Of the volume, in the mesh's frame. */
  readonly centre_mm: Vec3;
  /** About the centre, along the mesh's axes, for 1 kg in all: row-major, symmetric, mm². */
  readonly inertia_mm2: Mat3;
  /** The box around it, along the mesh's axes. */
  readonly middle_mm: Vec3;
  readonly size_mm: Vec3;
  /** All triangles are wound inward: the figures are right all the same. */
  readonly insideOut: boolean;
}

/** Less of its box than this is a sheet, not a body (ours). */
const SHEET = 1e-9;

/** The figures of a mesh, or in words why it has none: it is open, torn, turned partly inside out, or flat. */
export function massProperties(triangles: Triangles): MassProperties | MeshProblem {
  const open = openWords(triangles);
  if (open !== null) return { problem: open };
  const { middle, size } = boxOf(triangles);
  const sums = integrals(triangles, middle);
  // Wound inwards throughout, all integrals have the other sign, and their quotients are right.
  const volume = sums.one;
  if (!(Math.abs(volume) > SHEET * Math.hypot(...size) ** 3))
    return { problem: 'this mesh encloses no volume: it is flat' };
  const mean = sums.first.map((value) => value / volume) as unknown as Vec3;
  const [xx, yy, zz, xy, yz, zx] = PAIRS.map(
    ([i, j], k) => sums.second[k]! / volume - mean[i] * mean[j],
  ) as unknown as Six;
  return {
    volume_mm3: Math.abs(volume),
    centre_mm: [mean[0] + middle[0], mean[1] + middle[1], mean[2] + middle[2]],
    inertia_mm2: [yy + zz, -xy, -zx, -xy, zz + xx, -yz, -zx, -yz, xx + yy],
    middle_mm: middle,
    size_mm: size,
    insideOut: volume < 0,
  };
}

type Six = readonly [number, number, number, number, number, number];
type Index = 0 | 1 | 2;
const PAIRS: readonly (readonly [Index, Index])[] = [
  [0, 0],
  [1, 1],
  [2, 2],
  [0, 1],
  [1, 2],
  [2, 0],
];

/**
 * Integrals of 1, x_i and x_i·x_j. Over a tetrahedron of corners 0, a, b, c, with det = a·(b×c) and s = a + b + c: det/6, det/24·s_i,
 * det/120·(s_i·s_j + a_i·a_j + b_i·b_j + c_i·c_j).
 */
function integrals(
  triangles: Triangles,
  middle: Vec3,
): { readonly one: number; readonly first: readonly number[]; readonly second: readonly number[] } {
  let one = 0;
  const first = [0, 0, 0];
  const second = [0, 0, 0, 0, 0, 0];
  for (let at = 0; at < triangles.length; at += 9) {
    const [a, b, c] = [0, 3, 6].map((k) => cornerAt(triangles, at + k, middle)) as unknown as readonly [
      Vec3,
      Vec3,
      Vec3,
    ];
    const det =
      a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
    const s = [a[0] + b[0] + c[0], a[1] + b[1] + c[1], a[2] + b[2] + c[2]] as const;
    one += det / 6;
    for (const i of [0, 1, 2] as const) first[i]! += (det / 24) * s[i];
    PAIRS.forEach(([i, j], k) => {
      second[k]! += (det / 120) * (s[i] * s[j] + a[i] * a[j] + b[i] * b[j] + c[i] * c[j]);
    });
  }
  return { one, first, second };
}

const cornerAt = (triangles: Triangles, at: number, from: Vec3): Vec3 => [
  triangles[at]! - from[0],
  triangles[at + 1]! - from[1],
  triangles[at + 2]! - from[2],
];

/** Integrals about the middle of its box lose no digits when a mesh stands far from zero. */
function boxOf(triangles: Triangles): { readonly middle: Vec3; readonly size: Vec3 } {
  const lo = [Infinity, Infinity, Infinity];
  const hi = [-Infinity, -Infinity, -Infinity];
  triangles.forEach((value, i) => {
    lo[i % 3] = Math.min(lo[i % 3]!, value);
    hi[i % 3] = Math.max(hi[i % 3]!, value);
  });
  const each = (of: (lo: number, hi: number) => number): Vec3 => lo.map((low, i) => of(low, hi[i]!)) as unknown as Vec3;
  return { middle: each((low, high) => (low + high) / 2), size: each((low, high) => high - low) };
}

/**
 * Why the surface is not closed, in words; null: it is. Every edge must be there once each way: an edge without its other way is a
 * hole, one that comes twice the same way is a fold or a triangle turned over. Corners are one where all their digits are the same.
 */
function openWords(triangles: Triangles): string | null {
  const numbers = cornerNumbers(triangles);
  const count = numbers.length;
  const edges = new Set<number>();
  let twice = 0;
  for (let at = 0; at < count; at += 3)
    for (let k = 0; k < 3; k++) {
      const [from, to] = [numbers[at + k]!, numbers[at + ((k + 1) % 3)]!];
      // A triangle with two corners in one is no area and no hole; its other two edges answer each other.
      if (from === to) continue;
      const edge = from * count + to;
      if (edges.has(edge)) twice++;
      edges.add(edge);
    }
  let bare = 0;
  for (const edge of edges) if (!edges.has((edge % count) * count + Math.floor(edge / count))) bare++;
  if (bare === 0 && twice === 0) return null;
  return `this mesh is not closed: ${String(bare)} edges have no neighbour, ${String(twice)} come twice the same way. Repair it, and export it again`;
}

/** A number for each corner, the same where they meet. */
function cornerNumbers(triangles: Triangles): number[] {
  const known = new Map<string, number>();
  return Array.from({ length: triangles.length / 3 }, (_, i) => {
    // Adding 0 makes one of 0 and -0.
    const key = `${String(triangles[3 * i]! + 0)},${String(triangles[3 * i + 1]! + 0)},${String(triangles[3 * i + 2]! + 0)}`;
    const number = known.get(key) ?? known.size;
    known.set(key, number);
    return number;
  });
}

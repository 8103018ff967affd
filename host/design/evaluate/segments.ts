/** Distances of segments, f64, without allocation: Ericson, Real-Time Collision Detection (2005), 5.1.2 and 5.1.9. */

/** Segments p–q at `a` in one array and at `b` in another, 6 numbers each. */
export function segmentDistance(A: Float64Array, a: number, B: Float64Array, b: number): number {
  const ux = A[a + 3]! - A[a]!;
  const uy = A[a + 4]! - A[a + 1]!;
  const uz = A[a + 5]! - A[a + 2]!;
  const vx = B[b + 3]! - B[b]!;
  const vy = B[b + 4]! - B[b + 1]!;
  const vz = B[b + 5]! - B[b + 2]!;
  const wx = A[a]! - B[b]!;
  const wy = A[a + 1]! - B[b + 1]!;
  const wz = A[a + 2]! - B[b + 2]!;
  const uu = ux * ux + uy * uy + uz * uz;
  const vv = vx * vx + vy * vy + vz * vz;
  const uv = ux * vx + uy * vy + uz * vz;
  const uw = ux * wx + uy * wy + uz * wz;
  const vw = vx * wx + vy * wy + vz * wz;
  // How far along each, 0 to 1: where the lines come nearest, kept within the first, then within the second.
  const cross = uu * vv - uv * uv;
  const first = cross > PARALLEL * uu * vv ? clamp((uv * vw - vv * uw) / cross) : 0;
  const t = vv > 0 ? clamp((uv * first + vw) / vv) : 0;
  const s = uu > 0 ? clamp((uv * t - uw) / uu) : 0;
  const x = wx + s * ux - t * vx;
  const y = wy + s * uy - t * vy;
  const z = wz + s * uz - t * vz;
  return Math.sqrt(x * x + y * y + z * z);
}

/** Square of the distance of the segment at `a` from a point. */
export function squareTo(A: Float64Array, a: number, x: number, y: number, z: number): number {
  const ux = A[a + 3]! - A[a]!;
  const uy = A[a + 4]! - A[a + 1]!;
  const uz = A[a + 5]! - A[a + 2]!;
  const wx = x - A[a]!;
  const wy = y - A[a + 1]!;
  const wz = z - A[a + 2]!;
  const uu = ux * ux + uy * uy + uz * uz;
  const s = uu > 0 ? clamp((ux * wx + uy * wy + uz * wz) / uu) : 0;
  const dx = wx - s * ux;
  const dy = wy - s * uy;
  const dz = wz - s * uz;
  return dx * dx + dy * dy + dz * dz;
}

/** sin² of the angle between two lines below which they count as parallel. */
const PARALLEL = 1e-14;

const clamp = (x: number): number => (x > 0 ? (x < 1 ? x : 1) : 0);

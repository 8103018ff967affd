/**
 * Room about upright boxes (a servo's body): to a segment, to another box and to a disc. f64, without allocation, in one unit of length.
 * A box takes BOX numbers: its middle x, y, z, the cosine and sine of its long side's azimuth, and half of its length, of its depth
 * (square to that in x, y) and of its height (z). A segment takes 6, a disc 7: middle, unit normal, radius. Where two bodies overlap
 * the answer is below 0: by how much one must be moved until they only touch.
 */

/** Numbers in a box. */
export const BOX = 8;

/** A segment's start and way in a box's frame; written over by each call. */
const from = new Float64Array(3);
const way = new Float64Array(3);
/** Half sides of the box in hand. */
const half = new Float64Array(3);
const near = new Float64Array(3);
const on = new Float64Array(3);

/**
 * Segment p–q at `s`, box at `b`. The square of the distance is convex along the segment, and its slope is straight between the places
 * where the segment passes a face's plane: the place of no slope is found between the two nearest of those. Exact.
 */
export function segmentToBox(S: Float64Array, s: number, B: Float64Array, b: number): number {
  intoBox(S, s, B, b);
  let lo = 0;
  let hi = 1;
  let below = slopeAt(0);
  let above = slopeAt(1);
  let t = 0;
  if (below < 0 && above <= 0) t = 1;
  else if (below < 0) {
    for (let k = 0; k < 6; k++) {
      const axis = k >> 1;
      const at = ((k & 1 ? half[axis]! : -half[axis]!) - from[axis]!) / way[axis]!;
      if (!(at > lo && at < hi)) continue;
      const slope = slopeAt(at);
      if (slope < 0) {
        lo = at;
        below = slope;
      } else {
        hi = at;
        above = slope;
      }
    }
    t = lo + ((hi - lo) * below) / (below - above);
  }
  const x = beyond(0, t);
  const y = beyond(1, t);
  const z = beyond(2, t);
  const square = x * x + y * y + z * z;
  return square > 0 ? Math.sqrt(square) : -segmentDepth();
}

function intoBox(S: Float64Array, s: number, B: Float64Array, b: number): void {
  const ux = B[b + 3]!;
  const uy = B[b + 4]!;
  const x = S[s]! - B[b]!;
  const y = S[s + 1]! - B[b + 1]!;
  const dx = S[s + 3]! - S[s]!;
  const dy = S[s + 4]! - S[s + 1]!;
  from[0] = x * ux + y * uy;
  from[1] = y * ux - x * uy;
  from[2] = S[s + 2]! - B[b + 2]!;
  way[0] = dx * ux + dy * uy;
  way[1] = dy * ux - dx * uy;
  way[2] = S[s + 5]! - S[s + 2]!;
  for (let k = 0; k < 3; k++) half[k] = B[b + 5 + k]!;
}

/** How far the place t of the segment is beyond the faces across an axis; below 0 on the far side, 0 between them. */
function beyond(axis: number, t: number): number {
  const at = from[axis]! + t * way[axis]!;
  const most = half[axis]!;
  return at > most ? at - most : at < -most ? at + most : 0;
}

const slopeAt = (t: number): number => way[0]! * beyond(0, t) + way[1]! * beyond(1, t) + way[2]! * beyond(2, t);

/** Separating axis theorem: across the faces, and across the segment and each edge. */
function segmentDepth(): number {
  let depth = Infinity;
  for (let k = 0; k < 3; k++) {
    const middle = Math.abs(from[k]! + way[k]! / 2);
    depth = Math.min(depth, half[k]! + Math.abs(way[k]!) / 2 - middle);
    const m = (k + 1) % 3;
    const n = (k + 2) % 3;
    const size = Math.sqrt(way[m]! * way[m]! + way[n]! * way[n]!);
    if (!(size > 0)) continue;
    const reach = half[m]! * Math.abs(way[n]!) + half[n]! * Math.abs(way[m]!);
    depth = Math.min(depth, (reach - Math.abs(from[m]! * way[n]! - from[n]! * way[m]!)) / size);
  }
  return Math.max(0, depth);
}

/** Two boxes: upright both, so room across the plan and room in height are told apart. */
export function boxToBox(A: Float64Array, a: number, B: Float64Array, b: number): number {
  const plan = planRoom(A, a, B, b);
  const height = Math.abs(A[a + 2]! - B[b + 2]!) - A[a + 7]! - B[b + 7]!;
  return plan > 0 && height > 0 ? Math.sqrt(plan * plan + height * height) : Math.max(plan, height);
}

/** Two rectangles: by the separating axis theorem across their sides; apart, from a corner of one to the other. */
function planRoom(A: Float64Array, a: number, B: Float64Array, b: number): number {
  const gap = Math.max(gapAcross(A, a, B, b), gapAcross(B, b, A, a));
  return gap > 0 ? Math.sqrt(Math.min(cornersTo(A, a, B, b), cornersTo(B, b, A, a))) : gap;
}

/** Gap between the shadows of two rectangles across the sides of the first. */
function gapAcross(A: Float64Array, a: number, B: Float64Array, b: number): number {
  const ux = A[a + 3]!;
  const uy = A[a + 4]!;
  const x = B[b]! - A[a]!;
  const y = B[b + 1]! - A[a + 1]!;
  const cosine = Math.abs(ux * B[b + 3]! + uy * B[b + 4]!);
  const sine = Math.abs(ux * B[b + 4]! - uy * B[b + 3]!);
  const long = B[b + 5]!;
  const deep = B[b + 6]!;
  return Math.max(
    Math.abs(x * ux + y * uy) - A[a + 5]! - long * cosine - deep * sine,
    Math.abs(y * ux - x * uy) - A[a + 6]! - long * sine - deep * cosine,
  );
}

/** Square of the distance of the nearest corner of B's rectangle to A's. */
function cornersTo(A: Float64Array, a: number, B: Float64Array, b: number): number {
  const ux = A[a + 3]!;
  const uy = A[a + 4]!;
  let least = Infinity;
  for (let corner = 0; corner < 4; corner++) {
    const long = corner & 1 ? B[b + 5]! : -B[b + 5]!;
    const deep = corner & 2 ? B[b + 6]! : -B[b + 6]!;
    const x = B[b]! + long * B[b + 3]! - deep * B[b + 4]! - A[a]!;
    const y = B[b + 1]! + long * B[b + 4]! + deep * B[b + 3]! - A[a + 1]!;
    const along = Math.max(0, Math.abs(x * ux + y * uy) - A[a + 5]!);
    const across = Math.max(0, Math.abs(y * ux - x * uy) - A[a + 6]!);
    least = Math.min(least, along * along + across * across);
  }
  return least;
}

/** Steps from one body to the other and back, at most. */
const STEPS = 24;
/** Of the distance: told near enough. */
const NEAR = 1e-9;

/**
 * Box to a disc whose near side is the one against its normal; below 0 where the box reaches through the disc's plane and its rim.
 * Each step goes to the nearest point of the other body (alternating projections: Cheney & Goldstein, Proceedings of the AMS 10, 1959)
 * and tells the gap across the line between them, which is never more than the distance: so it ends at the distance or below it.
 * @param enough as soon as the answer is known to be this or more, it may be told.
 */
export function boxToDisc(B: Float64Array, b: number, D: Float64Array, enough = Infinity): number {
  const nx = D[3]!;
  const ny = D[4]!;
  const nz = D[5]!;
  let room = gapTo(B, b, D, nx, ny, nz);
  towards(B, b, nx, ny, nz);
  for (let step = 0; step < STEPS && room < enough; step++) {
    intoDisc(D);
    const x = near[0]! - on[0]!;
    const y = near[1]! - on[1]!;
    const z = near[2]! - on[2]!;
    const size = Math.sqrt(x * x + y * y + z * z);
    // No nearer to each other: they meet, and the gap across the plane tells how deep.
    if (!(size > 0)) return room;
    const gap = gapTo(B, b, D, -x / size, -y / size, -z / size);
    if (gap > room) room = gap;
    if (size - room <= NEAR * size) return room;
    intoNear(B, b);
  }
  return room;
}

/** Gap between a box, and a disc further along a unit normal. */
function gapTo(B: Float64Array, b: number, D: Float64Array, x: number, y: number, z: number): number {
  const ux = B[b + 3]!;
  const uy = B[b + 4]!;
  const box = B[b + 5]! * Math.abs(x * ux + y * uy) + B[b + 6]! * Math.abs(y * ux - x * uy) + B[b + 7]! * Math.abs(z);
  const along = x * D[3]! + y * D[4]! + z * D[5]!;
  const disc = D[6]! * Math.sqrt(Math.max(0, 1 - along * along));
  return (D[0]! - B[b]!) * x + (D[1]! - B[b + 1]!) * y + (D[2]! - B[b + 2]!) * z - box - disc;
}

/** `near`: the box's corner furthest along a way. */
function towards(B: Float64Array, b: number, x: number, y: number, z: number): void {
  const ux = B[b + 3]!;
  const uy = B[b + 4]!;
  const long = x * ux + y * uy >= 0 ? B[b + 5]! : -B[b + 5]!;
  const deep = y * ux - x * uy >= 0 ? B[b + 6]! : -B[b + 6]!;
  near[0] = B[b]! + long * ux - deep * uy;
  near[1] = B[b + 1]! + long * uy + deep * ux;
  near[2] = B[b + 2]! + (z >= 0 ? B[b + 7]! : -B[b + 7]!);
}

/** `on`: the disc's point nearest to `near`. */
function intoDisc(D: Float64Array): void {
  let x = near[0]! - D[0]!;
  let y = near[1]! - D[1]!;
  let z = near[2]! - D[2]!;
  const off = x * D[3]! + y * D[4]! + z * D[5]!;
  x -= off * D[3]!;
  y -= off * D[4]!;
  z -= off * D[5]!;
  const size = Math.sqrt(x * x + y * y + z * z);
  const share = size > D[6]! ? D[6]! / size : 1;
  on[0] = D[0]! + share * x;
  on[1] = D[1]! + share * y;
  on[2] = D[2]! + share * z;
}

/** `near`: the box's point nearest to `on`. */
function intoNear(B: Float64Array, b: number): void {
  const ux = B[b + 3]!;
  const uy = B[b + 4]!;
  const x = on[0]! - B[b]!;
  const y = on[1]! - B[b + 1]!;
  const long = within(x * ux + y * uy, B[b + 5]!);
  const deep = within(y * ux - x * uy, B[b + 6]!);
  near[0] = B[b]! + long * ux - deep * uy;
  near[1] = B[b + 1]! + long * uy + deep * ux;
  near[2] = B[b + 2]! + within(on[2]! - B[b + 2]!, B[b + 7]!);
}

const within = (x: number, most: number): number => (x > most ? most : x < -most ? -most : x);

/**
 * Where to turn so that the character looks at a point in the room: the axes that carry the head take their share of the way, the
 * platform the rest, eyes lead what the head leaves. That the face goes first and the head follows is common practice in animation.
 * Lengths mm, angles rad, world x forward, y left, z up.
 */
import { type Frame, framesOf } from '../../../report/draw/frames.ts';
import { whatStops } from '../../../physics/kinematics/inverse.ts';
import { HOME, type Joint, type Rig, type Vec3 } from '../../../rig/rig.ts';
import { add, cross, dot, mulVec, mulVecT, rpyMatrix, scale, sub } from '../../../rig/rotation.ts';
import { lanesOf } from '../../take/lanes.ts';

/** Of the whole way, 0 to 1: what eyes take, and of the head's what its carrying axes take. */
export interface Shares {
  readonly eyes: number;
  readonly neck: number;
}
/** Shares as they were kept; null: they are none. */
export function keptShares(kept: unknown): Shares | null {
  if (typeof kept !== 'object' || kept === null) return null;
  const { eyes, neck } = kept as Record<string, unknown>;
  const isShare = (share: unknown): share is number => typeof share === 'number' && share >= 0 && share <= 1;
  return isShare(eyes) && isShare(neck) ? { eyes, neck } : null;
}

export const USUAL_SHARES: Shares = { eyes: 0.3, neck: 0.4 };

const STEPS = 10;
const ROUNDS = 30;

const jointsOf = (rig: Rig): readonly Joint[] => rig.joints.filter(({ kind }) => kind !== 'leg');
const legsOf = (rig: Rig): number => (rig.platform ? 6 : 0);

function framesFor(rig: Rig, values: Float64Array): ReadonlyMap<string, Frame> {
  const legs = Array.from({ length: legsOf(rig) }, () => null);
  return framesOf(rig, [...legs, ...values.subarray(6)], HOME);
}

/** The frame whose x is where the head looks when its pose is level: its carrier's; without a platform, the last axis of the longest chain. */
function carrierName(rig: Rig): string {
  if (rig.platform) return rig.platform.on ?? 'ground';
  const depth = (name: string | null): number => {
    const joint = rig.joints.find((one) => one.name === name);
    return joint?.axis ? 1 + depth(joint.axis.on) : 0;
  };
  const names = rig.joints.filter(({ axis }) => axis).map(({ name }) => name);
  return names.reduce((best, name) => (depth(name) > depth(best) ? name : best), 'ground');
}

/** Where the head turns about in its carrier's axes, seen from the carrier's origin, mm. */
function pivotInCarrier({ platform, joints }: Rig, carrier: string, pose: ArrayLike<number>): Vec3 {
  if (!platform) return joints.find(({ name }) => name === carrier)?.axis?.at_mm ?? [0, 0, 0];
  const { mount, pivot_mm: p, home_z_mm } = platform;
  const seat = add(mount.at_mm, mulVec(rpyMatrix(mount.rpy_rad), [p[0], p[1], p[2] + home_z_mm]));
  return add(seat, [pose[0]!, pose[1]!, pose[2]!]);
}

/** A line of sight in the world. */
interface Sight {
  readonly from_mm: Vec3;
  readonly way: Vec3;
}

/** Where the head looks from, and which way. */
export function gaze(rig: Rig, values: Float64Array): Sight {
  const name = carrierName(rig);
  const frame = framesFor(rig, values).get(name) ?? framesFor(rig, values).get('ground')!;
  const from_mm = add(frame.origin_mm, mulVec(frame.turn, pivotInCarrier(rig, name, values)));
  const turn = rig.platform ? rpyMatrix([values[3]!, values[4]!, values[5]!]) : rpyMatrix([0, 0, 0]);
  return { from_mm, way: mulVec(frame.turn, mulVec(turn, [1, 0, 0])) };
}

/** How far the head's x axis looks past the point, rad. */
export function missOf(rig: Rig, values: Float64Array, point_mm: Vec3): number {
  const { from_mm, way } = gaze(rig, values);
  const wanted = sub(point_mm, from_mm);
  return Math.atan2(Math.hypot(...cross(way, wanted)), dot(way, wanted));
}

/** Axes that turn the head, outermost first, by their place among the joints but the legs. */
function chainOf(rig: Rig): number[] {
  const joints = jointsOf(rig);
  const chain: number[] = [];
  for (let name: string | null = carrierName(rig); name && name !== 'ground';) {
    const k = joints.findIndex((joint) => joint.name === name);
    if (k < 0) break;
    chain.unshift(k);
    name = joints[k]?.axis?.on ?? null;
  }
  return chain;
}

const clamp = (at: number, lo: number, hi: number): number => Math.min(hi, Math.max(lo, at));

/** An axis has no say over what is nearer to its own direction than this, as a sine (ours). */
const LEAST = 0.05;

/**
 * The turn about an axis that lays a line of sight on a point, seen along the axis, rad. The line keeps its distance from the axis as it turns,
 * so that one turn is enough. 0 where the axis has no say, or the point is nearer to it than the line.
 */
function turnAbout(axis: { readonly at_mm: Vec3; readonly along: Vec3 }, sight: Sight, point_mm: Vec3): number {
  const { along } = axis;
  const flat = (v: Vec3): Vec3 => sub(v, scale(along, dot(v, along)));
  const whole = sub(point_mm, axis.at_mm);
  const [way, to] = [flat(sight.way), flat(whole)];
  const [long, far_mm] = [Math.hypot(...way), Math.hypot(...to)];
  // Almost along the axis, a hair to either side would turn it from one end to the other.
  if (long < LEAST || far_mm < LEAST * Math.hypot(...whole)) return 0;
  const aside_mm = dot(along, cross(sub(sight.from_mm, axis.at_mm), way)) / long;
  if (!(Math.abs(aside_mm) < far_mm)) return 0;
  const between = Math.atan2(dot(along, cross(way, to)), dot(way, to));
  return wrapped(between + Math.asin(aside_mm / far_mm));
}

/** An angle in -pi to pi. */
const wrapped = (angle: number): number => Math.atan2(Math.sin(angle), Math.cos(angle));

/** The carrying axes turned to the point as far as their soft limits let them: each in turn, again and again (cyclic coordinate descent). */
function neckTurned(rig: Rig, values: Float64Array, point_mm: Vec3): void {
  const joints = jointsOf(rig);
  const chain = chainOf(rig);
  for (let round = 0; round < ROUNDS; round++)
    for (const k of chain) {
      const { axis, lo, hi } = joints[k]!;
      const carrier = framesFor(rig, values).get(axis!.on ?? 'ground')!;
      const along = mulVec(carrier.turn, axis!.along);
      const inRoom = {
        at_mm: add(carrier.origin_mm, mulVec(carrier.turn, axis!.at_mm)),
        along: scale(along, 1 / Math.hypot(...along)),
      };
      const turn = turnAbout(inRoom, gaze(rig, values), point_mm);
      values[6 + k] = clamp(values[6 + k]! + turn, lo, hi);
    }
}

/** The platform turned to the point, exactly; its roll and place stay. */
function headTurned(rig: Rig, values: Float64Array, point_mm: Vec3): void {
  if (!rig.platform) return;
  const name = carrierName(rig);
  const frame = framesFor(rig, values).get(name)!;
  const wanted = mulVecT(frame.turn, sub(point_mm, gaze(rig, values).from_mm));
  // R·x = (cos yaw·cos pitch, sin yaw·cos pitch, -sin pitch)
  values[4] = Math.atan2(-wanted[2], Math.hypot(wanted[0], wanted[1]));
  values[5] = Math.atan2(wanted[1], wanted[0]);
}

/** Head and neck on the point, with this share for the neck. */
function aimed(rig: Rig, values: Float64Array, point_mm: Vec3, neck: number): Float64Array {
  const out = values.slice();
  const joints = jointsOf(rig);
  for (const k of chainOf(rig)) out[6 + k] = joints[k]!.home;
  out[4] = out[5] = 0;
  neckTurned(rig, out, point_mm);
  // Without a platform they have all the way to go.
  if (rig.platform) for (const k of chainOf(rig)) out[6 + k] = joints[k]!.home + neck * (out[6 + k]! - joints[k]!.home);
  headTurned(rig, out, point_mm);
  return out;
}

const isReached = (rig: Rig, values: Float64Array): boolean =>
  rig.platform === null || whatStops(rig, values.subarray(0, 6)) === null;

/** With the wanted share if the platform reaches that; else with the nearest share at which it does. */
function headOn(rig: Rig, values: Float64Array, point_mm: Vec3, wanted: number): Float64Array {
  const first = aimed(rig, values, point_mm, wanted);
  if (isReached(rig, first)) return first;
  const shares = Array.from({ length: STEPS + 1 }, (_, k) => k / STEPS).sort(
    (a, b) => Math.abs(a - wanted) - Math.abs(b - wanted),
  );
  for (const share of shares) {
    const found = aimed(rig, values, point_mm, share);
    if (isReached(rig, found)) return found;
  }
  return first;
}

/** Joints of the eyes by their place among the joints but the legs: across (about z) or up and down (about y, down is positive). */
function eyeJoints(rig: Rig): readonly { readonly k: number; readonly isUpright: boolean }[] {
  const columns = lanesOf(rig).find(({ name }) => name === 'Eyes')?.columns ?? [];
  return jointsOf(rig).flatMap(({ name }, k) =>
    columns.includes(`${name}_deg`) ? [{ k, isUpright: /pitch|tilt|up|vert/i.test(name) }] : [],
  );
}

/** Who can share a look. */
export const carriersOf = (
  rig: Rig,
): { readonly hasEyes: boolean; readonly hasNeck: boolean; readonly hasPlatform: boolean } => ({
  hasEyes: eyeJoints(rig).length > 0,
  hasNeck: chainOf(rig).length > 0,
  hasPlatform: rig.platform !== null,
});

/** Of the whole way, 0 to 1; together 1. The platform takes what the others leave; without one the neck does. */
export function headShares(
  rig: Rig,
  shares: Shares,
): { readonly eyes: number; readonly neck: number; readonly platform: number } {
  const { hasEyes, hasNeck, hasPlatform } = carriersOf(rig);
  const eyes = hasEyes ? shares.eyes : 0;
  const neck = hasPlatform ? (hasNeck ? (1 - eyes) * shares.neck : 0) : 1 - eyes;
  return { eyes, neck, platform: hasPlatform ? 1 - eyes - neck : 0 };
}

/** A point nearer to straight ahead by a share of the way, as far from the head. */
function nearer(rig: Rig, values: Float64Array, point_mm: Vec3, share: number): Vec3 {
  const ahead = gaze(rig, aimed(rig, values, point_mm, 0).fill(0, 3, 6)).way;
  const { from_mm } = gaze(rig, values);
  const wanted = sub(point_mm, from_mm);
  const far = Math.hypot(...wanted);
  const way = add(scale(wanted, (1 - share) / far), scale(ahead, share));
  return add(from_mm, scale(way, far / (Math.hypot(...way) || 1)));
}

/**
 * What to ask for so that eyes and head look at the point; what has no part in it stays.
 * @param values pose (mm, rad), then the joints but the legs (rad), as asked now
 */
export function lookAt(rig: Rig, values: Float64Array, point_mm: Vec3, shares: Shares = USUAL_SHARES): Float64Array {
  const eyes = eyeJoints(rig);
  if (!(Math.hypot(...sub(point_mm, gaze(rig, values).from_mm)) > 1)) return values.slice();
  const left = eyes.length > 0 ? nearer(rig, values, point_mm, shares.eyes) : point_mm;
  const out = headOn(rig, values, left, shares.neck);
  const joints = jointsOf(rig);
  const { from_mm } = gaze(rig, out);
  const turn = framesFor(rig, out).get(carrierName(rig))?.turn ?? rpyMatrix([0, 0, 0]);
  const inHead = mulVecT(rpyMatrix([out[3]!, out[4]!, out[5]!]), mulVecT(turn, sub(point_mm, from_mm)));
  for (const { k, isUpright } of eyes) {
    const across = Math.atan2(inHead[1], inHead[0]);
    const down = Math.atan2(-inHead[2], Math.hypot(inHead[0], inHead[1]));
    out[6 + k] = clamp(isUpright ? down : across, joints[k]!.lo, joints[k]!.hi);
  }
  return out;
}

/** How fast the head comes after the face: it has gone 63 % of the way after so long, s. Common practice: eyes lead by a fifth of a second. */
const FOLLOW_S = 0.2;

/** One frame of the way there: eyes are there at once, the head follows. */
export function followed(rig: Rig, now: Float64Array, goal: Float64Array, dt_s: number): Float64Array {
  const eyes = eyeJoints(rig).map(({ k }) => 6 + k);
  const share = 1 - Math.exp(-dt_s / FOLLOW_S);
  return goal.map((value, i) =>
    eyes.includes(i) || Number.isNaN(now[i]) ? value : now[i]! + share * (value - now[i]!),
  );
}

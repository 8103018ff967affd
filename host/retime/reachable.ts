/** Whether every pose that a stream asks for can be reached, with or without something to spare, and every joint stays within its soft limits. */
import { isBeyond } from '../physics/dynamics/beyond.ts';
import { dotAt } from '../physics/dynamics/flat.ts';
import { LEG_FIGURES, geometryOf, rodInto } from '../physics/kinematics/geometry.ts';
import { whatStops, inverseInto, whatStopsLegs } from '../physics/kinematics/inverse.ts';
import { type Rig, POSE_KEYS, type Joint, toRad } from '../rig/rig.ts';
import { rpyInto } from '../rig/rotation.ts';
import type { StoredStream } from '../stream/stored.ts';

/** Something that stops a stream: how often, and where first. */
export interface Stopped {
  readonly joint: string;
  readonly cause: 'rod' | 'stroke' | 'limit' | 'rod_end';
  readonly at_s: number;
  looks: number;
}

/** What of a row of values stops the rig from being there; null: nothing. */
export function whatStopsRow(rig: Rig, values: ArrayLike<number>): Pick<Stopped, 'joint' | 'cause'> | null {
  if (rig.platform) {
    const stop = whatStops(rig, values);
    if (stop) return stop;
  }
  const legs = rig.platform ? 6 : 0;
  for (let i = legs, k = POSE_KEYS.length; i < rig.joints.length; i++, k++) {
    const joint = rig.joints[i]!;
    if (isBeyond(joint, values[k]!)) return { joint: joint.name, cause: 'limit' };
  }
  return null;
}

/** Every frame's time and, between two frames, one in every dt_s, in order. */
export function forEachLook(stream: StoredStream, dt_s: number, look: (t_s: number) => void): void {
  for (let f = 0; f < stream.count; f++) {
    look(stream.time(f));
    const next_s = f + 1 < stream.count ? stream.time(f + 1) : -Infinity;
    for (let t_s = stream.time(f) + dt_s; t_s < next_s; t_s += dt_s) look(t_s);
  }
}

/** Looks at every frame and once in every tick between; what stops it, most often first, and how many looks there were. */
export function whatStopsStream(
  rig: Rig,
  stream: StoredStream,
): { readonly stops: readonly Stopped[]; readonly looks: number } {
  const found = new Map<string, Stopped>();
  const values = new Float64Array(stream.size);
  const before = new Float64Array(stream.size);
  let looks = 0;
  let stop: Pick<Stopped, 'joint' | 'cause'> | null = null;
  const look = (t_s: number): void => {
    looks++;
    stream.evaluate(t_s, values);
    if (looks === 1 || values.some((value, k) => !Object.is(value, before[k]))) stop = whatStopsRow(rig, values);
    before.set(values);
    if (!stop) return;
    const key = `${stop.joint} ${stop.cause}`;
    const known = found.get(key) ?? { ...stop, at_s: t_s, looks: 0 };
    known.looks++;
    found.set(key, known);
  };
  forEachLook(stream, 1 / rig.motion.tick_hz, look);
  return { stops: [...found.values()].sort((a, b) => b.looks - a.looks), looks };
}

export type PoseRow = Float64Array;

/** Spared at each soft limit (deg or mm) and at a rod end. */
const LIMIT_SPARED = 0.05;
const ROD_END_SPARED_RAD = toRad(0.1);
/** Least sine of the angle between crank and rod: below a quarter the crank has four times as far to go (ours). */
const LEAST_SINE = 0.25;

/**
 * The same rig with narrower soft limits and stiffer rod ends: a pose that fits it fits the rig with something to spare, for rounding,
 * for what lies between two frames, and for legs near their dead centre, where a small motion of the plate is a long way for the crank.
 */
export function roomy(rig: Rig): Rig {
  const { platform } = rig;
  const narrower = (joint: Joint): Joint => {
    const spared = Math.min(joint.unit === 'deg' ? toRad(LIMIT_SPARED) : LIMIT_SPARED, (joint.hi - joint.lo) / 4);
    return { ...joint, lo: joint.lo + spared, hi: joint.hi - spared };
  };
  const rod_end_rad = platform?.rod_end_rad == null ? null : platform.rod_end_rad - ROD_END_SPARED_RAD;
  return {
    ...rig,
    joints: rig.joints.map((joint) => (joint.kind === 'leg' ? narrower(joint) : joint)),
    platform: platform && { ...platform, rod_end_rad },
  };
}

const legs = new Float64Array(6);
const turn = new Float64Array(9);
const rod = new Float64Array(3);

/** Whether a platform of a roomy rig stands at a pose (the first six of the row) with something to spare. */
export function fitsRow(rig: Rig, row: PoseRow): boolean {
  const { platform } = rig;
  if (!platform) return true;
  if (!inverseInto(platform, row, legs) || whatStopsLegs(rig, legs, row)) return false;
  if (platform.drive === 'linear') return true;
  const geometry = geometryOf(platform);
  const { flat } = geometry;
  rpyInto(row[3]!, row[4]!, row[5]!, turn);
  for (let i = 0, u = 6; i < 6; i++, u += LEG_FIGURES) {
    rodInto(platform, geometry, i, legs[i]!, row, turn, rod);
    const across = dotAt(rod, 0, flat, u + 6) * Math.cos(legs[i]!) - dotAt(rod, 0, flat, u) * Math.sin(legs[i]!);
    if (!(Math.abs(across) >= LEAST_SINE * platform.rod_mm)) return false;
  }
  return true;
}

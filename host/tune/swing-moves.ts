/** Moves that set a prop swinging most: those whose length suits its rhythm worst. */
import { type Phases, moveTime } from '../physics/servo/limits.ts';
import { type PoseAxis, poseAt, travelAlong } from '../physics/kinematics/travel.ts';
import { HOME, type Joint, POSE_KEYS, type Pose, type Rig, toDeg } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import type { Move } from './exercise.ts';

/** A move, how long it may take, and what it is called. */
export interface Look {
  readonly move: Move;
  readonly takes_s: number;
  readonly words: string;
}

/** A move from rest to rest: its top speed, and how long it speeds up, cruises and brakes, s. */
interface Profile {
  readonly top: number;
  readonly up_s: number;
  readonly cruise_s: number;
  readonly brake_s: number;
}

const BISECTIONS = 60;

/** Speeding up is v' = accel·(1 - v/gone), as physics/limits.ts has it: after up_s it has gone·up_s - (gone/accel)·v of its way. */
function profileOf(distance: number, { speed, accel, gone, brake }: Phases): Profile {
  const fades = Number.isFinite(gone);
  const upTo = (v: number): number => (fades ? (-gone / accel) * Math.log1p(-v / gone) : v / accel);
  const way = (v: number): number =>
    (fades ? gone * upTo(v) - (gone / accel) * v : (v * v) / (2 * accel)) + (v * v) / (2 * brake);
  // At the speed where it is gone it would speed up for ever.
  const most = Math.min(speed, gone * (1 - 1e-6));
  let [lo, top] = [0, most];
  for (let k = 0; k < BISECTIONS && way(most) > distance; k++) {
    const middle = (lo + top) / 2;
    if (way(middle) > distance) top = middle;
    else lo = middle;
  }
  return { top, up_s: upTo(top), cruise_s: Math.max(0, (distance - way(top)) / top), brake_s: top / brake };
}

/**
 * How far an undamped swing of that frequency goes on after a move from rest to rest, to either side, in units of the distance:
 * |∫a·exp(iωt)dt| / ω over the move's accelerations (e.g. S. Timoshenko, Vibration Problems in Engineering; from memory).
 */
export function swingAfter(distance: number, phases: Phases, hz: number): number {
  const { up_s, cruise_s, brake_s } = profileOf(distance, phases);
  const w = 2 * Math.PI * hz;
  const { accel, gone, brake } = phases;
  // Speeding up: accel·exp(-rate·t), whose integral is accel·(1 - exp(-rate·t + iωt)) / (rate - iω).
  const rate = Number.isFinite(gone) ? accel / gone : 0;
  const left = Math.exp(-rate * up_s);
  const [u, v] = [1 - left * Math.cos(w * up_s), -left * Math.sin(w * up_s)];
  const size = rate * rate + w * w;
  const [from_s, to_s] = [up_s + cruise_s, up_s + cruise_s + brake_s];
  const re = (accel * (rate * u - w * v)) / size - (brake * (Math.sin(w * to_s) - Math.sin(w * from_s))) / w;
  const im = (accel * (rate * v + w * u)) / size - (brake * (Math.cos(w * from_s) - Math.cos(w * to_s))) / w;
  return Math.hypot(re, im) / w;
}

const TRIED = 200;

/** The distance, up to the longest there is, after which it swings on most. */
export function worstDistance(longest: number, phases: Phases, hz: number): number {
  let [best, most] = [longest, -1];
  for (let k = 1; k <= TRIED; k++) {
    const distance = (longest * k) / TRIED;
    const swing = swingAfter(distance, phases, hz);
    if (swing > most) [best, most] = [distance, swing];
  }
  return best;
}

/** An axis from home toward its further end, and from that end back. */
function axisLooks(joint: Joint, k: number, hz: number): Look[] {
  const { lo, hi, home, speed, plus, minus, plus_gone, minus_gone, name } = joint;
  const far = hi - home >= home - lo ? hi : lo;
  const sign = Math.sign(far - home) || 1;
  const up: Phases = { speed, accel: plus, gone: plus_gone, brake: minus };
  const down: Phases = { speed, accel: minus, gone: minus_gone, brake: plus };
  const [out, back] = sign > 0 ? [up, down] : [down, up];
  const look = (from: number, to: number, takes_s: number): Look => ({
    move: { joint: k, from, to },
    takes_s,
    words: `${name} from ${short(toDeg(from))} to ${short(toDeg(to))} deg`,
  });
  const [there, here] = [worstDistance(Math.abs(far - home), out, hz), worstDistance(Math.abs(far - home), back, hz)];
  return [look(home, home + sign * there, moveTime(there, out)), look(far, far - sign * here, moveTime(here, back))];
}

/** Of the way to what stops it; so that a late turn of the plate is no trouble of its own. */
const SHARES = [0.4, 0.8];
const TURNS: readonly PoseAxis[] = [3, 4, 5];
/** For the platform's own limits, which depend on the pose, s. */
const LOOK_S = 1.5;

function platformLooks(rig: Rig): Look[] {
  return TURNS.flatMap((axis) => {
    const [minus, plus] = ([-1, 1] as const).map((sign) => sign * travelAlong(rig, HOME, axis, sign).by);
    const by = Math.abs(minus ?? 0) > Math.abs(plus ?? 0) ? (minus ?? 0) : (plus ?? 0);
    const along: Pose = HOME.map((_, k) => (k === axis ? 1 : 0)) as unknown as Pose;
    return SHARES.map((share): Look => {
      const to = poseAt(HOME, along, share * by);
      const name = (POSE_KEYS[axis] ?? '').replace('_deg', '');
      return {
        move: { joint: null, from: HOME, to },
        takes_s: LOOK_S,
        words: `${name} from home to ${short(toDeg(share * by))} deg`,
      };
    });
  });
}

/** Looks of the joints that move the weight. */
export function worstLooks(rig: Rig, shaped: readonly number[], hz: number): Look[] {
  const first = rig.joints.filter(({ kind }) => kind === 'leg').length;
  const axes = shaped.flatMap((i) => {
    const joint = rig.joints[i];
    return joint && joint.kind !== 'leg' ? axisLooks(joint, i - first, hz) : [];
  });
  return [...axes, ...(rig.platform ? platformLooks(rig) : [])];
}

/** Moves that set a prop swinging most: those whose length suits its rhythm worst. */
import { moveTime } from '../physics/limits.ts';
import { type PoseAxis, poseAt, travelAlong } from '../physics/travel.ts';
import { HOME, type Joint, POSE_KEYS, type Pose, type Rig, toDeg } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import type { Move } from './exercise.ts';

/** A move, how long it may take, and what it is called. */
export interface Look {
  readonly move: Move;
  readonly takes_s: number;
  readonly words: string;
}

/** Bounds of a move from rest to rest: top speed, and how hard it starts and stops; per s and per s². */
interface Bounds {
  readonly speed: number;
  readonly start: number;
  readonly stop: number;
}

/**
 * How far an undamped swing of that frequency goes on after a move from rest to rest, to either side, in units of the distance:
 * |∫a·exp(iωt)dt| / ω over the move's accelerations (e.g. S. Timoshenko, Vibration Problems in Engineering; from memory).
 */
export function swingAfter(distance: number, { speed, start, stop }: Bounds, hz: number): number {
  const both = 1 / start + 1 / stop;
  const top = Math.min(speed, Math.sqrt((2 * distance) / both));
  const takes_s = moveTime(distance, { speed, start, stop });
  const w = 2 * Math.PI * hz;
  let [re, im] = [0, 0];
  const push = (a: number, from_s: number, to_s: number): void => {
    re += (a * (Math.sin(w * to_s) - Math.sin(w * from_s))) / w;
    im += (a * (Math.cos(w * from_s) - Math.cos(w * to_s))) / w;
  };
  push(start, 0, top / start);
  push(-stop, takes_s - top / stop, takes_s);
  return Math.hypot(re, im) / w;
}

const TRIED = 200;

/** The distance, up to the longest there is, after which it swings on most. */
export function worstDistance(longest: number, bounds: Bounds, hz: number): number {
  let [best, most] = [longest, -1];
  for (let k = 1; k <= TRIED; k++) {
    const distance = (longest * k) / TRIED;
    const swing = swingAfter(distance, bounds, hz);
    if (swing > most) [best, most] = [distance, swing];
  }
  return best;
}

/** An axis from home toward its further end, and from that end back. */
function axisLooks(joint: Joint, k: number, hz: number): Look[] {
  const { lo, hi, home, speed, plus, minus, name } = joint;
  const far = hi - home >= home - lo ? hi : lo;
  const sign = Math.sign(far - home) || 1;
  const [go, back] = sign > 0 ? [plus, minus] : [minus, plus];
  const look = (from: number, to: number, takes_s: number): Look => ({
    move: { joint: k, from, to },
    takes_s,
    words: `${name} from ${short(toDeg(from))} to ${short(toDeg(to))} deg`,
  });
  const out = { speed, start: go, stop: back };
  const home_ = { speed, start: back, stop: go };
  const [there, here] = [worstDistance(Math.abs(far - home), out, hz), worstDistance(Math.abs(far - home), home_, hz)];
  return [look(home, home + sign * there, moveTime(there, out)), look(far, far - sign * here, moveTime(here, home_))];
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

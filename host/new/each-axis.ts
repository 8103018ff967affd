/** A first stream: each axis of the pose alone, then each joint, slowly there, back, to the other side and back. */
import { type PoseAxis, travelAlong } from '../physics/kinematics/travel.ts';
import { legCoordinate } from '../rig/legs.ts';
import { HOME, type Joint, POSE_KEYS, type Platform, type Pose, type Rig, toRad } from '../rig/rig.ts';
import { streamJoints } from '../stream/columns.ts';
import { StreamWriter } from '../stream/write.ts';

const FRAMES_S = 50;
/** Of the way to what stops it. */
const SHARE = 0.5;
/** And no further, in mm and degrees: enough to see which way it goes. */
const MOST = 12;
/** The fastest on the way, mm/s and deg/s. */
const SLOW = 12;
/** Of a joint's own speed and acceleration limits, at most. */
const OF_LIMITS = 0.4;
/** Before, between and after, s. */
const PAUSE_S = 0.5;

/** How far one slot of the values goes: slots are the pose, then the joints but legs. */
interface Way {
  readonly slot: number;
  /** mm or rad, below and above where it begins. */
  readonly lo: number;
  readonly hi: number;
  /** The fastest, a second. */
  readonly speed: number;
  /** The most, a second squared. */
  readonly accel: number;
}

/** The ways of a rig that has a platform and can stand at home. */
const waysOf = (rig: Rig, platform: Platform): Way[] => [
  ...POSE_KEYS.map((_, axis) => poseWay(rig, platform, axis as PoseAxis)),
  ...streamJoints(rig).map((name, i) =>
    jointWay(
      rig.joints.find((joint) => joint.name === name)!,
      POSE_KEYS.length + i,
    ),
  ),
];

function poseWay(rig: Rig, platform: Platform, axis: PoseAxis): Way {
  const unit = axis < 3 ? 1 : toRad(1);
  const by = (sign: 1 | -1): number => Math.min(SHARE * travelAlong(rig, HOME, axis, sign).by, MOST * unit);
  const [lo, hi] = [-by(-1), by(1)];
  const legs = rig.joints.filter(({ kind }) => kind === 'leg');
  const slopes = legs.map((_, i) => steepest(platform, i, axis, lo, hi));
  const least = (limit: (leg: Joint) => number): number =>
    Math.min(...legs.map((leg, i) => (OF_LIMITS * limit(leg)) / slopes[i]!));
  return {
    slot: axis,
    lo,
    hi,
    speed: Math.min(
      SLOW * unit,
      least(({ speed }) => speed),
    ),
    accel: least(accelOf),
  };
}

function jointWay(joint: Joint, slot: number): Way {
  const most = toRad(MOST);
  const [lo, hi] = [Math.max(SHARE * joint.lo, -most), Math.min(SHARE * joint.hi, most)];
  return { slot, lo, hi, speed: Math.min(toRad(SLOW), OF_LIMITS * joint.speed), accel: OF_LIMITS * accelOf(joint) };
}

const accelOf = ({ plus, minus }: Joint): number => Math.min(plus, minus);

/** Pieces of a way in which a leg's speed is looked at. */
const PIECES = 40;

/** The most that a leg moves for a unit of one axis, anywhere on its way. */
function steepest(platform: Platform, leg: number, axis: PoseAxis, lo: number, hi: number): number {
  const step = (hi - lo) / PIECES;
  const at = (n: number): number => {
    const pose = HOME.map((_, k) => (k === axis ? lo + n * step : 0)) as unknown as Pose;
    return legCoordinate(platform, leg, pose) ?? NaN;
  };
  const places = Array.from({ length: PIECES + 1 }, (_, n) => at(n));
  return Math.max(...places.slice(1).map((place, n) => Math.abs(place - places[n]!) / step));
}

/** From 0 to 1 as x does, standing at both ends, with no jump of its acceleration. */
const eased = (x: number): number => x ** 3 * (10 - 15 * x + 6 * x * x);
/** Its largest first and second derivative: 15/8 in the middle, 10/√3 at x = (3 − √3)/6. */
const STEEPEST = 15 / 8;
const BENT = 10 / Math.sqrt(3);

/** Frames of a way of this length. */
const framesFor = (far: number, { speed, accel }: Way): number =>
  Math.ceil(FRAMES_S * Math.max((STEEPEST * far) / speed, Math.sqrt((BENT * far) / accel)));

/** The text of the stream; every axis begins and ends at home, and every joint at 0. */
export function eachAxis(rig: Rig): string {
  const writer = new StreamWriter(rig, ['t_s', ...POSE_KEYS, ...streamJoints(rig).map((name) => `${name}_deg`)]);
  const values = new Float64Array(POSE_KEYS.length + streamJoints(rig).length);
  let frame = 0;
  let text = `# Each axis alone, slowly: x, y, z, roll, pitch, yaw, then each joint; first plus, then minus.\n${writer.header}`;
  const write = (): void => {
    text += writer.row(frame++ / FRAMES_S, values);
  };
  const pause = (): void => {
    for (let n = 0; n < PAUSE_S * FRAMES_S; n++) write();
  };
  const go = (way: Way, from: number, to: number): void => {
    const frames = framesFor(Math.abs(to - from), way);
    for (let n = 1; n <= frames; n++) {
      values[way.slot] = from + (to - from) * eased(n / frames);
      write();
    }
  };
  pause();
  for (const way of rig.platform ? waysOf(rig, rig.platform) : []) {
    go(way, 0, way.hi);
    go(way, way.hi, 0);
    go(way, 0, way.lo);
    go(way, way.lo, 0);
    pause();
  }
  return text;
}

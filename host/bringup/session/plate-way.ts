/** The way of a plate from one pose to another, slowly: in a straight line of its six numbers, by home where that line leaves its reach. */
import { inverse, whatStops } from '../../physics/kinematics/inverse.ts';
import { HOME, type Pose, type Rig } from '../../rig/rig.ts';
import { VerbEnded } from '../verb.ts';
import { type Pace, ramp } from './ramp.ts';

/** The straight line is looked at in so many places. */
const LOOKS = 40;
/** Of the rig's own bounds so much is asked: the controller then follows without bounding anything. */
const ASKED = { speed: 0.95, accel: 0.5 } as const;
/** How the plate's own six numbers may speed up, mm/s² and rad/s² (ours: gentle). */
const GENTLE = [100, 100, 100, 1.5, 1.5, 1.5] as const;

const between = (from: ArrayLike<number>, to: Pose, share: number): Pose =>
  to.map((value, k) => from[k]! + share * (value - from[k]!)) as unknown as Pose;

const shares = Array.from({ length: LOOKS + 1 }, (_, n) => n / LOOKS);

/**
 * A pose every 20 ms, the last of them `to`.
 * @param rig with a platform, and with the speeds that are to be kept. Throws VerbEnded where no way is within reach.
 */
export function* plateWay(rig: Rig, from: ArrayLike<number>, to: Pose): Generator<Pose> {
  const start = between(from, from as unknown as Pose, 0);
  const isClear = (a: Pose, b: Pose): boolean => shares.every((share) => whatStops(rig, between(a, b, share)) === null);
  if (isClear(start, to)) {
    yield* straight(rig, start, to);
    return;
  }
  if (!isClear(start, HOME) || !isClear(HOME, to))
    throw new VerbEnded('by the rig there is no way to this pose, neither straight nor by home');
  yield* straight(rig, start, HOME);
  yield* straight(rig, HOME, to);
}

function* straight(rig: Rig, from: Pose, to: Pose): Generator<Pose> {
  for (const share of ramp(0, 1, paceOf(rig, from, to), () => false)) yield between(from, to, share);
}

/** Per second, in shares of the way: no leg and none of the six numbers faster than the rig says. */
function paceOf(rig: Rig, from: Pose, to: Pose): Pace {
  const legs = rig.joints.slice(0, 6);
  const steepest = steepestLegs(rig, from, to);
  const speeds = legs.map(({ speed }, i) => speed / steepest[i]!);
  const accels = legs.map(({ plus, minus }, i) => Math.min(plus, minus) / steepest[i]!);
  to.forEach((value, k) => {
    const by = Math.abs(value - from[k]!);
    speeds.push((rig.motion.pose_speed[k] ?? Infinity) / by);
    accels.push(GENTLE[k]! / by);
  });
  // A way of no length has no bound: it is there at once.
  const least = (of: readonly number[]): number => Math.min(1e3, ...of);
  return { speed: ASKED.speed * least(speeds), accel: ASKED.accel * least(accels) };
}

/** How far each leg moves for the whole way at most, were all of it like its steepest part. */
function steepestLegs({ platform }: Rig, from: Pose, to: Pose): number[] {
  const steepest = [0, 0, 0, 0, 0, 0];
  if (!platform) return steepest;
  let last = inverse(platform, from);
  for (const share of shares.slice(1)) {
    const here = inverse(platform, between(from, to, share));
    steepest.forEach(
      (most, i) => (steepest[i] = Math.max(most, LOOKS * Math.abs((here?.[i] ?? NaN) - (last?.[i] ?? NaN)))),
    );
    last = here;
  }
  return steepest;
}

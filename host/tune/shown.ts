/** The moves to look at before and after tuning: of the joint that was shortest of torque, with the old limits and with the new. */
import { playOnMetal } from '../replay/on-metal.ts';
import type { Replay } from '../replay/result.ts';
import type { Target } from '../replay/target.ts';
import type { Rig } from '../rig/rig.ts';
import type { StreamSource } from '../stream/read.ts';
import { exercise, quickLooks } from './exercise.ts';
import { posturesOf } from './plan.ts';
import type { TunedJoint } from './result.ts';
import type { Tuned } from './tune.ts';

/** Both, on simulated metal. */
export interface Shown {
  /** The joint to look at: it, or the leg that was shortest. */
  readonly joint: string;
  readonly before: Replay;
  readonly after: Replay;
  /** Its limits changed; else both are the same. */
  readonly isTuned: boolean;
  /** What is played, in words. */
  readonly played: string;
}

/** Of those whose limits changed, or stay short: the one that was out of torque longest. Null: there is none. */
function hardest(joints: readonly TunedJoint[]): TunedJoint | null {
  const open = joints.filter(
    ({ outcome, before }) => before !== null && (outcome === 'tuned' || before.saturated_ms > 0),
  );
  return open.reduce<TunedJoint | null>(
    (most, joint) => (most && (most.before?.saturated_ms ?? 0) >= (joint.before?.saturated_ms ?? 0) ? most : joint),
    null,
  );
}

const play = (rig: Rig, source: StreamSource, target: Target): Promise<Replay> =>
  playOnMetal(rig, source, target, 'tune');

const isMember = (joint: TunedJoint, rig: Rig, i: number): boolean =>
  joint.name === 'legs' ? rig.joints[i]?.kind === 'leg' : rig.joints[i]?.name === joint.name;

/** Which of its members was out of torque longest, or used most; and for how long. */
function shortest(joint: TunedJoint, rig: Rig, { answer }: Replay): { readonly name: string; readonly ms: number } {
  const members = answer.joints.filter((_, i) => isMember(joint, rig, i));
  const rank = ({ metal }: (typeof members)[number]): number =>
    (metal?.saturated_ms ?? 0) * 1000 + Math.min(metal?.peak_use ?? 99, 99);
  const [first] = [...members].sort((a, b) => rank(b) - rank(a));
  return { name: first?.name ?? joint.name, ms: first?.metal?.saturated_ms ?? 0 };
}

/** The moves that tuning tries, of that joint alone. */
function ownMoves(rig: Rig, joint: TunedJoint): { readonly source: StreamSource; readonly played: string } {
  const isLegs = joint.name === 'legs';
  const text = exercise(rig, isLegs ? [] : [joint], isLegs ? quickLooks(rig, posturesOf(rig, null)) : []);
  const played = isLegs ? 'quick looks of the platform' : `${joint.name} from one soft limit to the other and back`;
  return { source: [new TextEncoder().encode(text)], played };
}

/**
 * Plays the stream when the joint is short of torque there, else moves of its own.
 * @returns null: no joint was short or has new limits. Throws TargetError when the target cannot be used.
 */
export async function showTuned(
  rig: Rig,
  tuned: Tuned,
  target: Target,
  stream: { readonly source: StreamSource; readonly name: string } | null,
): Promise<Shown | null> {
  const joint = hardest(tuned.answer.joints);
  if (!joint) return null;
  const isTuned = joint.outcome === 'tuned';
  if (stream) {
    const before = await play(rig, stream.source, target);
    const { name, ms } = shortest(joint, rig, before);
    if (ms > 0)
      return { joint: name, before, after: await play(tuned.rig, stream.source, target), isTuned, played: stream.name };
  }
  const { source, played } = ownMoves(rig, joint);
  const before = await play(rig, source, target);
  const { name } = shortest(joint, rig, before);
  return { joint: name, before, after: await play(tuned.rig, source, target), isTuned, played };
}

/**
 * What is looked up once and argued from by every cause: what holding and moving take, as `load` says; for each joint what its
 * limits ask of its servo and where its load balances; what a replay of the stream on simulated metal showed.
 */
import type { NoAnswer } from '../load/load.ts';
import type { JointLoad, LoadAnswer } from '../load/result.ts';
import { type Asks, axisAsks, legAsks } from '../physics/servo/asks.ts';
import {
  capsOf,
  fullRange,
  legLimits,
  type Limits,
  type LimitsOrWhy,
  limitsOf,
  type Place,
} from '../physics/servo/limits.ts';
import { Mechanism } from '../physics/dynamics/mechanism.ts';
import { type Mode, movesMost } from '../physics/vibration/modes.ts';
import { axisPlaces, homePosture, legPlaces, standingPostures } from '../physics/dynamics/places.ts';
import type { JointAnswer, Replay } from '../replay/result.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';
import { shapedJoints } from '../rig/wobble.ts';
import type { StreamScan } from '../stream/read.ts';

export interface JointFacts {
  readonly joint: Joint;
  /** What it holds and moves, at its servo's output; null: `load` has no answer. */
  readonly load: JointLoad | null;
  /** Something of the prop weighs and nobody has told how much: figures of holding and moving are without it. */
  readonly isPartlyWeighed: boolean;
  /** What the limits of the file ask of its servo; null: unknown. */
  readonly asks: Asks | null;
  /** Whether gravity turns it anywhere in its range, by what is weighed. */
  readonly isPulled: boolean;
  /** Effort at the axis that, added all along the range, keeps the load on one side; 0: it stays there anyway. */
  readonly preload: number;
  /** Where gravity's torque changes sides within the soft limits, the rest at home, shown units; null: nowhere, or a leg. */
  readonly balanceAt: number | null;
  /** What its servo could keep, spending peak_use, but no more than the file asks. */
  readonly limits: LimitsOrWhy;
  /** Seconds of a full-range move with the file's limits. */
  readonly full_range_s: number;
  /** What the simulated metal did; null without a stream. */
  readonly metal: JointAnswer['metal'];
}

/** A stream as it came. */
export interface StreamFacts {
  readonly name: string;
  /** Frames a second, its pauses left out; null: a single frame. */
  readonly fps: number | null;
  /** Long times without a frame. */
  readonly pauses: StreamScan['pauses'];
  /** Columns that shake from frame to frame. */
  readonly shaking: StreamScan['shaking'];
}

export interface Facts {
  readonly rig: Rig;
  readonly joints: readonly JointFacts[];
  readonly load: LoadAnswer | NoAnswer;
  readonly stream: StreamFacts | null;
  /** The stream on the simulated metal; null without a stream. */
  readonly replay: Replay | null;
}

/** The answer of `load`; null: it has none. */
export const loadOf = ({ load }: Facts): LoadAnswer | null => ('refused' in load ? null : load);

/**
 * The lowest way in which the body swings at home: one that mostly joints swing in which a wobble cure is about, if there is any.
 * Null: nothing swings.
 */
export function swingOf(facts: Facts): Mode | null {
  const modes = loadOf(facts)?.modes ?? [];
  const shaped = shapedJoints(facts.rig);
  return modes.find((mode) => movesMost(mode, shaped)) ?? modes[0] ?? null;
}

/** N·m: rounding. */
const NOTHING = 1e-9;

/** Where a load balances along an axis, with the rest at home, and what would keep it on one side. */
function balanceOf(joint: Joint, along: readonly Place[]): Pick<JointFacts, 'balanceAt' | 'preload' | 'isPulled'> {
  // Where it balances exactly it is on neither side.
  const sided = along.filter(({ hold }) => Math.abs(hold) > NOTHING);
  const turn = sided.findIndex(({ hold }, k) => k > 0 && hold * sided[k - 1]!.hold < 0);
  const most = (sign: 1 | -1): number => Math.max(...along.map(({ hold }) => sign * hold));
  return {
    isPulled: Math.max(most(1), most(-1)) > NOTHING,
    balanceAt: turn < 0 ? null : toShown(joint, (sided[turn]!.at + sided[turn - 1]!.at) / 2),
    preload: turn < 0 ? 0 : Math.max(0, Math.min(most(1), most(-1))),
  };
}

/** The same facts with these limits proposed, where there are any. */
export const withProposed = (facts: Facts, proposed: readonly (Limits | null)[]): Facts => ({
  ...facts,
  joints: facts.joints.map((joint, i) => ({ ...joint, limits: proposed[i] ?? joint.limits })),
});

export interface FactsOf {
  readonly load: Facts['load'];
  readonly stream: StreamFacts | null;
  readonly replay: Replay | null;
}

export function factsAbout(rig: Rig, { load, stream, replay }: FactsOf): Facts {
  const mechanism = new Mechanism(rig);
  const home = homePosture(rig);
  const postures = standingPostures(rig);
  const legs = rig.joints.slice(0, rig.platform ? 6 : 0);
  const legsAt = legs.length > 0 ? legPlaces(rig, mechanism, postures) : [];
  const common = legs[0] ? legLimits(legs, legsAt, capsOf(legs[0])) : null;
  const joints = rig.joints.map((joint, i): JointFacts => {
    const shared = {
      joint,
      isPartlyWeighed: !('refused' in load) && load.unweighed.length > 0,
      load: 'refused' in load ? null : (load.joints[i] ?? null),
      full_range_s: fullRange(joint.hi - joint.lo, joint),
      metal: replay?.answer.joints[i]?.metal ?? null,
    };
    if (common && i < legs.length)
      return {
        ...shared,
        asks: legAsks(joint, i, legsAt),
        isPulled: true,
        preload: 0,
        balanceAt: null,
        limits: common,
      };
    const places = axisPlaces(rig, mechanism, i, postures);
    const balance = balanceOf(joint, axisPlaces(rig, mechanism, i, [home]));
    return { ...shared, ...balance, asks: axisAsks(joint, places), limits: limitsOf(joint, places, capsOf(joint)) };
  });
  return { rig, joints, load, stream, replay };
}

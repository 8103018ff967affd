/**
 * What is looked up once and argued from by every cause: for each joint what it holds, what its limits ask of its servo, where
 * its load balances; what the supply can give; what a replay of the stream on simulated metal showed.
 */
import { capsOf, limitsOf, legLimits, type LimitsOrWhy, moveTime, type Place } from '../physics/limits.ts';
import { Mechanism } from '../physics/mechanism.ts';
import { type Mode, modesAt } from '../physics/modes.ts';
import { axisPlaces, homePosture, legPlaces, standingPostures } from '../physics/places.ts';
import { available, stallOf } from '../physics/servo-line.ts';
import type { Replay } from '../replay/result.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';

export interface JointFacts {
  readonly joint: Joint;
  readonly index: number;
  /** Over its soft limits (an axis) and over postures; largest magnitude, N·m or N, and where, in shown units. */
  readonly hold: number;
  readonly holdAt: number | null;
  readonly stall: number | null;
  /** Of what its limits, as they are in the file, ask at worst: share of what the servo has. Infinity: too fast for any torque. */
  readonly raise: number | null;
  /** The same where a falling load is braked. */
  readonly brake: number | null;
  /** Effort that, added all along the range, keeps the load on one side; 0: it stays there anyway. */
  readonly preload: number;
  /** Where gravity's torque changes sides within the soft limits, the rest at home, shown units; null: nowhere, or a leg. */
  readonly balanceAt: number | null;
  /** What its servo could keep, spending peak_use, but no more than the file asks. */
  readonly limits: LimitsOrWhy;
  /** Seconds of a full-range move with the file's limits, and with those. */
  readonly full_range_s: number;
}

export interface Facts {
  readonly rig: Rig;
  readonly joints: readonly JointFacts[];
  /** At home; empty when nothing is known. */
  readonly modes: readonly Mode[];
  /** All servos stalled, A; null: a figure is unknown. */
  readonly stalled_a: number | null;
  /** The stream on the simulated metal; null without a stream. */
  readonly replay: Replay | null;
  /** Frames a second of the stream; null without. */
  readonly fps: number | null;
  readonly gaps: readonly string[];
}

/** What the limits of a joint ask at one place: raising at the speed limit, and braking what falls. Null: unknown. */
function asks(joint: Joint, { hold, inertia }: Place): { raise: number; brake: number } | null {
  const stall = stallOf(joint);
  const up = available(joint, joint.speed, hold < 0 ? -1 : 1);
  if (stall === null || up === null) return null;
  // Gravity pulls one way: toward it a joint falls, against it it is raised. Both take the same acceleration limit.
  const against = hold < 0 ? joint.minus : joint.plus;
  const torque = inertia * against + Math.abs(hold);
  return { raise: up > 0 ? torque / up : Infinity, brake: torque / stall };
}

/** atHome: an axis over its soft limits with the rest at home; null: a leg. */
function factsOf(
  joint: Joint,
  index: number,
  places: readonly Place[],
  atHome: readonly Place[] | null,
  limits: LimitsOrWhy,
): JointFacts {
  const worst = places.reduce((most, place) => (Math.abs(place.hold) > Math.abs(most.hold) ? place : most), places[0]!);
  const asked = places.map((place) => asks(joint, place));
  const known = asked.every((one) => one !== null);
  const most = (key: 'raise' | 'brake'): number | null => (known ? Math.max(...asked.map((one) => one[key])) : null);
  const along = atHome ?? [];
  const turn = along.findIndex(({ hold }, k) => k > 0 && hold * along[k - 1]!.hold < 0);
  const own = { speed: joint.speed, start: joint.plus, stop: joint.minus };
  return {
    joint,
    index,
    hold: worst.hold,
    holdAt: atHome && toShown(joint, worst.at),
    stall: stallOf(joint),
    raise: most('raise'),
    brake: most('brake'),
    preload: Math.max(
      0,
      Math.min(Math.max(...along.map(({ hold }) => hold)), Math.max(...along.map(({ hold }) => -hold))),
    ),
    balanceAt: turn < 0 ? null : toShown(joint, (along[turn]!.at + along[turn - 1]!.at) / 2),
    limits,
    full_range_s: moveTime(joint.hi - joint.lo, own),
  };
}

/** replay, fps: of the stream, when there is one. */
export function factsAbout(rig: Rig, replay: Replay | null, fps: number | null): Facts {
  const mechanism = new Mechanism(rig);
  const home = homePosture(rig);
  const postures = standingPostures(rig);
  const legs = rig.joints.slice(0, rig.platform ? 6 : 0);
  const legsAt = legs.length > 0 ? legPlaces(rig, mechanism, postures) : [];
  const common = legs[0] ? legLimits(legs, legsAt, capsOf(legs[0])) : null;
  const joints = rig.joints.map((joint, i): JointFacts => {
    if (common && i < legs.length) {
      const places = legsAt.map(({ hold, inertia }): Place => ({
        at: joint.home,
        hold: hold[i]!,
        inertia: inertia[i]!,
      }));
      return factsOf(joint, i, places, null, common);
    }
    const places = axisPlaces(rig, mechanism, i, postures);
    const atHome = axisPlaces(rig, mechanism, i, [home]);
    return factsOf(joint, i, places, atHome, limitsOf(joint, places, capsOf(joint)));
  });
  const currents = rig.joints.map(({ servo }) => servo.stall_current_a);
  const shakes = modesAt(rig, home.q, home.pose);
  return {
    rig,
    joints,
    modes: shakes?.modes ?? [],
    stalled_a: currents.every((a) => a !== null) ? currents.reduce((sum, a) => sum + a, 0) : null,
    replay,
    fps,
    gaps: mechanism.gaps.map(({ words }) => words),
  };
}

/** The rig with the limits that its servos can keep, where they are known. */
export function curedRig({ rig, joints }: Facts): Rig {
  return {
    ...rig,
    joints: rig.joints.map((joint, i) => {
      const limits = joints[i]!.limits;
      return 'none' in limits ? joint : { ...joint, speed: limits.speed, plus: limits.plus, minus: limits.minus };
    }),
  };
}

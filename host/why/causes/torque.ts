/** Two causes of one kind: limits that ask a servo for more than it has, where it raises its load and where it brakes it. */
import { effortName, effortWords, percent } from '../../load/words.ts';
import type { Limits } from '../../physics/servo/limits.ts';
import { milliseconds } from '../../replay/verdict.ts';
import { frictionWords, rubsMuch } from '../../rig/friction.ts';
import type { Joint } from '../../rig/rig.ts';
import { together } from '../../rig/words.ts';
import type { Facts, JointFacts } from '../facts.ts';
import { WHICH_SERVO } from '../remedies.ts';
import { holdWords, limitsWords, seconds, speed, stallWords, weighedWords } from '../words.ts';
import { type Look, type Suspect, heldShare, most } from './cause.ts';

/** So much of a limit is all of it: rounding. */
const KEPT = 1 - 1e-6;
/** A load below this share of the stall torque does not fall: friction of a hobby servo's gears holds it (a usual figure, not measured). */
const LIGHT = 0.05;

/** Whether its servo can keep the limits of the file. */
const keepsAll = (joint: Joint, keeps: Limits): boolean =>
  (['speed', 'plus', 'minus', 'plus_gone', 'minus_gone'] as const).every((key) => keeps[key] >= joint[key] * KEPT);

/** Whether a suspect's cure may be new limits, which `tune` is to find. */
export const mayNeedLimits =
  ({ joints }: Facts) =>
  ({ cause }: Suspect): boolean =>
    (cause === 'torque_saturated' || cause === 'falling_load') &&
    joints.some((one) => isShort(one) || (!('none' in one.limits) && !keepsAll(one.joint, one.limits)));

const isShort = ({ metal }: JointFacts): boolean => (metal?.saturated_ms ?? 0) > 0;

function cureWords(facts: JointFacts): string {
  const { joint, limits } = facts;
  if ('none' in limits)
    return limits.none === 'unknown'
      ? `no limits can be calculated: its servo’s ${effortName(joint)} or speed, or what ${joint.name} moves, is unknown`
      : rubsMuch(joint.servo)
        ? `no limits cure it: ${frictionWords(joint.servo)}. Measure friction_nm, in N·m at the output; if it really is that high, the servo is worn or binding`
        : `no limits cure it: ${joint.name} cannot even hold its load with ${percent(joint.servo.peak_use)} of its ${effortName(joint)}. A counterweight, a spring, another gear ratio or a stronger servo can: ${WHICH_SERVO}`;
  if (!keepsAll(joint, limits))
    return `limits its servo can keep: ${limitsWords(joint, limits)}; "posewright tune" writes them. To keep the pace instead: ${WHICH_SERVO}`;
  return isShort(facts)
    ? `by calculation the limits of ${joint.name} leave its servo enough ${effortName(joint)}, but in simulation it runs out: "posewright tune" lowers them until it no longer does`
    : `none needed, by calculation: the limits of ${joint.name} leave its servo enough ${effortName(joint)}${weighedWords(facts)}`;
}

function costWords(facts: JointFacts, { stream }: Facts): string {
  const { joint, limits, full_range_s } = facts;
  if ('none' in limits)
    return limits.none === 'unknown' ? 'a data sheet, or an hour of weighing' : 'a part, and the time to fit it';
  const late = stream
    ? '; where the stream exceeds these limits the prop lags, unless "posewright retime" slows the stream'
    : '';
  if (keepsAll(joint, limits)) return isShort(facts) ? `slower moves${late}` : 'nothing';
  return `a full-range move takes ${seconds(limits.full_range_s)} instead of ${seconds(full_range_s)}, which its servo cannot keep up with${late}`;
}

const trialOf = ({ joint, limits }: JointFacts) =>
  'none' in limits || keepsAll(joint, limits) ? null : ({ remedy: 'limits', joint: joint.name } as const);

/** What the stream asks of its servo beyond what that has, in words; null: no more, or no stream. */
function streamWords({ joint, load }: JointFacts): string | null {
  const along = load?.along;
  if (!along) return null;
  if (along.impossible)
    return `the stream asks ${joint.name} for ${along.peak_speed.toFixed(0)} ${joint.unit}/s, a speed at which its servo has no ${effortName(joint)} left`;
  return (along.use ?? 0) > 1
    ? `the stream asks ${joint.name} for ${percent(along.use ?? 0)} of the ${effortName(joint)} its servo has at ${Math.abs(along.speed).toFixed(0)} ${joint.unit}/s (${effortWords(along.effort, joint.unit)} at ${seconds(along.at_s)})`
    : null;
}

/** Why a servo runs out: what its limits ask; where they ask for no more than it has and it runs out all the same, what the stream asks. */
function evidence(asked: JointFacts): string[] {
  const stream = isShort(asked) && !((asked.asks?.use ?? 0) > 1) ? streamWords(asked) : null;
  return stream === null ? [asksWords(asked), ...(isHeavy(asked) ? [holdWords(asked)] : [])] : [stream];
}

/** What the limits ask of its servo, in words. */
function asksWords(facts: JointFacts): string {
  const { joint, asks } = facts;
  const { name } = joint;
  if (asks === null)
    return `what the limits of ${name} ask of its servo is unknown: ${effortName(joint)} or speed of the servo, or what it moves, is missing in the file`;
  return asks.use === Infinity
    ? `the limits of ${name} ask for ${speed(joint, asks.speed)}, a speed at which its servo has no ${effortName(joint)} left`
    : `the limits of ${name} ask for ${percent(asks.use)} of the ${effortName(joint)} its servo has at ${speed(joint, asks.speed)}${weighedWords(facts)}`;
}

/** Without its torque, or the speed at which it has none left, nobody can tell whether a servo runs out. */
const isUntold = ({ joint: { servo } }: JointFacts): boolean => servo.stall === null || servo.no_load_speed === null;

/** What was seen of it. */
function seenWords(facts: Facts, asked: JointFacts): string {
  const { joint, metal } = asked;
  const effort = effortName(joint);
  if (isShort(asked)) return `${joint.name} is out of ${effort} for ${milliseconds(metal!.saturated_ms)} of the stream`;
  if (!facts.replay) return 'no stream was given';
  const untold = facts.joints.filter(isUntold);
  if (untold.length === 0) return `no servo runs out of ${effort} in this stream`;
  const which = `whether ${together(untold.map((one) => one.joint.name))} run${untold.length === 1 ? 's' : ''} out of ${effort} is unknown`;
  return untold.length === facts.joints.length ? which : `${which}; no other servo does in this stream`;
}

/** Holding alone takes much of what there is, or nobody knows. */
const isHeavy = (joint: JointFacts): boolean => (heldShare(joint) ?? Infinity) > joint.joint.servo.continuous_use;

/** As much speaks for what cannot be told (ours). */
const UNTOLD = 0.35;

function torqueWeight(facts: Facts, asked: JointFacts): number {
  if (isShort(asked)) return 0.95;
  if ((heldShare(asked) ?? 0) > 1) return 0.85;
  if (isUntold(asked)) return UNTOLD;
  if (facts.replay) return 0.1;
  return (asked.asks?.use ?? 0) > 1 ? 0.8 : 0.15;
}

export const torqueSaturated: Look = (facts) => {
  const asked =
    most(facts, ({ metal }) => metal?.saturated_ms) ??
    most(facts, (joint) => ((heldShare(joint) ?? 0) > 1 ? heldShare(joint) : null)) ??
    most(facts, ({ asks }) => ((asks?.use ?? 0) > 1 && !facts.replay ? asks!.use : null)) ??
    // One that cannot be told may run out, as long as none is known to; the hottest of them first.
    most(facts, (one) => (isUntold(one) ? (one.load?.along?.rms_use ?? heldShare(one)) : null)) ??
    facts.joints.find(isUntold) ??
    most(facts, ({ asks }) => asks?.use) ??
    facts.joints[0];
  if (!asked) return null;
  const { joint } = asked;
  const rubs = rubsMuch(joint.servo) ? [`${joint.name}: ${frictionWords(joint.servo)}`] : [];
  return {
    cause: 'torque_saturated',
    title: `the servo runs out of ${effortName(joint)}`,
    weight: torqueWeight(facts, asked),
    because: [seenWords(facts, asked), ...rubs, ...evidence(asked)].join('; '),
    test: `play the same move at half the speed: if it now follows, ${effortName(joint)} is the cause; if it still jerks, look further`,
    cure: cureWords(asked),
    cost: costWords(asked, facts),
    trial: trialOf(asked),
  };
};

export const fallingLoad: Look = (facts) => {
  const falls = most(facts, (one) => ((heldShare(one) ?? 0) > LIGHT ? one.asks?.brake : null));
  if (!falls?.asks) return null;
  const { joint, asks } = falls;
  const { brake, brakes } = asks;
  return {
    cause: 'falling_load',
    title: 'a falling load is braked too hard',
    weight: brake > 1 ? 0.85 : brake > joint.servo.peak_use ? 0.5 : 0.1,
    because: `stopping ${joint.name} on its way down takes the same ${effortName(joint)} as starting it on its way up: braking at its acceleration limit (${brakes}) asks for ${percent(brake)} of its servo’s ${stallWords(joint)}${weighedWords(falls)}`,
    test: 'watch a move up and a move down at the same speed: if it jerks only at the end of the move down, this is the cause',
    cure: cureWords(falls),
    cost: costWords(falls, facts),
    trial: trialOf(falls),
  };
};

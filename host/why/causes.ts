/**
 * The causes that `why` knows, each as what speaks for it in this rig, the one test that tells it from the others, its cure and
 * what that costs. A share from 0 to 1 says how much speaks for it (ours); it orders the list and is shown as a word.
 */
import { causeWords } from '../replay/verdict.ts';
import type { Limits } from '../physics/limits.ts';
import type { JointAnswer } from '../replay/result.ts';
import type { Joint } from '../rig/rig.ts';
import type { Facts, JointFacts } from './facts.ts';
import type { Cause, CauseName, Symptom, Trial } from './result.ts';
import { accel, ampere, percent, place, seconds, speed, stallWords, torque } from './words.ts';

/** A cause before it is ranked. */
export interface Suspect extends Omit<Cause, 'likely' | 'before' | 'after'> {
  /** 0 to 1. */
  readonly weight: number;
  /** The joint that the plant is asked about, when the cure is its limits. */
  readonly cures: string | null;
}

/** Slower than this a stream is seen as steps (common practice: film has 24 a second). */
const COARSE_FPS = 25;
/** Play that is felt at a prop's rim (ours). */
const FELT_PLAY_RAD = (0.2 * Math.PI) / 180;
/** A supply with so much more than all servos stalled take has some to spare for wires and age (common practice). */
const ROOMY = 1.25;
/** A narrower dead band than this is found hunting, us (from memory). */
const NARROW_US = 3;
/** A load below this share of the stall torque does not fall (ours). */
const LIGHT = 0.05;
/** So much of a limit is all of it. */
const KEPT = 1 - 1e-6;
/** Below so many Hz a shake is seen as a wobble rather than felt as a buzz (ours). */
const SEEN_HZ = 12;

const metalOf = ({ replay }: Facts, name: string): JointAnswer['metal'] =>
  replay?.answer.joints.find((joint) => joint.name === name)?.metal ?? null;

/** The joint with the most of a figure, if any has it. */
function most(facts: Facts, figure: (joint: JointFacts) => number | null): JointFacts | null {
  let [found, best] = [null as JointFacts | null, 0];
  for (const joint of facts.joints) {
    const value = figure(joint) ?? 0;
    if (value > best) [found, best] = [joint, value];
  }
  return found;
}

/** Whether its servo can keep the limits of the file. */
const keepsAll = ({ speed, plus, minus }: Joint, keeps: Limits): boolean =>
  keeps.speed > speed * KEPT && keeps.plus > plus * KEPT && keeps.minus > minus * KEPT;

const cureWords = ({ joint, limits }: JointFacts): string =>
  'none' in limits
    ? limits.none === 'unknown'
      ? `nothing can be sized: its servo’s torque or speed, or what ${joint.name} moves, is unknown`
      : `no limits cure it: ${joint.name} cannot even hold its load with ${percent(joint.servo.peak_use)} of its torque. A counterweight, a larger gear ratio or a stronger servo can ("posewright tune" sizes them)`
    : keepsAll(joint, limits)
      ? `none that this sum shows: the limits of ${joint.name} leave its servo enough`
      : `limits that its servo can keep: ${speed(joint, limits.speed)}, plus ${accel(joint, limits.plus)}, minus ${accel(joint, limits.minus)} ("posewright tune" tries such on simulated metal, eases them where it must, and writes them)`;

/** The joint, when limits cure it. */
const curedBy = ({ joint, limits }: JointFacts): string | null => ('none' in limits ? null : joint.name);

const costWords = ({ joint, limits, full_range_s }: JointFacts): string =>
  'none' in limits
    ? 'a part, and the time to fit it'
    : keepsAll(joint, limits)
      ? 'nothing'
      : `a full-range move takes ${seconds(limits.full_range_s)} instead of the ${seconds(full_range_s)} it is asked for and cannot keep`;

function torqueSaturated(facts: Facts): Suspect | null {
  const seen = most(facts, ({ joint }) => metalOf(facts, joint.name)?.saturated_ms ?? null);
  const asked = seen ?? most(facts, ({ raise }) => raise);
  if (!asked) return null;
  const { joint, raise, hold } = asked;
  const metal = metalOf(facts, joint.name);
  const short = metal && metal.saturated_ms > 0;
  const asks =
    raise === null
      ? 'an unknown share of what its servo has at that speed'
      : raise === Infinity
        ? 'a speed at which its servo has no torque left'
        : `${percent(raise)} of what its servo has at that speed`;
  const stream = short
    ? `${joint.name} is out of torque for ${metal.saturated_ms.toFixed(0)} ms of the stream`
    : facts.replay
      ? `in this stream ${joint.name} never runs out of torque`
      : `no stream was given`;
  return {
    cause: 'torque_saturated',
    title: 'the servo runs out of torque',
    weight: short ? 0.95 : facts.replay ? 0.1 : raise !== null && raise > 1 ? 0.8 : 0.15,
    because: `${stream}; the limits of ${joint.name} ask for ${asks}; to hold its load takes ${torque(joint, hold)}`,
    test: `play the same move at half the speed: a servo short of torque then follows, and what else jerks still does`,
    cure: cureWords(asked),
    cost: costWords(asked),
    cures: curedBy(asked),
  };
}

function fallingLoad(facts: Facts): Suspect | null {
  const falls = most(facts, ({ brake, hold, stall }) =>
    stall !== null && Math.abs(hold) > LIGHT * stall ? brake : null,
  );
  if (!falls || falls.brake === null) return null;
  const { joint, brake, hold } = falls;
  const way = hold > 0 ? 'plus' : 'minus';
  return {
    cause: 'falling_load',
    title: 'a falling load is braked too hard',
    weight: brake > 1 ? 0.85 : brake > joint.servo.peak_use ? 0.5 : 0.1,
    because: `to stop ${joint.name} on its way down takes the same torque as to raise it: braking at its ${way} limit asks for ${percent(brake)} of its servo’s ${stallWords(joint)}`,
    test: `watch one move up and one down of equal speed: this one jerks where the way down ends, and nowhere else`,
    cure: `a lower ${way} for ${joint.name}; ${cureWords(falls)}`,
    cost: costWords(falls),
    cures: curedBy(falls),
  };
}

function playCrossingBalance(facts: Facts): Suspect | null {
  const loose = facts.joints.filter(({ joint }) => joint.gear_ratio !== 1 || (joint.gear_play_rad ?? 0) > 0);
  const crossing = loose.find(({ balanceAt, joint }) => balanceAt !== null && joint.gear_play_rad !== 0) ?? loose[0];
  if (!crossing) return null;
  const { joint, balanceAt, preload } = crossing;
  const play = joint.gear_play_rad;
  const degrees =
    play === null ? 'its gear play is unknown' : `its gear has ${((play * 180) / Math.PI).toFixed(1)} deg of play`;
  const felt = play === null || play > FELT_PLAY_RAD;
  return {
    cause: 'play_crossing_balance',
    title: 'gear play where the load balances',
    weight: balanceAt === null ? 0.1 : felt ? 0.6 : 0.3,
    because:
      balanceAt === null
        ? `${degrees}, but gravity pulls ${joint.name} to one side all the way, so the teeth stay in touch`
        : `${degrees}, and at ${place(joint, balanceAt)} the load of ${joint.name} tips from one side of the teeth to the other`,
    test: `move ${joint.name} slowly through its range: a slap always at the same angle is play; then hold it there and wiggle it by hand`,
    cure:
      balanceAt === null
        ? 'less play in the gear'
        : `a counterweight or a spring that adds ${torque(joint, preload)} all along, so that the load stays on one side; less play in the gear`,
    cost: 'a weight or a spring, and the torque it takes all the time',
    cures: null,
  };
}

function coarseStream({ fps, replay }: Facts): Suspect {
  const answer = replay?.answer;
  const gaps = answer ? answer.starved + answer.late + answer.lost : 0;
  return {
    cause: 'coarse_stream',
    title: 'frames too few or late',
    weight: fps !== null && fps < COARSE_FPS ? 0.8 : gaps > 0 ? 0.7 : fps === null ? 0.3 : 0.05,
    because:
      fps === null
        ? 'no stream was given, so nothing is known of its frames'
        : `the stream has ${fps.toFixed(0)} frames a second${gaps > 0 ? `, and ${String(gaps)} ticks or frames were late or missing` : ', none late'}`,
    test: 'play it from the board or from a file instead of live: steps that stay are in the recording',
    cure: 'record at 50 frames a second or more; a longer playback_delay_ms for a poor line',
    cost: 'a larger file; a longer delay between puppeteer and prop',
    cures: null,
  };
}

function supplySag({ rig, stalled_a }: Facts): Suspect {
  const has = rig.supply?.current_a ?? null;
  const short = has !== null && stalled_a !== null && stalled_a > has;
  return {
    cause: 'supply_sag',
    title: 'the supply gives way',
    weight: has === null || stalled_a === null ? 0.35 : short ? 0.5 : 0.1,
    because:
      has === null || stalled_a === null
        ? 'the supply’s or a servo’s current is not in the rig file'
        : `all servos stalled take ${ampere(stalled_a)}, the supply gives ${ampere(has)}${rig.supply?.kind === 'battery' ? '; a battery sags with age and cold' : ''}`,
    test: 'measure the voltage at the last servo while it moves: a dip of more than a tenth is the supply or its wires',
    cure: `a supply${stalled_a === null ? '' : ` of ${ampere(stalled_a * ROOMY)} or more`}, thick short wires, a star of them rather than a chain`,
    cost: 'a supply and wires',
    cures: null,
  };
}

function deadBandHunting(facts: Facts): Suspect | null {
  const held = most(facts, ({ hold, stall }) => (stall === null || stall === 0 ? null : Math.abs(hold) / stall));
  if (!held) return null;
  const { joint, hold } = held;
  const band = joint.servo.deadband_us;
  return {
    cause: 'dead_band_hunting',
    title: 'a servo hunts around its place',
    weight: band === null ? 0.4 : band < NARROW_US ? 0.55 : 0.3,
    because: `${joint.name} holds ${torque(joint, hold)} at worst, and its dead band is ${band === null ? 'unknown' : `${band.toFixed(0)} us`}: within play and friction a servo with a narrow one never comes to rest`,
    test: 'lay a finger lightly on the horn: hunting stops at the touch, a resonance does not',
    cure: 'a wider dead band where the servo can be programmed; less play; a little friction; a pulse that stays the same when nothing is to move',
    cost: 'a place that is held less exactly',
    cures: null,
  };
}

const binding = (): Suspect => ({
  cause: 'binding',
  title: 'something binds',
  weight: 0.3,
  because: 'no figure of a rig tells of a tight bearing, a bent rod or a cable that pulls',
  test: 'power off and the horns loose, move every joint by hand through its range: it must go evenly and stay where it is left',
  cure: 'free it: align, ease, lead the cable along the axis',
  cost: 'an hour with a screwdriver',
  cures: null,
});

function reachOrRodEnds({ replay, rig }: Facts): Suspect | null {
  if (!rig.platform) return null;
  const answer = replay?.answer;
  const share = answer ? answer.unreachable / Math.max(1, answer.ticks) : 0;
  const [stop] = answer?.stopped_by ?? [];
  const ends = answer?.breaches.find(({ what }) => what === 'rod_end');
  return {
    cause: 'reach_or_rod_ends',
    title: 'the pose is out of reach',
    weight: share > 0 ? 0.9 : ends ? 0.7 : answer ? 0.05 : 0.25,
    because:
      share > 0
        ? `for ${percent(share)} of the stream the pose is out of reach${stop ? `, most often for ${stop.joint}: ${causeWords(stop.cause)}` : ''}`
        : ends
          ? ends.message
          : answer
            ? 'every pose of the stream is in reach'
            : 'no stream was given; "posewright reach" says how far it goes and what stops it',
    test: 'go to the pose slowly: reach stops it there however slow, torque does not',
    cure: 'fit the stream ("posewright retime --fit"), or change the dimension that "posewright reach --sensitivity" names',
    cost: 'smaller moves, or a new part',
    cures: null,
  };
}

function modeExcited({ modes, rig }: Facts): Suspect | null {
  const shaking = modes.find(({ unstable }) => unstable) ?? modes[0];
  if (!shaking) return null;
  const { hz, mostly } = shaking;
  const cured = rig.motion.wobble.cure !== 'none';
  const low = hz !== null && hz < SEEN_HZ;
  return {
    cause: 'mode_excited',
    title: hz === null ? 'the servos are too soft to hold it up' : 'the prop swings at its own frequency',
    weight: hz === null ? 0.9 : cured ? 0.2 : low ? 0.75 : 0.45,
    because:
      hz === null
        ? `${mostly.join(' and ')}: its servos are not stiff enough to hold it against gravity`
        : `by its servos’ stiffness it swings in ${mostly.join(' and ')} at ${hz.toFixed(1)} Hz; frame and rods make that lower${cured ? '; a wobble cure is set already' : ''}`,
    test:
      hz === null
        ? 'push it a little off its place with a finger, at rest: it must come back by itself'
        : 'film a quick look in slow motion and count the swings after it stops: always the same pace, however fast the look, is this',
    cure:
      hz === null
        ? 'stiffer servos, less weight, or a counterweight; no wobble cure helps what does not come back'
        : `motion.wobble: { cure: tolerant, hz, damping } with what you measured ("posewright tune --swings" or "--shake")`,
    cost:
      hz === null
        ? 'a part, and the time to fit it'
        : `${(1000 / hz).toFixed(0)} ms more delay at ${hz.toFixed(1)} Hz for the tolerant cure, half of it for the exact one`,
    cures: null,
  };
}

function holdingHeat(facts: Facts): Suspect | null {
  const hot = most(facts, ({ hold, stall, joint }) =>
    stall === null || stall === 0 ? null : Math.abs(hold) / stall / joint.servo.continuous_use,
  );
  if (!hot || hot.stall === null) return null;
  const { joint, hold, stall } = hot;
  const share = Math.abs(hold) / stall;
  return {
    cause: 'holding_heat',
    title: 'it holds too much for too long',
    weight: share > joint.servo.continuous_use ? 0.9 : share > joint.servo.continuous_use / 2 ? 0.4 : 0.1,
    because: `${joint.name} holds ${torque(joint, hold)} at worst, ${percent(share)} of its ${stallWords(joint)}; for long, ${percent(joint.servo.continuous_use)} is to be spent at most (continuous_use)`,
    test: 'let it stand in its heaviest pose for ten minutes, then at rest for ten, a hand near it: only the first is warm',
    cure: 'a counterweight or a spring; a rest pose that takes no torque; settle between scenes',
    cost: 'weight to swing, or less to look at',
    cures: null,
  };
}

type Look = (facts: Facts) => Suspect | null;

const LOOKS: Readonly<Record<CauseName, Look>> = {
  torque_saturated: torqueSaturated,
  falling_load: fallingLoad,
  play_crossing_balance: playCrossingBalance,
  coarse_stream: coarseStream,
  supply_sag: supplySag,
  dead_band_hunting: deadBandHunting,
  binding,
  reach_or_rod_ends: reachOrRodEnds,
  mode_excited: modeExcited,
  holding_heat: holdingHeat,
};

/** A cause further down a symptom's list is a little less its cause (ours). */
const FARTHER = 0.08;

/** Which causes make which symptom, the most common first (common practice). */
const OF: Readonly<Record<Symptom, readonly CauseName[]>> = {
  jerk: ['torque_saturated', 'falling_load', 'play_crossing_balance', 'coarse_stream', 'supply_sag', 'binding'],
  wobble: ['mode_excited', 'play_crossing_balance', 'torque_saturated', 'dead_band_hunting'],
  buzz: ['dead_band_hunting', 'binding', 'holding_heat', 'mode_excited'],
  slap: ['play_crossing_balance', 'falling_load', 'reach_or_rod_ends'],
  short: ['reach_or_rod_ends', 'torque_saturated', 'binding'],
  hot: ['holding_heat', 'binding', 'dead_band_hunting'],
  twitch: ['supply_sag', 'coarse_stream', 'dead_band_hunting', 'play_crossing_balance'],
};

/** The suspects of a symptom, most likely first. */
export const suspectsOf = (facts: Facts, symptom: Symptom): Suspect[] =>
  OF[symptom]
    .flatMap((name, k) => {
      const found = LOOKS[name](facts);
      return found ? [{ ...found, weight: found.weight * (1 - FARTHER * k) }] : [];
    })
    .sort((a, b) => b.weight - a.weight);

/** Shares from which a word is used (ours). */
const [LIKELY, POSSIBLE] = [0.6, 0.25];

/** As it is told. */
export function causeOf(
  { weight, cures, ...told }: Suspect,
  trial: (joint: string) => readonly [Trial, Trial] | null,
): Cause {
  const [before, after] = (cures === null ? null : trial(cures)) ?? [null, null];
  return { ...told, likely: weight >= LIKELY ? 'likely' : weight >= POSSIBLE ? 'possible' : 'unlikely', before, after };
}

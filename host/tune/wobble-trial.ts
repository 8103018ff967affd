/**
 * A wobble cure tried on simulated metal: servos soft enough to swing as often as was measured, damped as was measured, make the
 * moves that set them swinging most, without the cure and with it. Softness stands in the servos, wherever it is in the real
 * prop: a stand or a neck that bends is not modelled.
 */
import { modesAt, movesMost } from '../physics/vibration/modes.ts';
import { homePosture } from '../physics/dynamics/places.ts';
import { stiffnessOf } from '../physics/servo/stiffness.ts';
import { playOnMetal } from '../replay/on-metal.ts';
import type { Answer, EnvelopeData, Replay } from '../replay/result.ts';
import type { Target } from '../replay/target.ts';
import { HOME, type Joint, type Rig, toShown } from '../rig/rig.ts';
import { shapedJoints } from '../rig/wobble.ts';
import { oneMove } from './exercise.ts';
import { type Look, worstLooks } from './swing-moves.ts';
import type { WobbleCure } from './wobble.ts';

/** What is left swinging after a move, to either side, in the joint's shown unit. */
export interface WobbleTrial {
  readonly joint: string;
  readonly unit: 'deg' | 'mm';
  readonly before: number;
  readonly after: number;
  /** The move that left most without the cure, in words; how many were tried. */
  readonly move: string;
  readonly moves: number;
}

/** How far the joint is from its command along the hardest move, in its shown unit. */
export interface WobbleTraces {
  readonly before: EnvelopeData;
  readonly after: EnvelopeData;
  readonly seconds: number;
}

export interface Tried {
  readonly trial: WobbleTrial;
  readonly traces: WobbleTraces;
}

/** A cure, and how it did or why it was not tried. */
export interface TriedCure {
  readonly cure: WobbleCure;
  readonly tried: Tried | { readonly untried: string };
}

/** Rest after a move, s: for the cure's delay, and for some swings to see. */
const REST_S = 2.6;

type Wobble = Pick<WobbleCure, 'cure' | 'hz' | 'damping'>;

/** What it came to, or in words without a stop why it could not be tried. Throws TargetError when the target cannot be used. */
export async function tryWobble(
  rig: Rig,
  { cure, hz, damping }: Wobble,
  target: Target,
): Promise<Tried | { readonly untried: string }> {
  const shaped = shapedJoints(rig);
  const soft = softened(rig, shaped, hz);
  if (typeof soft === 'string') return { untried: soft };
  const looks = worstLooks(rig, shaped, hz);
  const plain = withWobble(soft, 'none', hz, damping);
  let hardest: { readonly look: Look; readonly left: Left } | null = null;
  for (const look of looks) {
    const left = leftOf(plain, shaped, await play(plain, look, target));
    if (left && (!hardest || left.rank > hardest.left.rank)) hardest = { look, left };
  }
  if (!hardest)
    return { untried: 'the simulated platform comes apart when its servos are as soft as this wobble is slow' };
  const { look, left } = hardest;
  const after = await play(withWobble(soft, cure, hz, damping), look, target);
  const cured = after.answer.joints[left.joint]?.metal;
  const trace = after.traces.torques[left.joint];
  const joint = rig.joints[left.joint];
  if (!cured || !trace || !joint || !holds(after.answer))
    return { untried: 'the simulated platform comes apart with the cure' };
  return {
    trial: {
      joint: joint.name,
      unit: joint.unit,
      before: left.wobble,
      after: cured.wobble,
      move: look.words,
      moves: looks.length,
    },
    traces: { before: left.off, after: trace.off, seconds: after.answer.seconds },
  };
}

const withWobble = (rig: Rig, cure: Rig['motion']['wobble']['cure'], hz: number, damping: number): Rig => ({
  ...rig,
  motion: { ...rig.motion, wobble: { cure, hz, damping } },
});

function play(rig: Rig, { move, takes_s }: Look, target: Target): Promise<Replay> {
  const source = [new TextEncoder().encode(oneMove(rig, move, takes_s + REST_S))];
  return playOnMetal(rig, source, target, 'tune');
}

/** The joint that swings on most, as a share of its range. */
interface Left {
  readonly joint: number;
  readonly wobble: number;
  readonly rank: number;
  readonly off: EnvelopeData;
}

/** Whether its metal held together to the end. */
const holds = ({ metal }: Answer): boolean => metal !== null && metal.falls === null && metal.unsure === null;

/** Null: the platform came apart. */
function leftOf(rig: Rig, shaped: readonly number[], { answer, traces }: Replay): Left | null {
  if (!holds(answer)) return null;
  const found = shaped.flatMap((i): Left[] => {
    const [joint, metal, trace] = [rig.joints[i], answer.joints[i]?.metal, traces.torques[i]];
    if (!joint || !metal || !trace) return [];
    return [
      { joint: i, wobble: metal.wobble, rank: metal.wobble / toShown(joint, joint.hi - joint.lo), off: trace.off },
    ];
  });
  return found.reduce<Left | null>((most, one) => (most && most.rank >= one.rank ? most : one), null);
}

/** Softer and stiffer than this by no prop: shares of the stiffness that is known or assumed. */
const [SOFTEST, STIFFEST] = [1e-4, 1e4];
const BISECTIONS = 40;

/** The rig with the shaped joints' servos as soft as makes its slowest swing so fast; in words why not. */
function softened(rig: Rig, shaped: readonly number[], hz: number): Rig | string {
  if (shaped.some((i) => rig.joints[i]?.servo.drive === 'linear'))
    return 'how softly a linear servo holds cannot be set in the simulation';
  const { q } = homePosture(rig);
  const slowest = (factor: number): number | null => {
    const first = modesAt(softer(rig, shaped, factor), q, HOME)?.modes.find((mode) => movesMost(mode, shaped));
    return first ? (first.hz ?? 0) : null;
  };
  const [least, most] = [slowest(SOFTEST), slowest(STIFFEST)];
  if (least === null || most === null)
    return 'the weight or the stiffness of what wobbles is unknown: give parts their masses and servos their torque';
  if (!(least < hz && hz < most)) return `the simulation cannot be made to swing at ${hz.toFixed(2)} Hz`;
  let [lo, hi] = [Math.log(SOFTEST), Math.log(STIFFEST)];
  for (let k = 0; k < BISECTIONS; k++) {
    const middle = (lo + hi) / 2;
    if ((slowest(Math.exp(middle)) ?? 0) < hz) lo = middle;
    else hi = middle;
  }
  return softer(rig, shaped, Math.exp(hi));
}

function softer(rig: Rig, shaped: readonly number[], factor: number): Rig {
  const change = (joint: Joint): Joint => {
    const known = stiffnessOf(joint);
    if (!known) return joint;
    return {
      ...joint,
      servo: { ...joint.servo, stiffness_nm_rad: (factor * known.stiffness) / joint.gear_ratio ** 2 },
    };
  };
  return { ...rig, joints: rig.joints.map((joint, i) => (shaped.includes(i) ? change(joint) : joint)) };
}

/** So much is left of a swing that is worth a share of it. */
const WORTH = 0.02;

/** What is left with the cure, as a sentence without its stop. */
export function leftWords(tried: Tried | { readonly untried: string }): string {
  if ('untried' in tried) return `the cure could not be tried in simulation: ${tried.untried}`;
  const { joint, unit, before, after, move, moves } = tried.trial;
  const swing = (size: number): string => `±${size.toFixed(2)} ${unit}`;
  const soft = 'in a simulation made soft enough to swing at that frequency,';
  if (before < WORTH)
    return `${soft} nothing keeps swinging after any of ${String(moves)} moves, with or without the cure`;
  const share = `${((100 * after) / before).toFixed(0)} %`;
  return `${soft} ${joint} keeps swinging by ${swing(before)} after the worst of ${String(moves)} moves, ${move}; with the cure by ${swing(after)}, ${share} of that`;
}

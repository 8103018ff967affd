/**
 * From a measured wobble to its cure: the one that quiets all that the wobble may be and that the controller can run, what it costs,
 * and how sure that is, in words.
 */
import { movesWords } from '../load/words.ts';
import { type Wobble, swingsToHalve } from '../physics/vibration/decrement.ts';
import type { Shake } from '../physics/vibration/shake.ts';
import { quietRange } from '../physics/vibration/shaper.ts';
import type { Rig } from '../rig/rig.ts';
import { type Cure, shaperOf } from '../rig/shaper.ts';
import type { ComputedWobble } from './computed-wobble.ts';
import { checkWobble, wobbleDelay_ms, wobbleFilter } from '../rig/wobble.ts';

/** A wobble and where it comes from: a recorded shake, swings that somebody counted, or the rig file. */
export type KnownWobble =
  | ({ readonly from: 'shake' } & Shake)
  | ({ readonly from: 'swings'; readonly swings: number } & Wobble)
  | ComputedWobble;

/** What goes into motion.wobble, and what it does. */
export interface WobbleCure extends Wobble {
  readonly from: KnownWobble['from'];
  readonly cure: Cure;
  /** Frequencies of which about 5 % is left at most, lowest and highest. */
  readonly quiet_hz: readonly [number, number];
  /** How much later the whole prop comes by it. */
  readonly delay_ms: number;
  /** A sentence each: what was found and how sure it is; what cures it, and what that costs; what to know. */
  readonly words: readonly string[];
}

/** In order of preference: the first that covers what the wobble may be. */
const CURES: readonly Cure[] = ['tolerant', 'broad', 'exact'];
/** What a cure may leave; `broad` leaves 5 % at its own frequency, give or take what its curve fit is off. */
const LEFT: Readonly<Record<Cure, number>> = { tolerant: 0.05, broad: 0.055, exact: 0.05 };

/** The cure for a wobble of this rig, or in words why there is none. */
export function cureFor(rig: Rig, measured: KnownWobble): WobbleCure | { readonly problem: string } {
  const hz = Number(measured.hz.toPrecision(4));
  const damping = Number(measured.damping.toFixed(3));
  const tried = CURES.map((cure) => tryCure(rig, cure, hz, damping));
  const running = tried.filter((it) => 'quiet_hz' in it);
  const covers = ({ quiet_hz: [lowest, highest] }: Runs): boolean =>
    lowest <= measured.hz - measured.hz_within && highest >= measured.hz + measured.hz_within;
  const widest = running.reduce<Runs | null>((a, b) => (a && width(a) >= width(b) ? a : b), null);
  const chosen = running.find(covers) ?? widest;
  if (!chosen)
    return { problem: tried.map((it) => ('problem' in it ? it.problem : '')).find((text) => text !== '') ?? '' };
  const { cure, quiet_hz, delay_ms } = chosen;
  const { from, hz_within, damping_within } = measured;
  const words = [foundWords(measured), ...curedWords(rig, chosen), ...doubtWords(measured, covers(chosen))];
  return { from, cure, hz, hz_within, damping, damping_within, quiet_hz, delay_ms, words };
}

interface Runs {
  readonly cure: Cure;
  readonly quiet_hz: readonly [number, number];
  readonly delay_ms: number;
  readonly joints: number;
}
const width = ({ quiet_hz: [lowest, highest] }: Runs): number => highest - lowest;

function tryCure(rig: Rig, cure: Cure, hz: number, damping: number): Runs | { readonly problem: string } {
  const cured: Rig = { ...rig, motion: { ...rig.motion, wobble: { cure, hz, damping } } };
  const problems: string[] = [];
  checkWobble(cured, { error: (_, message) => problems.push(message), warning: () => undefined });
  const range = quietRange(shaperOf(cure, hz, damping), hz, damping, LEFT[cure]);
  if (problems.length > 0 || !range) return { problem: problems[0] ?? `the ${cure} cure does not quiet it` };
  const joints = wobbleFilter(cured)?.joints.length ?? 0;
  return { cure, quiet_hz: [hz * range[0], hz * range[1]], delay_ms: wobbleDelay_ms(cured), joints };
}

/** A figure with as many decimals as what it may be off by is worth. */
function within(value: number, off: number, unit: string): string {
  const decimals = off > 0 ? Math.min(3, Math.max(0, 1 - Math.floor(Math.log10(off)))) : 3;
  return `${value.toFixed(decimals)}${unit}, give or take ${off.toFixed(decimals)}${unit}`;
}

function foundWords(measured: KnownWobble): string {
  const { hz, hz_within, damping, damping_within } = measured;
  if (measured.from === 'computed')
    return `computed, not measured: ${movesWords(measured.mostly)} would swing at ${within(hz, hz_within, ' Hz')}, by ${measured.assumed ? 'an assumed servo stiffness' : 'the stiffness of its servos'}; its damping is taken as ${String(damping)} (a usual figure, not measured)`;
  const figures = `it wobbles at ${within(hz, hz_within, ' Hz')}, with a damping of ${within(damping, damping_within, '')} (19 times in 20)`;
  const halves = damping > 0 ? `: a swing is half as large after ${swingsToHalve(damping).toFixed(1)} more` : '';
  if (measured.from === 'swings') return `${figures}${halves}; from ${String(measured.swings)} counted swings`;
  const { swings, column, from_s, to_s, explained } = measured;
  return `${figures}${halves}; from ${swings.toFixed(0)} swings in the column ${column}, ${from_s.toFixed(2)} to ${to_s.toFixed(2)} s, of whose motion one decaying swing explains ${(100 * explained).toFixed(0)} %`;
}

function curedWords(rig: Rig, { cure, quiet_hz: [lowest, highest], delay_ms, joints }: Runs): string[] {
  const whom =
    joints === rig.joints.length
      ? 'every joint'
      : `${String(joints)} of ${String(rig.joints.length)} joints, which move the weight,`;
  return [
    `cure: ${cure}, which leaves about 5 % at most of a wobble from ${lowest.toFixed(2)} to ${highest.toFixed(2)} Hz`,
    `it costs ${delay_ms.toFixed(0)} ms: the whole prop moves that much later, and quick turns of ${whom} are rounded off`,
  ];
}

function doubtWords(measured: KnownWobble, covered: boolean): string[] {
  if (measured.from === 'computed')
    return [
      'rods, plates and stand bend too, so the real prop swings more slowly: measure it there, with --shake or --swings, before you trust this',
    ];
  const words: string[] = [];
  if (!covered)
    words.push(
      'the frequency is not precise enough for the cures this rig can run: measure again, and count or record more swings',
    );
  if (measured.damping_within > Math.max(0.01, 0.7 * measured.damping))
    words.push('the damping is imprecise; that matters less than the frequency');
  if (measured.from === 'shake' && measured.drifts !== 0) {
    const percent = Math.abs(100 * measured.drifts).toFixed(1);
    words.push(
      `small swings are ${percent} % ${measured.drifts > 0 ? 'faster' : 'slower'} than large ones: a sign of play or a soft mount, and no cure fits both exactly`,
    );
  }
  words.push('it was measured in one pose, at the weight the prop had then: measure again when that changes');
  return words;
}

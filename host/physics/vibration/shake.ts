/**
 * Frequency and damping of a wobble from a measured shake: somebody pushes the prop and lets go, a phone on it records. Finds the
 * stretch in which it rings by itself, fits a decaying sine, and says how sure that is; or says in words why there is no answer.
 */
import { type Wobble, dampingOf } from './decrement.ts';
import { type DecayingSine, fitDecayingSine } from './decaying-sine.ts';
import { type EvenRecord, type Stretch, standingOut, stretchesOf } from './free-decay.ts';

/** What was measured: instants, rising, and any number of accelerations or angles at them. */
export interface ShakeRecord {
  readonly t_s: Float64Array;
  readonly columns: readonly { readonly name: string; readonly values: Float64Array }[];
}

export interface Shake extends Wobble {
  readonly column: string;
  /** The stretch it was taken from, in the record's own time. */
  readonly from_s: number;
  readonly to_s: number;
  /** Periods in that stretch. */
  readonly swings: number;
  /** Share of the motion in that stretch that one decaying swing explains. */
  readonly explained: number;
  /** From the first half of the stretch to the second the frequency changed by this share, and surely; 0: not surely. */
  readonly drifts: number;
}

type Outcome =
  { readonly shake: () => Shake; readonly weight: number } | { readonly problem: string; readonly rank: number };

const NINETEEN_IN_20 = 1.96;
const LEAST_SAMPLES = 32;
/** Less than this explained is no single wobble. */
const EXPLAINED = 0.7;
const LEAST_SWINGS = 3;
/** A decay is believed when it is so many standard errors, and takes at least this share of the swing away. */
const SURE = 4;
const DECAYED = 0.25;
/** More damping than this dies in two swings. */
const MOST_DAMPING = 0.25;
/** Frequencies of the spectrum that are tried in each column. */
const TRIED = 6;
/** The change from half to half is told when it is more than this, and more than three standard errors. */
const DRIFTED = 0.005;

const NOT_FITTED = { problem: 'no decaying swing fits the record', rank: 1 };

/** The wobble in a record, from the column that swings most, or in words why there is none. */
export function wobbleOfShake(record: ShakeRecord): Shake | { readonly problem: string } {
  const n = record.t_s.length;
  if (n < LEAST_SAMPLES)
    return {
      problem: `the record has ${String(n)} points; a shake takes ${String(LEAST_SAMPLES)} at least, and five seconds or more`,
    };
  const outcomes = record.columns.flatMap(({ name, values }) => tryColumn(record.t_s, name, values));
  const found = outcomes.filter((outcome) => 'shake' in outcome);
  if (found.length > 0) return found.reduce((a, b) => (b.weight > a.weight ? b : a)).shake();
  const failed = outcomes.filter((outcome) => 'problem' in outcome);
  const NOTHING =
    'nothing in the record rings and dies away: push the prop once, let go, leave it alone until it is still, and record all of it';
  return { problem: failed.reduce((a, b) => (b.rank > a.rank ? b : a), { problem: NOTHING, rank: 0 }).problem };
}

function tryColumn(t_s: Float64Array, name: string, values: Float64Array): Outcome[] {
  const record = evenly(t_s, values);
  return standingOut(record)
    .slice(0, TRIED)
    .flatMap((hz) => stretchesOf(record, hz))
    .map((stretch) => tryStretch(t_s, name, values, record, stretch));
}

/** The record at even steps of its median step, by straight lines: for the search only, the fit takes the points themselves. */
function evenly(t_s: Float64Array, values: Float64Array): EvenRecord {
  const steps = t_s
    .slice(1)
    .map((t, i) => t - t_s[i]!)
    .sort();
  const step_s = steps[steps.length >> 1]!;
  const count = Math.floor((t_s.at(-1)! - t_s[0]!) / step_s + 1e-6) + 1;
  let k = 0;
  const even = Float64Array.from({ length: count }, (_, i) => {
    const t = t_s[0]! + i * step_s;
    while (k + 2 < t_s.length && t_s[k + 1]! <= t) k++;
    const share = (t - t_s[k]!) / (t_s[k + 1]! - t_s[k]!);
    return values[k]! + Math.min(1, share) * (values[k + 1]! - values[k]!);
  });
  return { step_s, values: even };
}

function tryStretch(
  t_s: Float64Array,
  name: string,
  values: Float64Array,
  even: EvenRecord,
  stretch: Stretch,
): Outcome {
  const first = t_s.findIndex((t) => t >= t_s[0]! + stretch.from * even.step_s - 1e-9);
  const last = t_s.findLastIndex((t) => t <= t_s[0]! + stretch.to * even.step_s + 1e-9);
  const [times, points] = [t_s.subarray(first, last + 1), values.subarray(first, last + 1)];
  const fit = fitDecayingSine(times, points, stretch);
  const for_s = (times.at(-1) ?? 0) - (times[0] ?? 0);
  const problem = fit && doubt(fit, for_s);
  if (!fit || problem !== null) return problem ?? NOT_FITTED;
  return { shake: () => described(name, times, points, fit), weight: fit.explained * fit.amplitude ** 2 * for_s };
}

function described(column: string, t_s: Float64Array, y: Float64Array, fit: DecayingSine): Shake {
  const natural = Math.hypot(fit.turn, fit.decay);
  const hz = natural / (2 * Math.PI);
  const [from_s, to_s] = [t_s[0]!, t_s.at(-1)!];
  const { drifts, off } = halves(t_s, y, fit);
  return {
    hz,
    hz_within: Math.max((NINETEEN_IN_20 * fit.turn_error) / (2 * Math.PI), off * hz),
    damping: dampingOf((2 * Math.PI * fit.decay) / fit.turn),
    damping_within: (NINETEEN_IN_20 * fit.decay_error) / natural,
    column,
    from_s,
    to_s,
    swings: (fit.turn * (to_s - from_s)) / (2 * Math.PI),
    explained: fit.explained,
    drifts,
  };
}

/** Why a fit is no wobble to cure; null: it is one. The rank says which of several reasons is worth telling. */
function doubt(fit: DecayingSine, for_s: number): { problem: string; rank: number } | null {
  const swings = (fit.turn * for_s) / (2 * Math.PI);
  const hz = (fit.turn / (2 * Math.PI)).toFixed(2);
  if (!Number.isFinite(swings + fit.turn_error + fit.decay_error)) return NOT_FITTED;
  if (fit.explained < EXPLAINED) {
    const share = (100 * fit.explained).toFixed(0);
    return {
      problem: `one swing that dies away, at ${hz} Hz, explains only ${share} % of the motion: it may have been pushed or held meanwhile, or wobble in two ways at once; push it once, in one direction, and let go`,
      rank: 1 + fit.explained,
    };
  }
  if (swings < LEAST_SWINGS || fit.decay > MOST_DAMPING * fit.turn)
    return {
      problem: `what there is at ${hz} Hz is gone after ${swings.toFixed(1)} swings: too soon to measure, and hardly a wobble to cure`,
      rank: 3,
    };
  if (fit.decay < SURE * fit.decay_error || 1 - Math.exp(-fit.decay * for_s) < DECAYED)
    return {
      problem: `it swings at ${hz} Hz and does not clearly die away in ${for_s.toFixed(1)} s: something may be driving it, or it was recorded too briefly; record until it is still`,
      rank: 4,
    };
  return null;
}

/** Whether the frequency is another in the second half: a wobble that is large and one that is small may differ. */
function halves(t_s: Float64Array, y: Float64Array, whole: DecayingSine): { drifts: number; off: number } {
  const middle = t_s.length >> 1;
  const swings = (whole.turn * (t_s[middle]! - t_s[0]!)) / (2 * Math.PI);
  if (swings < LEAST_SWINGS) return { drifts: 0, off: 0 };
  const early = fitDecayingSine(t_s.subarray(0, middle), y.subarray(0, middle), whole);
  const late = fitDecayingSine(t_s.subarray(middle), y.subarray(middle), whole);
  if (!early || !late) return { drifts: 0, off: 0 };
  const change = (late.turn - early.turn) / whole.turn;
  const error = Math.hypot(late.turn_error, early.turn_error) / whole.turn;
  const sure = Math.abs(change) > Math.max(DRIFTED, 3 * error) && late.explained > EXPLAINED;
  return sure ? { drifts: change, off: Math.abs(change) / 2 } : { drifts: 0, off: 0 };
}

/**
 * The new stream at one of two paces: the quickest within the limits, or, where that would stutter, one that is a little slower
 * and adds no speed peak to what carries something.
 */
import type { StoredStream } from '../stream/stored.ts';
import { CarryingColumns, addedPeaks } from './carrying.ts';
import { assemble, type Paced } from './paced.ts';
import type { Pace } from './result.ts';
import { solveAll } from './solve.ts';
import { Steadiness } from './steady.ts';
import { Stretch } from './stretch.ts';
import type { Whole } from './whole.ts';

/** So many times as long as the quickest it may take at most. */
const MOST_LONGER = 1.15;
/** Eases that are tried, per s: at the first no peak is added, at the last hardly any is kept away. */
const EASES = [0, ...Array.from({ length: 14 }, (_, k) => 2 ** (k - 5))];
/** Planned lengths are a little short: so often the next ease is tried, so many further on. */
const MOST_TRIES = 3;
const FURTHER = 2;

export interface Steadied {
  readonly stretches: readonly Paced[];
  readonly stream: StoredStream;
  readonly pace: Pace;
}

type Progress = (share: number) => void;

interface Solved {
  readonly stretches: readonly Paced[];
  readonly stream: StoredStream;
}

/** @param whole without steadiness. @param isQuickest whether to stay with the quickest pace whatever it adds. */
export function solveSteadied(whole: Whole, isQuickest: boolean, progress: Progress): Steadied {
  const { stream, motion, tooMuch } = whole;
  const columns = new CarryingColumns(motion.rig, stream);
  const isWithin = !tooMuch.includes(1);
  const quick = isWithin ? { stretches: [], stream } : solved(whole, progress);
  const peaks = columns.peaks(quick.stream);
  const quickest = { quickest_s: length_s(quick.stream), quickest_peaks: peaks, peaks };
  const stay = (kind: Pace['kind']): Steadied => ({ ...quick, pace: { ...quickest, kind } });
  if (isQuickest || addedPeaks(peaks) === 0) return stay('quickest');
  const steady = new Steadiness(stream, columns.places, whole.frame_s);
  const most_s = MOST_LONGER * quickest.quickest_s;
  for (let k = firstEase(whole, steady), tries = 0; k < EASES.length && tries < MOST_TRIES; k += FURTHER, tries++) {
    steady.ease = EASES[k]!;
    const found = solved({ ...whole, steady }, progress);
    if (length_s(found.stream) > most_s || isLater(found.stretches, quick.stretches)) continue;
    const left = columns.peaks(found.stream);
    if (addedPeaks(left) >= addedPeaks(peaks)) break;
    return { ...found, pace: { ...quickest, peaks: left, kind: k === 0 ? 'steady' : 'eased' } };
  }
  return stay('eased');
}

const length_s = (stream: StoredStream): number => stream.time(stream.count - 1) - stream.time(0);

function solved(whole: Whole, progress: Progress): Solved {
  const stretches = solveAll(whole, progress);
  return { stretches, stream: assemble(whole, stretches) };
}

/** Number of the least ease at which it is planned to take not too much longer. */
function firstEase(whole: Whole, steady: Steadiness): number {
  const quickest_s = planned_s(whole);
  const timesAt = (k: number): number => {
    steady.ease = EASES[k]!;
    return planned_s({ ...whole, steady }) / quickest_s;
  };
  if (timesAt(0) <= MOST_LONGER) return 0;
  let [tooLong, enough] = [0, EASES.length - 1];
  while (enough - tooLong > 1) {
    const middle = (tooLong + enough) >> 1;
    if (timesAt(middle) > MOST_LONGER) tooLong = middle;
    else enough = middle;
  }
  return enough;
}

/** How long all of a stream takes by its limits at frames alone, s. */
const planned_s = (whole: Whole): number => new Stretch(whole, { from: 0, to: whole.stream.count - 1 }).plan();

/** Whether a kept beat comes later than it does at the quickest pace. */
function isLater(stretches: readonly Paced[], quickest: readonly Paced[]): boolean {
  const late_s = quickest[0]?.late_s ?? [];
  return (stretches[0]?.late_s ?? []).some((late, k) => late > (late_s[k] ?? 0) + 0.0005);
}

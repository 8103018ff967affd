/**
 * Retimes a stream for a rig: fits it into reach if asked to, finds where ticks ask for too much, slows those places just
 * enough, and leaves all else as it was. In memory: the stream, and of what is slowed some ten times as much.
 */
import { type Rig, POSE_KEYS, toDeg, toShown } from '../rig/rig.ts';
import { type StreamSource, streamJoints } from '../stream/read.ts';
import { ShakeWatch } from '../stream/shaking.ts';
import { type Smoothed, smoothStream } from '../stream/smooth.ts';
import { storeStream } from '../stream/store.ts';
import { StoredStream } from '../stream/stored.ts';
import { type AxisFit, fitRow, fitStream, isSame, sameSize } from './fit.ts';
import { solveFreely } from './freely.ts';
import { Loads } from './loads.ts';
import { RigMotion } from './motion.ts';
import { type Paced, warpOf } from './paced.ts';
import { type Stopped, whatStopsStream } from './reachable.ts';
import type { Because, Fitted, Kept, RetimeAnswer, RetimeTraces, RetimedJoint, SoftenedJoint } from './result.ts';
import { becauseOf, changedPlaces } from './slowness.ts';
import { softenLone } from './soften/soften.ts';
import { solveSteadied } from './steadied.ts';
import { resized, withinTempo } from './tempo.ts';
import { type Excess, type Peaks, flags, walkAll } from './ticks.ts';
import { MOST_SLOWER, TooSlow } from './too-slow.ts';
import { type Unheld, unheld } from './unheld.ts';
import { frameStep, type Whole } from './whole.ts';
import { timesAsLong } from './words.ts';

export interface RetimeOptions {
  readonly fit: boolean;
  /** Cut-off of a low-pass run over the stream before all else, Hz; undefined: none. */
  readonly smooth_hz?: number | undefined;
  /** Smaller rather than slower: the stream may take at most so many times as long, more than 1; undefined: whatever it takes. */
  readonly tempo?: number | undefined;
  /** Joints that carry nothing slow the rest with them; else they are softened by themselves first. */
  readonly together?: boolean;
  /** Times of the stream to keep, within it, increasing. */
  readonly kept_s: readonly number[];
  /** As quick as can be, even where that adds speed peaks. */
  readonly quickest?: boolean;
  /** The stream's name in the answer. */
  readonly name: string;
  /** Called now and then with the share done, 0 to 1. */
  readonly progress?: (share: number) => void;
}

/** The new stream, and what became of the old. */
export interface Retimed {
  readonly answer: RetimeAnswer;
  readonly traces: RetimeTraces;
  readonly stream: StoredStream;
}

/** Why nothing was done: poses out of reach. */
export interface OutOfReach {
  readonly stops: readonly Stopped[];
  /** Looks at the stream, of which `stops` counts those that were stopped. */
  readonly looks: number;
  /** It was to be fitted, and not even standing still fits. */
  readonly isUnfit: boolean;
}

/** Why nothing was done: a place would take more than MOST_SLOWER times as long. */
export interface Endless {
  /** Nothing is out of reach. */
  readonly stops: readonly [];
  readonly from_s: number;
  readonly to_s: number;
  /** What asks for most there. */
  readonly because: Because | null;
}

export type NotDone = OutOfReach | Endless | Unheld;

/** A beat later than this is told, s: half of the millisecond that is shown. */
const TOLD_LATE_S = 0.0005;

/** Retimes a stream that has been scanned before: it has no errors, and a frame at least. */
export async function retime(rig: Rig, source: StreamSource, options: RetimeOptions): Promise<Retimed | NotDone> {
  const loaded = await storeStream(source, rig);
  const smoothed = options.smooth_hz === undefined ? null : smoothStream(loaded, options.smooth_hz);
  const plain = smoothed?.stream ?? loaded;
  const fits = options.fit ? fitStream(rig, plain) : sameSize(plain);
  if (!fits) return { ...whatStopsStream(rig, plain), isUnfit: true };
  const slowed = (sizes: readonly AxisFit[]): Retimed | NotDone => slow(rig, plain, sizes, smoothed, options);
  if (options.tempo === undefined) return slowed(fits);
  const { done, share } = withinTempo(
    options.tempo,
    (size) => slowed(resized(rig, plain, fits, size)),
    (tried) => ('because' in tried ? MOST_SLOWER - 1 : 'stops' in tried ? null : timesAsLong(tried.answer) - 1),
  );
  if ('stops' in done) return done;
  const isKept = timesAsLong(done.answer) <= options.tempo;
  const answer = { ...done.answer, ok: done.answer.ok && isKept, tempo: { asked: options.tempo, share } };
  return { ...done, answer };
}

/** Slows a stream where it asks for too much at the size given. */
function slow(
  rig: Rig,
  plain: StoredStream,
  fits: readonly AxisFit[],
  smoothed: Smoothed | null,
  options: RetimeOptions,
): Retimed | NotDone {
  const asked = fits.every(isSame) ? plain : fittedStream(plain, fits);
  const reach = whatStopsStream(rig, asked);
  if (reach.stops.length > 0) return { ...reach, isUnfit: false };

  const motion = new RigMotion(rig);
  const beyond = unheld(motion, asked);
  if (beyond) return beyond;
  const loads = new Loads(motion);
  const before = walkAll(motion, loads, asked);
  const isSoft = options.together !== true && before.found.length > 0;
  const { stream, softened } = isSoft ? softenLone(motion, loads, asked) : { stream: asked, softened: [] };
  const { found } = softened.length > 0 ? walkAll(motion, loads, stream) : before;
  const whole: Whole = {
    motion,
    loads,
    stream,
    tooMuch: flags(motion, stream, found),
    frame_s: frameStep(rig, stream),
    kept_s: options.kept_s,
    steady: null,
  };
  const isQuickest = options.quickest === true;
  const progress = options.progress ?? ((): void => undefined);
  const paced = withEnd(() => {
    const free = isSoft ? solveFreely(whole, isQuickest, progress) : null;
    return free ?? { ...solveSteadied(whole, isQuickest, progress), softened: [], after: null };
  });
  if (paced instanceof TooSlow) return endless(motion, stream, found, paced);
  const { stretches, stream: fresh, pace } = paced;
  const after = paced.after ?? walkAll(motion, loads, fresh);
  const kept = keptBeats(options.kept_s, stretches);
  const answer: RetimeAnswer = {
    ok: after.found.length === 0 && !isOverloaded(rig, after.peaks) && kept.every(({ late_s }) => late_s === 0),
    rig: rig.name,
    stream: options.name,
    frames_before: asked.count,
    frames_after: fresh.count,
    seconds_before: length_s(stream),
    seconds_after: length_s(fresh),
    pace,
    shaking: smoothed ? [] : shakingColumns(rig, plain),
    smoothed: smoothed && smoothedAxes(rig, smoothed),
    tempo: null,
    fitted: fittedAxes(rig, fits),
    softened: withMore(softened, paced.softened),
    ...changedPlaces(motion, stretches, found),
    kept,
    peak_use: largestUse(after.peaks),
    joints: jointAnswers(motion, before.peaks, after.peaks),
    too_much_ticks: after.found.length,
    gaps: loads.gaps,
  };
  const traces = { warp: warpOf(stream, stretches), before: before.worst.data(), after: after.worst.data() };
  return { answer, traces, stream: fresh };
}

/** What `solve` finds, or that some place would be slowed without end. */
function withEnd<Found>(solve: () => Found): Found | TooSlow {
  try {
    return solve();
  } catch (error) {
    if (error instanceof TooSlow) return error;
    throw error;
  }
}

function endless(motion: RigMotion, stream: StoredStream, found: readonly Excess[], { from, to }: TooSlow): Endless {
  const [from_s, to_s] = [stream.time(from), stream.time(to)];
  return { stops: [], from_s, to_s, because: becauseOf(motion, found, from_s, to_s) };
}

const length_s = (stream: StoredStream): number => stream.time(stream.count - 1) - stream.time(0);

function fittedStream(stream: StoredStream, fits: readonly AxisFit[]): StoredStream {
  const fitted = new StoredStream(stream.size - POSE_KEYS.length);
  const row = new Float64Array(stream.size);
  for (let f = 0; f < stream.count; f++) {
    fitRow(fits, stream.row(f), row);
    fitted.pushRow(stream.time(f), row);
  }
  return fitted;
}

/** The stream's columns in its order of values, without and with their unit. */
function columnsOf(rig: Rig): { readonly name: string; readonly unit: 'mm' | 'deg' }[] {
  return [...POSE_KEYS, ...streamJoints(rig).map((name) => `${name}_deg`)].map((column) => {
    const unit = column.endsWith('_mm') ? 'mm' : 'deg';
    return { name: column.slice(0, -unit.length - 1), unit };
  });
}

const shownIn = (unit: 'mm' | 'deg', value: number): number => (unit === 'mm' ? value : toDeg(value));

function fittedAxes(rig: Rig, fits: readonly AxisFit[]): Fitted[] {
  return columnsOf(rig).flatMap(({ name, unit }, k) => {
    const fit = fits[k];
    if (!fit || isSame(fit)) return [];
    const { scale, centre, moved } = fit;
    return [{ name, unit, scale, centre: shownIn(unit, centre), moved: shownIn(unit, moved) }];
  });
}

function smoothedAxes(rig: Rig, { cutoff_hz, residual }: Smoothed): RetimeAnswer['smoothed'] {
  const residuals = columnsOf(rig).flatMap(({ name, unit }, k) =>
    residual[k]! > 0 ? [{ name, unit, rms: shownIn(unit, residual[k]!) }] : [],
  );
  return { cutoff_hz, residuals };
}

function shakingColumns(rig: Rig, stream: StoredStream): string[] {
  const watch = new ShakeWatch(stream.size);
  for (let f = 0; f < stream.count; f++) watch.add(stream.time(f), stream.row(f));
  const columns = columnsOf(rig);
  return watch.found().map((k) => columns[k]!.name);
}

/** A joint softened once more is told of once: as it was at first. */
const withMore = (softened: readonly SoftenedJoint[], more: readonly SoftenedJoint[]): SoftenedJoint[] => [
  ...softened,
  ...more.filter(({ name }) => softened.every((told) => told.name !== name)),
];

function keptBeats(kept_s: readonly number[], stretches: readonly Paced[]): Kept[] {
  const late_s = stretches[0]?.late_s ?? [];
  return kept_s.map((at_s, k) => {
    const late = late_s[k] ?? 0;
    return { at_s, late_s: late < TOLD_LATE_S ? 0 : late };
  });
}

const known = (use: number): number | null => (Number.isFinite(use) ? use : null);

/** Null where no servo's is known, or one turns as fast as it would without load. */
function largestUse({ use }: Peaks): number | null {
  const uses = use.filter((value) => !Number.isNaN(value));
  return uses.length > 0 ? known(Math.max(...uses)) : null;
}

/** Whether a servo is above its peak use still: its weight alone is too much. */
const isOverloaded = (rig: Rig, { use }: Peaks): boolean =>
  rig.joints.some(({ servo }, i) => use[i]! > servo.peak_use * 1.001);

function jointAnswers({ rig, poseAxes }: RigMotion, before: Peaks, after: Peaks): RetimedJoint[] {
  return rig.joints.map((joint, i) => {
    const shown = (value: number): number => toShown(joint, value);
    const of = ({ speed, plus, minus, use }: Peaks): RetimedJoint['before'] => ({
      speed: shown(speed[poseAxes + i]!),
      plus: shown(plus[poseAxes + i]!),
      minus: shown(minus[poseAxes + i]!),
      use: known(use[i]!),
    });
    const { name, unit, speed, plus, minus, servo } = joint;
    const limits = { speed: shown(speed), plus: shown(plus), minus: shown(minus), use: servo.peak_use };
    return { name, unit, limits, before: of(before), after: of(after) };
  });
}

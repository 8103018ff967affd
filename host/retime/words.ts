/** What retiming did, in a maker's words: one for the command line and the page, so that they say the same. */
import type { Verdict } from '../replay/verdict.ts';
import { effortOf, namesWords, shakingWords } from '../replay/words.ts';
import { counted } from '../rig/words.ts';
import type { Changed, Fitted, RetimeAnswer, RetimedJoint, SoftenedJoint, ColumnPeaks } from './result.ts';
import type { Endless } from './retime.ts';
import { ALLOWED, type Bound } from './ticks.ts';
import { MOST_SLOWER } from './too-slow.ts';
import type { Unheld } from './unheld.ts';

const ASKS: Readonly<Record<Bound, string>> = {
  speed: 'speed',
  plus: 'upward acceleration',
  minus: 'downward acceleration',
  torque: 'torque',
};

/** To one decimal, and never -0. */
const tenth = (value: number): string => {
  const text = value.toFixed(1);
  return Number(text) === 0 ? text.replace('-', '') : text;
};

/** A share in percent, without its sign; a question mark when it is not known. */
export const percentWords = (share: number | null): string => (share === null ? '?' : (100 * share).toFixed(0));

/** A figure as it is shown beside its limit: what counts as at the limit is not shown above it. */
export const besideLimit = (value: number, limit: number): number =>
  value > limit && value <= limit * ALLOWED ? limit : value;

/** What share of its servo a joint asked for before: beyond its no-load speed there is none that would do. */
const usedBefore = ({ unit, before, after }: RetimedJoint): string =>
  before.use === null && after.use !== null ? `no ${effortOf([{ unit }])} left` : percentWords(before.use);

/** Shares of its servo that a joint asked for and asks for, beside the limit; null: its servo's figures are not known. */
export const usedWords = (joint: RetimedJoint): readonly [was: string, is: string] | null =>
  joint.after.use === null
    ? null
    : [usedBefore(joint), `${percentWords(joint.after.use)} of ${percentWords(joint.limits.use)} %`];

/** How one axis was made to fit. */
export function fittedWords({ name, unit, scale, centre, moved }: Fitted): string {
  const size = scale === 1 ? 'keeps its size' : `is scaled to ${percentWords(scale)} %, about ${tenth(centre)} ${unit}`;
  const place = moved === 0 ? '' : `${scale === 1 ? ' and' : ','} is moved by ${tenth(moved)} ${unit}`;
  return `${name} ${size}${place}`;
}

/** What smoothing took, most of it first; none when it was not asked for. */
export function smoothedWords({ smoothed }: RetimeAnswer): readonly string[] {
  if (!smoothed) return [];
  const cutoff = `low-pass, ${String(Number(smoothed.cutoff_hz.toPrecision(3)))} Hz`;
  const took = smoothed.residuals.map(({ name, unit, rms }) => `${name} ${rms.toFixed(rms < 0.0995 ? 3 : 2)} ${unit}`);
  return [`${cutoff}; removed ${took.length > 0 ? `${namesWords(took)} (root mean square)` : 'nothing'}`];
}

/** How many times as long it takes; a single frame takes no time, before and after. */
export const timesAsLong = ({
  seconds_before,
  seconds_after,
}: Pick<RetimeAnswer, 'seconds_before' | 'seconds_after'>): number =>
  seconds_before > 0 ? seconds_after / seconds_before : 1;

/** The size that keeps the tempo; none when it was not asked for. */
export function tempoWords({ tempo, seconds_before, seconds_after }: RetimeAnswer): readonly string[] {
  if (!tempo) return [];
  const took = timesAsLong({ seconds_before, seconds_after });
  if (took > tempo.asked)
    return [
      `${took.toFixed(2)} times as long, where ${String(tempo.asked)} was allowed, though gestures are at ${percentWords(tempo.share)} % of their size`,
    ];
  const size =
    tempo.share === 1
      ? 'no gesture had to be made smaller'
      : `gestures are at ${percentWords(tempo.share)} % of the size that fits`;
  return [`${took.toFixed(2)} times as long, ${String(tempo.asked)} allowed: ${size}`];
}

/** Less than this, in deg or mm, nobody sees (ours). */
const isSeen = ({ lost }: Pick<SoftenedJoint, 'lost'>): boolean => lost >= 0.05;

/** What became of a joint that was softened by itself. */
export function softenedWords({ name, unit, way, strokes, moved_s, lost, of, at_s }: SoftenedJoint): string {
  const many = counted(strokes, 'move');
  if (way === 'strokes')
    return `${name}: ${many} take${strokes === 1 ? 's' : ''} longer, using the pauses between them${moved_s < 0.0005 ? '' : `, and shift by at most ${(1000 * moved_s).toFixed(0)} ms, at ${at_s.toFixed(2)} s`}`;
  const what = !isSeen({ lost })
    ? 'no visible loss'
    : `a move loses ${tenth(lost)} of its ${tenth(of)} ${unit} at ${at_s.toFixed(2)} s`;
  return `${name}: ${many} with no pause between them follow${strokes === 1 ? 's' : ''} the nearest curve within its limits: ${what}`;
}

/** Near 1 the percentage says more. */
const lengthWords = (by: number): string =>
  Math.abs(by - 1) < 0.095
    ? `${Math.abs(100 * (by - 1)).toFixed(1)} % ${by > 1 ? 'longer' : 'shorter'}`
    : `${by.toFixed(by < 10 ? 2 : 0)} times as long`;

/** One place that takes another time than it did. */
export function placeWords({ from_s, to_s, by, because }: Changed): string {
  const why = because ? `: ${because.name} is asked for too much ${ASKS[because.bound]}` : '';
  return `${from_s.toFixed(2)} … ${to_s.toFixed(2)} s takes ${lengthWords(by)}${why}`;
}

/** What would have to change so that a place need not be slowed so much. */
const CURES: Readonly<Record<Bound, (name: string) => string>> = {
  speed: (name) => `raise the speed of ${name} in the rig file as far as its servo turns`,
  plus: (name) => `raise the acceleration of ${name} in the rig file, plus, as far as its servo bears`,
  minus: (name) => `raise the acceleration of ${name} in the rig file, minus, as far as its servo bears`,
  torque: (name) => `less weight on ${name} or a stronger servo, if the figures in the rig file are right`,
};

/** That slowing ends: where, which limit is to blame, and what to change. */
export function endlessWords({ from_s, to_s, because }: Endless): string {
  const place = `from ${from_s.toFixed(2)} to ${to_s.toFixed(2)} s it would take more than ${String(MOST_SLOWER)} times as long`;
  const smaller = 'smaller gestures (--fit --tempo 2)';
  if (!because) return `${place}, and nothing was written. What helps: ${smaller}`;
  const { name, bound } = because;
  return `${place}: ${name} is asked for too much ${ASKS[bound]}. Nothing was written. What helps: ${CURES[bound](name)}; or ${smaller}`;
}

/** That no pace helps: whose servo cannot hold its weight, where, and what to change. */
export function unheldWords({ joint, at_s, held }: Unheld): string {
  const times = held < 10 ? held.toFixed(1) : held.toFixed(0);
  return `standing still at ${at_s.toFixed(2)} s already takes ${times} times all the torque that the servo of ${joint} has: slowing does not help. Nothing was written. What helps: ${CURES.torque(joint)}`;
}

/** The places that change the length most, in their order, and how many others there are. */
export function mostChanged(places: readonly Changed[], most: number): readonly [Changed[], number] {
  const cost = ({ from_s, to_s, by }: Changed): number => (to_s - from_s) * Math.abs(by - 1);
  const told = [...places]
    .sort((a, b) => cost(b) - cost(a))
    .slice(0, most)
    .sort((a, b) => a.from_s - b.from_s);
  return [told, places.length - told.length];
}

/** `20.00 s become 20.15 s`, or that the length is what it was. */
export const lengthsWords = ({ seconds_before, seconds_after }: RetimeAnswer): string =>
  Math.abs(seconds_after - seconds_before) < 0.005
    ? `${seconds_before.toFixed(2)} s, as before`
    : `${seconds_before.toFixed(2)} s become ${seconds_after.toFixed(2)} s`;

/** Whether nothing of the stream changed. */
export const isUnchanged = ({ slowed, hurried, fitted, smoothed, softened }: RetimeAnswer): boolean =>
  slowed.length + hurried.length + fitted.length + softened.length === 0 && !smoothed;

/** What became of the kept beats; none when there are none. */
export function keptWords({ kept }: RetimeAnswer): readonly string[] {
  const late = kept.filter(({ late_s }) => late_s > 0);
  if (kept.length === 0) return [];
  if (late.length === 0) return [`${kept.map(({ at_s }) => `${String(at_s)} s`).join(', ')}: on time`];
  return late.map(
    ({ at_s, late_s }) =>
      `${String(at_s)} s comes ${(1000 * late_s).toFixed(0)} ms late: the passage before it cannot go faster`,
  );
}

const isOverloaded = ({ after, limits }: RetimedJoint): boolean => (after.use ?? 0) > limits.use * 1.001;

/** Pace is not the cure where weight alone is too much. */
const overloadWords = ({ name, after, limits }: RetimedJoint): string =>
  `the servo of ${name} gives ${percentWords(after.use)} % where ${percentWords(limits.use)} % is allowed, just to hold its weight: slowing down does not help`;

/** What every joint stays within; effort only where what its servo gives is known. */
function withinWords(joints: readonly RetimedJoint[]): string {
  const unknown = joints.filter(({ after }) => after.use === null);
  if (unknown.length === 0)
    return `every joint stays within its speed, acceleration and ${effortOf(joints)} limits at every tick`;
  const names = namesWords(unknown.map(({ name }) => name));
  const whose = unknown.length === 1 ? `the servo of ${names} uses of its` : `the servos of ${names} use of their`;
  return `every joint stays within its speed and acceleration limits at every tick; what share ${whose} ${effortOf(unknown)} is unknown`;
}

/** Whether the prop can follow now, and what is left if not. */
export function canItFollow({ ok, too_much_ticks, kept, joints, softened, tempo, ...answer }: RetimeAnswer): Verdict {
  const question = 'Can it follow now?';
  const lost = softened
    .filter(isSeen)
    .map(({ name, unit, lost: much, of }) => `${name} loses ${tenth(much)} of ${tenth(of)} ${unit} of a move`);
  if (ok) return { question, word: 'yes', because: [withinWords(joints), ...lost].join('; but ') };
  const late = kept.filter(({ late_s }) => late_s > 0).length;
  const reasons = [
    too_much_ticks > 0 ? `${counted(too_much_ticks, 'tick')} still ask for too much` : '',
    ...joints.filter(isOverloaded).map(overloadWords),
    tempo && timesAsLong(answer) > tempo.asked
      ? `it takes ${timesAsLong(answer).toFixed(2)} times as long, where ${String(tempo.asked)} was allowed`
      : '',
    late > 0 ? `${counted(late, 'beat')} of ${String(kept.length)} not on time` : '',
  ];
  return { question, word: 'no', because: reasons.filter((reason) => reason !== '').join('; ') };
}

/** What shakes of a recording, and what to do about it; empty: nothing does, or it was smoothed, or nothing had to be slowed. */
export function noiseWords({ shaking, smoothed, slowed, seconds_before }: RetimeAnswer): string[] {
  // One jump is a jump; noise is everywhere.
  const slowed_s = slowed.reduce((sum, { from_s, to_s }) => sum + to_s - from_s, 0);
  if (smoothed || shaking.length === 0 || slowed_s < seconds_before / 2) return [];
  return [`${shakingWords(shaking)}; --smooth removes that first, and the stream keeps more of its tempo`];
}

/** `yaw has 5 speed peaks instead of 1 and roll …`, what the stream has last; empty: none is added. */
function addedWords(peaks: readonly ColumnPeaks[], verb: string): string {
  const added = peaks.filter(({ before, after }) => after > before);
  return namesWords(
    added.map(({ name, before, after }, k) =>
      k === 0
        ? `${name} ${verb} ${counted(after, 'speed peak')} instead of ${String(before)}`
        : `${name} ${String(after)} instead of ${String(before)}`,
    ),
  );
}

/** The pace, in a sentence; empty where nothing was slowed and no peak is added. */
export function paceWords({ pace, slowed, hurried, seconds_after }: RetimeAnswer): string[] {
  const { kind, quickest_s, peaks, quickest_peaks } = pace;
  if (slowed.length + hurried.length === 0) return [];
  const left = addedWords(peaks, 'has');
  const longer_s = seconds_after - quickest_s;
  const beside = `${longer_s.toFixed(2)} s longer than the fastest pace (${quickest_s.toFixed(2)} s)`;
  if (kind === 'steady')
    return [
      left === ''
        ? `steady, with no speed peaks added: ${beside}, at which ${addedWords(quickest_peaks, 'would have')}`
        : `steady, ${beside}; still ${left}`,
    ];
  if (left === '')
    return [kind === 'quickest' ? 'as fast as possible, with no speed peaks added' : `no speed peaks added: ${beside}`];
  if (kind === 'quickest')
    return [`as fast as possible: ${left}; without --quickest it may take longer and have fewer`];
  const whole = longer_s > 0.005 ? `, ${beside}` : ', the fastest';
  return [
    `${left}: adding none would take over 15 % longer than the fastest pace. It takes ${seconds_after.toFixed(2)} s${whole}`,
  ];
}

/**
 * The judgement on a replay in a maker's words: can it get there, will it be smooth, and the figures behind it. One for the
 * command line and the report, so that they say the same. "Mostly" is at most one tick in twenty.
 */
import type { UNKNOWN } from '../rig/terms.ts';
import { beyondWords } from '../physics/dynamics/beyond.ts';
import { isLeg } from '../rig/shape.ts';
import { together, counted } from '../rig/words.ts';
import type { Answer, Breach, JointAnswer } from './result.ts';
import { breachTime, effortOf, exactWords } from './words.ts';

export type Word = 'yes' | 'mostly' | 'no';

/** `unknown`: a figure is missing, or what was to tell cannot be trusted. `still`: nothing moves, so there is nothing to tell. */
export type Told = Word | typeof UNKNOWN | 'still';

/** An answer as it is shown. */
export const toldWords = (word: Told): string => (word === 'still' ? 'nothing moves' : word);

export interface Verdict {
  readonly question: string;
  readonly word: Word;
  /** One or two sentences with figures; spaces are plain. */
  readonly because: string;
}

const MOSTLY = 0.05;

/** A joint further behind or past than this, in deg or mm, is seen as not smooth (ours). */
export const SMOOTH_WITHIN = 0.5;

/** Less than this, in deg or mm, nobody sees: it is not called behind or past (ours). */
export const VISIBLE = 0.05;

const CAUSES: Readonly<Record<string, string>> = {
  rod: 'out of the rod’s reach',
  stroke: 'end of stroke',
  limit: 'soft limit',
  rod_end: 'rod end',
};

/** What stops a pose, as makers say it; an unknown cause is shown as it came. */
export const causeWords = (cause: string): string => CAUSES[cause] ?? cause.replaceAll('_', ' ');

const PROVEN: Readonly<Record<Answer['proven'], string>> = {
  simulation: 'simulation only, never on silicon',
  emulator: 'an emulated board, never on silicon',
  computer: 'a program on this computer, never on silicon',
  hardware: 'a real board',
};

/** What a replay was proven on. */
export const provenWords = (proven: Answer['proven']): string => PROVEN[proven];

/** Whether what was delivered stayed as near to what was asked as the tolerance wants. */
export const withinTolerance = ({ path, tolerance }: Pick<Answer, 'path' | 'tolerance'>): boolean =>
  path.peak_mm <= tolerance.mm && path.peak_deg <= tolerance.deg;

/** The joint with the largest figure, when it is above 0. */
function most(joints: readonly JointAnswer[], figure: (joint: JointAnswer) => number): JointAnswer | null {
  let found: JointAnswer | null = null;
  for (const joint of joints) if (figure(joint) > (found ? figure(found) : 0)) found = joint;
  return found;
}

/** The joint whose limits changed the motion on most ticks, and its share of all ticks. */
export function mostHeld(answer: Answer): { readonly joint: JointAnswer; readonly share: number } | null {
  const joint = most(answer.joints, (j) => j.limit_ticks);
  return joint && { joint, share: joint.limit_ticks / Math.max(1, answer.ticks) };
}

/** The joint that falls furthest behind, when that is more than SMOOTH_WITHIN. */
export function furthestBehind(answer: Answer): JointAnswer | null {
  const joint = most(answer.joints, (j) => j.peak_error);
  return joint && joint.peak_error > SMOOTH_WITHIN ? joint : null;
}

/** The joint that goes furthest past everything asked of it, when that is more than SMOOTH_WITHIN. */
export function furthestPast(answer: Answer): JointAnswer | null {
  const joint = most(answer.joints, (j) => j.past);
  return joint && joint.past > SMOOTH_WITHIN ? joint : null;
}

const percent = (share: number): string => {
  if (share > 0 && share < 0.001) return 'under 0.1 %';
  if (share < 1 && share > 0.999) return 'over 99.9 %';
  return `${(share * 100).toFixed(share < 0.0995 ? 1 : 0)} %`;
};

const REACH: readonly Breach['what'][] = ['soft_limit', 'rod_end', 'assembly', 'pulse'];

const breached = (answer: Answer, reach: boolean): Breach | undefined =>
  answer.breaches.find((breach) => REACH.includes(breach.what) === reach);

function breachWords(breach: Breach): string {
  const { message } = breach;
  const when = breachTime(breach);
  return `${message.slice(0, 1).toUpperCase()}${message.slice(1).replace(/\.$/, '')}${when === '' ? '' : ` (${when})`}.`;
}

const byShare = (share: number): Word => (share === 0 ? 'yes' : share <= MOSTLY ? 'mostly' : 'no');

/**
 * Can it get there? Judged by the poses out of reach, by joints asked to go beyond their soft limits, and by limits of place broken
 * on the way.
 */
export function canItGetThere(answer: Answer): Verdict {
  const question = 'Can it get there?';
  const breach = breached(answer, true);
  const { out_of_reach: share, beyond } = answer;
  if (share === 0 && beyond.length === 0 && !breach)
    return { question, word: 'yes', because: 'Every pose asked for is within reach.' };
  const [stop] = [...answer.stopped_by].sort((a, b) => b.frames - a.frames);
  const lone = beyond.some(({ joint }) => joint === stop?.joint);
  const by = stop && !lone ? ` What stops it most often is ${stop.joint}: ${causeWords(stop.cause)}.` : '';
  const what =
    answer.stopped_by.length > beyond.length || beyond.length === 0 ? 'the pose asked for' : 'what is asked for';
  const far = `For ${percent(share)} of the time the prop is stopped short of ${what}, at the edge of its reach.${by}`;
  const past = beyond.length > 0 ? `${beyondWords(beyond)}.` : '';
  const because = [past, share > 0 ? far : '', breach ? breachWords(breach) : ''];
  return {
    question,
    word: breach || beyond.length > 0 ? 'no' : byShare(share),
    because: because.filter((words) => words !== '').join(' '),
  };
}

/** What kept the frames from arriving in time. */
function gaps({ starved, late, lost }: Answer): string {
  const said = [
    starved > 0 ? `${counted(starved, 'tick')} had no newer frame to play` : '',
    late > 0 ? `${counted(late, 'frame')} came too late` : '',
    lost > 0 ? `${counted(lost, 'frame')} got lost` : '',
  ].filter((words) => words !== '');
  return said.length > 0 ? ` On the line, ${said.join(', ')}.` : '';
}

/** Which joint goes past what is asked, and which falls further behind than that, if any does; sentences. */
function pastWords(answer: Answer, joint: JointAnswer): string {
  const { name, past, past_at_s, unit, limit_ticks } = joint;
  const goes = `goes ${past.toFixed(1)} ${unit} past everything asked of it at ${past_at_s.toFixed(1)} s`;
  const share = percent(limit_ticks / Math.max(1, answer.ticks));
  const said =
    limit_ticks > 0
      ? `${name} is asked for more than its limits allow: it ${goes}, and runs at its limits for ${share} of the time.`
      : `${name} ${goes}, though it does not reach its own limits.`;
  const behind = furthestBehind(answer);
  if (!behind || behind.peak_error <= past + SMOOTH_WITHIN) return said;
  const { peak_error, peak_error_at_s } = behind;
  return `${said} ${behind === joint ? 'It' : behind.name} falls ${peak_error.toFixed(1)} ${behind.unit} behind at ${peak_error_at_s.toFixed(1)} s.`;
}

/** How near the motion was, or which joint was not. */
function nearness(answer: Answer): string {
  const { path, tolerance } = answer;
  const past = furthestPast(answer);
  if (past) return pastWords(answer, past);
  const behind = furthestBehind(answer);
  if (behind) {
    const { name, peak_error, peak_error_at_s, unit, limit_ticks } = behind;
    const fall = `falls ${peak_error.toFixed(1)} ${unit} behind at ${peak_error_at_s.toFixed(1)} s`;
    const share = percent(limit_ticks / Math.max(1, answer.ticks));
    if (limit_ticks === 0 && answer.wobble_ms > 0)
      return `The wobble cure rounds off quick turns: ${name} is ${peak_error.toFixed(1)} ${unit} from what was asked at ${peak_error_at_s.toFixed(1)} s; slower turns lose less.`;
    return limit_ticks > 0
      ? `${name} is asked for more than its limits allow: it ${fall}, and runs at its limits for ${share} of the time.`
      : `${name} ${fall}, though it does not reach its own limits.`;
  }
  const path_ = `${path.peak_mm.toFixed(2)} mm and ${path.peak_deg.toFixed(2)} deg`;
  if (!withinTolerance(answer))
    return `It is up to ${path_} from what was asked; ${String(tolerance.mm)} mm and ${String(tolerance.deg)} deg are allowed.`;
  const held = mostHeld(answer);
  const touched = held
    ? ` ${held.joint.name} reaches its limits briefly (${percent(held.share)} of the time); not noticeable.`
    : '';
  const furthest = most(answer.joints, (joint) => joint.peak_error);
  const near = furthest ? `${furthest.peak_error.toFixed(2)} ${furthest.unit}` : '0.00 deg';
  const stays = answer.joints.some(({ name }) => isLeg(name))
    ? `It stays within ${path_}`
    : `Every joint stays within ${near}`;
  return `${stays} of what was asked.${touched}`;
}

/** Whether the simulated prop, where there is one, does what it is told as far as it can be trusted: nothing falls or is out of torque. */
export const followsOnMetal = ({ joints, metal }: Pick<Answer, 'joints' | 'metal'>): boolean =>
  (metal?.falls ?? metal?.unsure ?? null) === null && joints.every((joint) => (joint.metal?.saturated_ms ?? 0) === 0);

/** What the simulated prop does not do of what it is told, a sentence; null: nothing, or none was simulated. */
export function metalWords({ joints, metal }: Answer): string | null {
  const short = joints.filter((joint) => (joint.metal?.saturated_ms ?? 0) > 0);
  const times = short.map(({ name, metal: m }) => [name, `for ${milliseconds(m?.saturated_ms ?? 0)}`] as const);
  const [only] = times;
  const what = effortOf(short);
  const ran =
    times.length === 1 && only
      ? `${only[0]} runs out of ${what} ${only[1]}`
      : `servos run out of ${what}: ${times.map((time) => time.join(' ')).join(', ')}`;
  const fell = metal?.falls && `${metal.falls.what} falls at ${metal.falls.at_s.toFixed(2)} s`;
  const said = [...(fell ? [fell] : []), ...(short.length > 0 ? [ran] : [])];
  return said.length === 0 ? null : `In simulation ${said.join('; before that, ')}.`;
}

/** So that a time of less than a millisecond does not read as none. */
export const milliseconds = (ms: number): string => `${ms.toFixed(ms > 0 && ms < 10 ? 1 : 0)} ms`;

/** That the simulation cannot be trusted, and what to look at, a sentence; null: it can. */
export function unsureWords({ metal }: Pick<Answer, 'metal'>): string | null {
  const unsure = metal?.unsure ?? null;
  if (unsure === null) return null;
  const { what, at_s, look_at } = unsure;
  const advice =
    look_at.length > 0 ? look_at.join('; ') : 'give measured shapes, rotor_inertia_kgm2 and stiffness_nm_rad';
  return `The simulation cannot tell: its motion of ${what} runs away at ${at_s.toFixed(2)} s, which no real prop does. Check the rig’s figures: ${advice}.`;
}

/** Columns named one by one; the rest is counted. */
const MOST_COLUMNS = 3;

/**
 * What comes out with more speed peaks than the stream has, a sentence; null: nothing. A wobble cure parts quick turns on purpose,
 * and what it moves does not show that: then nothing is said.
 */
export function stutterWords({ speed_peaks, wobble_ms }: Pick<Answer, 'speed_peaks' | 'wobble_ms'>): string | null {
  if (wobble_ms > 0) return null;
  const more = speed_peaks.filter(({ added }) => added > 0).sort((a, b) => b.added - a.added);
  if (more.length === 0) return null;
  const told = more
    .slice(0, MOST_COLUMNS)
    .map(
      ({ column, asked, delivered }) => `${column.replace(/_(mm|deg)$/, '')} (${String(asked)} → ${String(delivered)})`,
    );
  const others = more.length - told.length;
  const which = together([...told, ...(others > 0 ? [counted(others, 'other')] : [])]);
  return `It speeds up and slows down more often than the stream, in speed peaks: ${which}.`;
}

/** The worse of two. */
const worse = (a: Word, b: Word): Word => (a === 'no' || b === 'no' ? 'no' : a === 'mostly' ? a : b);

/**
 * Will it be smooth? Judged by what the simulated prop does, by joints that go past what is asked or fall behind, by ticks that had
 * nothing to play, and by speed peaks that the stream does not have.
 */
export function willItBeSmooth(answer: Answer): Omit<Verdict, 'word'> & { readonly word: Told } {
  const commands = areItsCommandsSmooth(answer);
  if (answer.frames === 1 && commands.word === 'yes' && metalWords(answer) === null)
    return { ...commands, word: 'still', because: 'The stream has one frame, so there is no motion to judge.' };
  const unsure = unsureWords(answer);
  if (unsure !== null)
    return commands.word === 'no'
      ? { ...commands, because: `${commands.because} ${unsure}` }
      : { ...commands, word: 'unknown', because: unsure };
  const metal = metalWords(answer);
  if (metal === null) {
    const exact = exactWords(answer);
    return exact === null || commands.word === 'no'
      ? commands
      : { ...commands, because: `${commands.because} In simulation ${exact}.` };
  }
  // That its commands are near to what was asked is no comfort when the prop does not follow them.
  const because = commands.word === 'yes' ? metal : `${metal} ${commands.because}`;
  return { ...commands, word: 'no', because };
}

function areItsCommandsSmooth(answer: Answer): Verdict {
  const question = 'Will it be smooth?';
  const breach = breached(answer, false);
  if (breach) return { question, word: 'no', because: breachWords(breach) };
  const missing = Math.max(answer.starved / Math.max(1, answer.ticks), answer.late / Math.max(1, answer.frames));
  const behind = furthestBehind(answer);
  const past = furthestPast(answer);
  const rough = past !== null || behind !== null || !withinTolerance(answer);
  // Rounded turns are no jerk.
  const rounded = answer.wobble_ms > 0 && past === null && (behind?.limit_ticks ?? 0) === 0 && missing <= MOSTLY;
  const word = rough ? (rounded ? 'mostly' : 'no') : byShare(missing);
  const because = nearness(answer) + gaps(answer);
  // What goes past or falls behind stutters for the same reason: it is said once.
  const stutter = word === 'no' ? null : stutterWords(answer);
  if (stutter === null) return { question, word, because };
  return { question, word: worse(word, 'mostly'), because: `${because} ${stutter}` };
}

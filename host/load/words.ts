/** What `load` answers in a maker's words: one for the command line and the page, so that they say the same. */
import { UNKNOWN } from '../rig/terms.ts';
import { type Pose, POSE_KEYS, toDeg } from '../rig/rig.ts';
import { newtonMetres, torqueWords } from '../rig/torque.ts';
import { beyondWords } from '../physics/dynamics/beyond.ts';
import { short, together } from '../rig/words.ts';
import type { Mode } from '../physics/vibration/modes.ts';
import type { JointLoad, LoadAnswer, PlaceAnswer, RestsOn, Room, Trouble } from './result.ts';

export const percent = (share: number): string => `${(100 * share).toFixed(0)} %`;

/** Most digits behind the point of a share. */
const MOST_DIGITS = 2;

/** A share and the one that it is held against, with as many digits as tell them apart. */
export function percents(share: number, against: number): readonly [share: string, against: string] {
  const shown = (value: number, digits: number): string => `${(100 * value).toFixed(digits)} %`;
  let digits = 0;
  while (digits < MOST_DIGITS && share !== against && shown(share, digits) === shown(against, digits)) digits++;
  return [shown(share, digits), digits === 0 ? percent(against) : shown(against, digits)];
}

const newtons = (force_n: number): string => `${Math.abs(force_n).toFixed(1)} N`;

/** The size of an effort. */
export const effortWords = (effort: number, unit: 'deg' | 'mm'): string =>
  unit === 'mm' ? newtons(effort) : newtonMetres(effort);

/** The same where it decides which servo to take: a torque in both units of data sheets. */
export const sizingWords = (effort: number, unit: 'deg' | 'mm'): string =>
  unit === 'mm' ? newtons(effort) : torqueWords(effort);

/** What a servo of that unit gives. */
export const effortName = ({ unit }: Pick<JointLoad, 'unit'>): string => (unit === 'deg' ? 'torque' : 'force');

const amperes = (current_a: number): string => `${current_a.toFixed(1)} A`;

/** Displacements from home that show, each with its unit. */
export function poseWords(pose: Pose | null, digits = 1): string[] {
  return (pose ?? []).flatMap((value, k) => {
    const [name = '', unit = ''] = (POSE_KEYS[k] ?? '').split('_');
    const shown = short(unit === 'deg' ? toDeg(value) : value, digits);
    return shown === '0' ? [] : [`${name} ${shown} ${unit}`];
  });
}

/** `home`, or the pose and the joints that are away from 0. */
export function placeWords({ pose, joints }: PlaceAnswer, wanted: readonly string[] = Object.keys(joints)): string {
  const others = wanted.flatMap((name) => {
    const shown = short(joints[name] ?? 0);
    return shown === '0' ? [] : [`${name} ${shown} deg`];
  });
  return [...poseWords(pose), ...others].join(', ') || 'home';
}

/** In the middle of a sentence. */
const atPlace = (answer: LoadAnswer): string => {
  const words = placeWords({ ...answer.at, joints: {} });
  return words === 'home' ? 'at home' : `at ${words}`;
};

const jointOf = ({ joints }: LoadAnswer, name: string | null): JointLoad => {
  const joint = joints.find((one) => one.name === name);
  if (!joint) throw new Error(`no joint ${String(name)}`);
  return joint;
};

/** What it carries is not told, and its servo's own inertia alone takes more than it has along the stream. */
export const isTooMuchAlone = ({ hold, along }: Pick<JointLoad, 'hold' | 'along'>): boolean =>
  hold === null && (along?.use ?? 0) > 1;

const ALONE = 'its servo’s own inertia alone';

/** One trouble as a sentence without a stop. */
export function troubleWords(answer: LoadAnswer, { cause, joint: name }: Trouble): string {
  const { supply, stream } = answer;
  const drawn = Math.max(supply.hold_a ?? 0, supply.peak_a ?? 0);
  if (cause === 'supply')
    return `it draws up to ${amperes(drawn)}, and the supply gives ${amperes(supply.gives_a ?? 0)}`;
  if (cause === 'fuse') return `it draws up to ${amperes(drawn)}, and the fuse is for ${amperes(supply.fuse_a ?? 0)}`;
  if (cause === 'loose') {
    const loose = answer.joints.find(({ worst }) => worst.loose);
    return `within its soft limits the plate reaches a pose in which it hangs loose, near ${placeWords(loose?.worst.at ?? answer.at)}: no torque holds it there`;
  }
  const joint = jointOf(answer, name);
  const { along, unit, hold, worst, stall, continuous_use } = joint;
  const has = sizingWords(stall ?? 0, unit);
  const hot = (share: number | null, then: string): string => {
    const [much, most] = percents(share ?? 0, continuous_use);
    return `with ${much} of its ${effortName(joint)}${then}; its continuous limit is ${most}`;
  };
  const along_ = `along ${stream ?? ''} ${joint.name}`;
  switch (cause) {
    case 'hold':
      return `${joint.name} cannot hold ${atPlace(answer)}: that takes ${sizingWords(hold ?? 0, unit)}, and its servo stalls at ${has}`;
    case 'hot':
      return `${joint.name} holds ${atPlace(answer)} ${hot(joint.hold_use, '')}`;
    case 'worst':
      return `${joint.name} cannot hold everywhere within its soft limits: at ${placeWords(worst.at)} that takes ${sizingWords(worst.effort ?? 0, unit)}, and its servo stalls at ${has}`;
    case 'torque': {
      const [least, alone] = isTooMuchAlone(joint) ? ['at least ', `, for ${ALONE}`] : ['', ''];
      return `${along_} needs ${least}${percents(along?.use ?? 0, 1)[0]} of the ${effortName(joint)} its servo has at ${Math.abs(along?.speed ?? 0).toFixed(0)} ${unit}/s: ${effortWords(along?.effort ?? 0, unit)} at ${(along?.at_s ?? 0).toFixed(2)} s${alone}`;
    }
    case 'speed':
      return `${along_} would move at ${(along?.peak_speed ?? 0).toFixed(0)} ${unit}/s; even without load its servo only reaches ${(joint.fastest ?? 0).toFixed(0)} ${unit}/s`;
    case 'heat':
      return `${along_} works ${hot(along?.rms_use ?? null, ' on average')}`;
  }
}

const ELECTRIC: readonly Trouble['cause'][] = ['supply', 'fuse'];

/** Troubles in one sentence for each cause: the worst joint's, and who else. */
export function troublesWords(answer: LoadAnswer, troubles: readonly Trouble[]): string[] {
  const causes = [...new Set(troubles.map(({ cause }) => cause))];
  return causes.flatMap((cause) => {
    const [first, ...others] = troubles.filter((trouble) => trouble.cause === cause);
    const names = others.flatMap(({ joint }) =>
      joint === null
        ? []
        : cause === 'torque' && isTooMuchAlone(jointOf(answer, joint))
          ? `${joint} (for ${ALONE})`
          : joint,
    );
    return first ? [`${troubleWords(answer, first)}${names.length > 0 ? `; likewise ${together(names)}` : ''}`] : [];
  });
}

/** The hottest of them with where, how long and what helps, and who else, without a stop; null: none is. */
function warmWords({ warm, joints, stream }: LoadAnswer): string | null {
  const [first, ...others] = warm;
  const joint = joints.find(({ name }) => name === first?.joint);
  if (!first || !joint) return null;
  const { name, unit, continuous_use, stall, worst } = joint;
  const [much, most] = percents(first.share, continuous_use);
  const where = {
    stream: `along ${stream ?? ''} for ${(first.for_s ?? 0).toFixed(1)} s without a break from ${(first.from_s ?? 0).toFixed(2)} s`,
    rest: 'at rest, where it stays powered',
    limits: `at the hardest pose within its soft limits (${placeWords(worst.at)})`,
  }[first.where];
  const enough = sizingWords(((stall ?? 0) * first.share) / continuous_use, unit);
  const kind = unit === 'deg' ? 'stall torque' : 'force';
  const pause = { stream: 'shorter holds', rest: 'a stop to rest on', limits: 'not staying there long' }[first.where];
  const likewise = others.length === 0 ? '' : `; likewise ${together([...new Set(others.map((one) => one.joint))])}`;
  return `${name} needs up to ${much} of its ${effortName(joint)} to hold ${where}; its continuous limit is ${most}. What helps: ${pause}, a counterweight, less weight, or a servo with a ${kind} of ${enough}${likewise}`;
}

/** Can it carry it? The gravest trouble; mostly, where it holds for a while with more than it may for long; or what works hardest. */
export function carryWords(answer: LoadAnswer): {
  readonly verdict: 'yes' | 'mostly' | 'no' | 'unknown';
  readonly because: string;
} {
  const troubles = answer.troubles.filter(({ cause }) => !ELECTRIC.includes(cause));
  const [first] = troubles;
  if (first) return { verdict: 'no', because: troubleWords(answer, first) };
  const hardest = hardestOf(answer);
  if (!hardest) return { verdict: 'unknown', because: 'no servo’s stall torque is known' };
  const unknown = answer.joints.filter(({ stall }) => stall === null).map(({ name }) => name);
  const but = unknown.length === 0 ? '' : `; unknown for ${together(unknown)}`;
  const unweighed = unweighedWords(answer);
  if (unweighed !== null && answer.most === 0)
    return { verdict: 'unknown', because: `what it weighs is unknown: ${unweighed}` };
  const without = unweighed === null ? '' : `; but ${unweighed}`;
  // Those that are known to carry theirs say nothing for the others, nor what is weighed for what is not.
  const told = unknown.length === 0 && unweighed === null;
  const warm = warmWords(answer);
  return { verdict: !told ? 'unknown' : warm ? 'mostly' : 'yes', because: `${warm ?? hardest}${but}${without}` };
}

/** The first thing that is not weighed, and how many more there are; null: all is. */
function unweighedWords({ unweighed: [first, ...others] }: LoadAnswer): string | null {
  if (first === undefined) return null;
  return others.length === 0 ? first : `${first}, and ${others.length} more`;
}

/** What works hardest, in words; null: nothing is known. */
function hardestOf({ joints, stream }: LoadAnswer): string | null {
  const most = (of: (joint: JointLoad) => number | null | undefined): JointLoad | undefined =>
    joints.reduce<JointLoad | undefined>(
      (best, joint) => ((of(joint) ?? -1) > ((best && of(best)) ?? -1) ? joint : best),
      undefined,
    );
  const mover = most(({ along }) => along?.use);
  if (mover?.along)
    return `along ${stream ?? ''} ${mover.name} works hardest, with ${percent(mover.along.use ?? 0)} of its ${effortName(mover)} at ${mover.along.at_s.toFixed(2)} s`;
  const holder = most(({ worst }) => worst.use);
  if (!holder) return null;
  const where = placeWords(holder.worst.at) === 'home' ? '' : ' at the hardest pose within its soft limits';
  return `${holder.name} needs ${percent(holder.worst.use ?? 0)} of its ${effortName(holder)} to hold${where}`;
}

/** Can it get there? Told where a stream asks for more than the soft limits or the legs' reach; null: it does not. */
export function getThereWords({ beyond, out_of_reach }: LoadAnswer): {
  readonly verdict: 'no';
  readonly because: string;
} | null {
  const poses =
    (out_of_reach ?? 0) > 0
      ? [`for ${percent(out_of_reach ?? 0)} of the stream the pose is out of reach, and that part is left out below`]
      : [];
  const joints = beyond.length > 0 ? [`${beyondWords(beyond)}: evaluated as holding at the limit`] : [];
  const because = [...poses, ...joints].join('; ');
  return because === '' ? null : { verdict: 'no', because };
}

/** A current that shows, A. */
export const showsCurrent = (current_a: number): boolean => current_a >= 0.05;

/** What is drawn to hold and, along a stream, at most. */
function drawnWords({ peak_a, peak_at_s }: LoadAnswer['supply'], hold_a: number): string {
  const hold = showsCurrent(hold_a) ? amperes(hold_a) : 'next to nothing';
  if (peak_a === null) return `${hold} holding`;
  if (showsCurrent(peak_a)) return `${hold} holding, up to ${amperes(peak_a)} at ${(peak_at_s ?? 0).toFixed(2)} s`;
  return `${hold} holding and moving`;
}

/** Can you power it? Mostly: what is drawn there is, though not for all servos stalled at once. */
export function powerWords({ supply, troubles, unweighed }: LoadAnswer): {
  readonly verdict: 'yes' | 'mostly' | 'no' | 'unknown';
  readonly because: string;
} {
  const { hold_a, stalled_a, gives_a, fuse_a, unknown } = supply;
  if (hold_a === null || stalled_a === null) return { verdict: 'unknown', because: 'no servo’s current is known' };
  const least =
    unknown.length === 0 ? '' : `at least, since ${together(unknown)} ${unknown.length === 1 ? 'is' : 'are'} unknown: `;
  const drawn = `${least}${drawnWords(supply, hold_a)}; ${amperes(stalled_a)} if all stall`;
  const fuse = fuse_a === null ? '' : `, its fuse is for ${amperes(fuse_a)}`;
  if (gives_a === null) return { verdict: 'unknown', because: `${drawn}; what the supply gives is unknown${fuse}` };
  const no = troubles.some(({ cause }) => ELECTRIC.includes(cause));
  // More than all of them stalled they do not draw, whatever they carry.
  const most = Math.min(gives_a, fuse_a ?? Infinity);
  const told = unknown.length === 0 && (unweighed.length === 0 || stalled_a <= most);
  const verdict = no ? 'no' : !told ? 'unknown' : stalled_a > most ? 'mostly' : 'yes';
  return { verdict, because: `${drawn}; the supply gives ${amperes(gives_a)}${fuse}` };
}

/** No pose that it can stand in is easy enough; or one is. */
export function easiestWords(answer: LoadAnswer): string | null {
  const { easiest } = answer;
  if (!easiest) return null;
  const has = effortName(jointOf(answer, easiest.joint));
  if (easiest.use > 1)
    return `no pose was found in which its servos can hold this: at the easiest, ${placeWords(easiest.at)}, ${easiest.joint} still needs ${percent(easiest.use)} of its ${has}`;
  return `it could hold at ${placeWords(easiest.at)}: ${easiest.joint} works hardest there, with ${percent(easiest.use)} of its ${has}`;
}

const MOTIONS: Readonly<Record<string, string>> = {
  x: 'the plate forward and back',
  y: 'the plate sideways',
  z: 'the plate up and down',
  roll: 'the plate leaning (roll)',
  pitch: 'the plate nodding (pitch)',
  yaw: 'the plate turning (yaw)',
};

/** What mostly moves in a mode: `the plate up and down and nod`. */
export const movesWords = (mostly: Mode['mostly']): string => together(mostly.map((name) => MOTIONS[name] ?? name));

/** `9.7 Hz: nod`. */
export const modeWords = ({ hz, mostly }: Mode): string =>
  `${hz === null ? 'not held against gravity' : `${hz.toFixed(1)} Hz`}: ${movesWords(mostly)}`;

const kgWords = (kg: number): string => (kg < 0.0995 ? `${(1000 * kg).toFixed(0)} g` : `${kg.toFixed(2)} kg`);

/** How much, and what runs out then. */
function roomWords({ kg, runs_out, when, because }: Room, to: string): string {
  if (kg === null) return because === '' ? `more than you would add ${to}` : `${UNKNOWN} ${to}: ${because}`;
  const where = when === '' ? '' : ` ${when}`;
  return kg === 0
    ? `none ${to}: ${runs_out ?? ''} is at its limit${where}`
    : `${kgWords(kg)} ${to} (then ${runs_out ?? ''} runs out${where})`;
}

/** What may be added at one point, to hold and to move. */
export function spareWords({ at, holding, moving }: LoadAnswer['spare'][number], stream: string | null): string {
  const move = moving ? `; ${roomWords(moving, `when moving along ${stream ?? ''}`)}` : '';
  return `at ${at} ${roomWords(holding, 'when holding')}${move}`;
}

/** Up to which shares spare weight counts, when all joints have the same. */
export function spareLimitWords({ joints, stream }: LoadAnswer): string {
  const one = (of: (joint: JointLoad) => number): string => {
    const shares = [...new Set(joints.map(of))].sort((a, b) => a - b);
    return shares.map(percent).join(' or ');
  };
  const move = stream === null ? '' : `, ${one(({ peak_use }) => peak_use)} when moving`;
  return `using at most ${one(({ continuous_use }) => continuous_use)} of a servo’s torque when holding${move}`;
}

const KINDS: readonly RestsOn['from'][] = ['measured', 'sheet', 'given', 'estimate', 'assumed', 'unknown'];
const KIND_WORDS: Readonly<Record<RestsOn['from'], string>> = {
  measured: 'measured',
  sheet: 'from data sheets',
  given: 'from the file, which names no source',
  estimate: 'estimated',
  assumed: 'assumed',
  unknown: UNKNOWN,
};

/** Figures named of each kind, those that matter most. */
const NAMED = 4;

/** What it is based on, kind by kind. */
export function restsWords({ rests_on }: LoadAnswer): string[] {
  return KINDS.flatMap((kind) => {
    const figures = rests_on.filter(({ from }) => from === kind).map(({ figure }) => figure);
    const more = figures.length > NAMED ? ` and ${figures.length - NAMED} more` : '';
    return figures.length === 0 ? [] : [`${KIND_WORDS[kind]}: ${figures.slice(0, NAMED).join(', ')}${more}`];
  });
}

/** Which figure, if it were measured, would tell most; null: none moves it. */
export function tellsMostWords(answer: LoadAnswer): string | null {
  const { rests_on, most } = answer;
  const [first] = rests_on;
  if (!first || most === null) return null;
  const then =
    first.use_then === null
      ? 'ask a servo for more than its no-load speed'
      : `raise the hardest use${hardestWords(answer, most)} from ${percent(most)} to ${percent(first.use_then)}`;
  const off = `${short(first.within_percent)} %${first.taken ? ' (assumed: the file gives no within_percent)' : ''}`;
  return `${first.figure}: an error of ${off} would ${then}`;
}

/** Whose use that is, and where or when, in commas; '' where it is not told of a joint. */
function hardestWords({ joints, at, stream }: LoadAnswer, most: number): string {
  const all = joints.flatMap(({ name, hold_use, worst, along }) => [
    { use: hold_use, words: `${name} holding at ${placeWords({ ...at, joints: {} })}` },
    { use: worst.use, words: `${name} holding at ${placeWords(worst.at)}` },
    { use: along?.use ?? null, words: `${name} along ${stream ?? ''} at ${(along?.at_s ?? 0).toFixed(2)} s` },
  ]);
  const own = all.find(({ use }) => use !== null && Math.abs(use - most) <= SAME * most);
  return own ? `, ${own.words},` : '';
}

/** The same instant worked out twice. */
const SAME = 1e-6;

/** What `load` prints: two verdicts, a table of the joints, then what works hardest, draws, shakes and is left to spare. */
import type { JointLoad, LoadAnswer } from '../load/result.ts';
import { PLATE } from '../load/spare.ts';
import {
  carryWords,
  easiestWords,
  effortName,
  effortWords,
  modeWords,
  percent,
  percents,
  placeWords,
  powerWords,
  restsWords,
  spareLimitWords,
  spareWords,
  tellsMostWords,
  troublesWords,
} from '../load/words.ts';
import { assumedIn } from '../physics/modes.ts';
import type { Rig } from '../rig/rig.ts';
import { type Io, coloursOf, widthOf } from './io.ts';
import { labelled, table } from './output.ts';

type Row = readonly [label: string, text: string];

const UNKNOWN = 'not known';
const shareOr = (share: number | null): string => (share === null ? UNKNOWN : percent(share));

function jointTable({ joints, stream }: LoadAnswer): string {
  const held = (joint: JointLoad): string[] => [
    joint.hold === null ? UNKNOWN : effortWords(joint.hold, joint.unit),
    shareOr(joint.hold_use),
    ...worst(joint),
  ];
  const worst = ({ worst: { effort, use, loose }, unit }: JointLoad): string[] => {
    if (loose) return ['hangs loose', ''];
    return effort === null ? [UNKNOWN, ''] : [effortWords(effort, unit), shareOr(use)];
  };
  const moved = ({ along, unit, fastest, hold }: JointLoad): string[] => {
    if (!along) return stream === null ? [] : ['out of reach', '', '', '', ''];
    const of = fastest === null ? '' : ` of ${fastest.toFixed(0)}`;
    const isTold = hold !== null;
    return [
      isTold ? effortWords(along.effort, unit) : UNKNOWN,
      `${Math.abs(along.speed).toFixed(0)}${of} ${unit}/s`,
      along.impossible ? 'too fast' : shareOr(isTold ? along.use : null),
      `${along.at_s.toFixed(2)} s`,
      shareOr(isTold ? along.rms_use : null),
    ];
  };
  const heads = ['to hold', 'share', 'hardest', 'share'];
  const more = stream === null ? [] : ['to move', 'at a speed', 'share', 'at', 'on average'];
  return table(
    [{ head: 'joint', align: 'left' }, ...[...heads, ...more].map((head) => ({ head }))],
    joints.map((joint) => [joint.name, ...held(joint), ...moved(joint)]),
  );
}

/** Several sentences under one label. */
const under = (label: string, sentences: readonly string[]): Row[] =>
  sentences.map((sentence, i) => [i === 0 ? label : '', sentence]);

/** Where the joint that may have most to hold has it. */
function worstRows({ joints }: LoadAnswer): Row[] {
  const worst = joints.reduce((a, b) => ((b.worst.use ?? -1) > (a.worst.use ?? -1) ? b : a));
  const { use, at, effort } = worst.worst;
  if (use === null || effort === null) return [];
  const [much, most] = percents(use, worst.continuous_use);
  const hot = use > worst.continuous_use && use <= 1 ? `; for long it may only spend ${most}` : '';
  const words = `${worst.name}, at ${placeWords(at)}: ${effortWords(effort, worst.unit)}, ${much} of its ${effortName(worst)}${hot}`;
  return [['hardest to hold', words]];
}

/** Those that a look or a nod can set going: of platform and carriers. */
const MODES_SHOWN = 4;

function shakes({ modes }: LoadAnswer, rig: Rig): string[] {
  if (!modes || modes.length === 0) return ['not told: no stiffness, or nothing that weighs'];
  const alone = new Set(rig.joints.filter(({ kind, axis }) => kind === 'axis' && !axis).map(({ name }) => name));
  const large = modes.filter(({ mostly }) => !mostly.every((name) => alone.has(name)));
  const shown = (large.length > 0 ? large : modes).slice(0, MODES_SHOWN);
  const isAssumed = shown.some((mode) => assumedIn(mode, rig).length > 0);
  return [`${shown.map(modeWords).join('; ')}${isAssumed ? ' (by a stiffness that is assumed: see below)' : ''}`];
}

/** Parts as near to the plate's centre as this are told with it. */
const NEAR_MM = 10;

/** The plate's centre, and what rides on the plate; without a platform all there is. */
function spares(answer: LoadAnswer, rig: Rig): string[] {
  const { spare, stream } = answer;
  const apart = rig.parts.filter(({ on, at_mm }) => on === 'moving' && Math.hypot(...at_mm) > NEAR_MM);
  const names = new Set(apart.map(({ name }) => name));
  const shown = rig.platform ? spare.filter(({ at }) => at === PLATE || names.has(at)) : spare;
  if (shown.length === 0) return ['not told: nothing that moves has a place in space'];
  return [...shown.map((one) => spareWords(one, stream)), `(${spareLimitWords(answer)})`];
}

function head(answer: LoadAnswer, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const paint = (verdict: string): string =>
    colours.bold(
      verdict === 'no' ? colours.red(verdict) : verdict === 'yes' ? colours.green(verdict) : colours.yellow(verdict),
    );
  const [carry, power] = [carryWords(answer), powerWords(answer)];
  const rows: Row[] = [
    ['Can it carry it?', `${paint(carry.verdict)}: ${carry.because}`],
    ['Can you power it?', `${paint(power.verdict)}: ${power.because}`],
  ];
  return labelled(rows, widthOf(io.stdout));
}

function titleOf(answer: LoadAnswer): string {
  const place = placeWords({ ...answer.at, joints: {} });
  const without = answer.without.length === 0 ? '' : `, without ${answer.without.join(', ')}`;
  const along = answer.stream === null ? '' : ` and along ${answer.stream}`;
  return `${answer.rig}${without}: what its servos must give, holding at ${place}${along}`;
}

/** Files as the user named them; null: not given. */
interface Files {
  readonly rig: string;
  readonly stream: string | null;
  readonly report: string | null;
}

/** The whole text, with its last line end. */
export function loadWords(rig: Rig, answer: LoadAnswer, files: Files, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const geared = rig.joints.some(({ gear_ratio }) => gear_ratio !== 1);
  const [, ...others] = answer.troubles;
  const easiest = easiestWords(answer);
  const tells = tellsMostWords(answer);
  const reach = answer.out_of_reach ?? 0;
  const rows: Row[] = [
    ...under('also', troublesWords(answer, others)),
    ...(easiest === null ? [] : [['easiest', easiest] as const]),
    ...(answer.stopped === null
      ? []
      : [['beware', `it does not get to this pose by itself (${answer.stopped})`] as const]),
    ...(reach > 0 ? [['not counted', `${percent(reach)} of ${answer.stream ?? ''} is out of reach`] as const] : []),
    ...worstRows(answer),
    ...under('shakes at', shakes(answer, rig)),
    ...under('to spare', spares(answer, rig)),
    ...under('not known', answer.left_out),
    ...under('rests on', [...restsWords(answer), ...answer.assumed, ...answer.model]),
    ...(tells === null ? [] : [['measure first', tells] as const]),
    ...(files.report === null ? [] : [['look at', `${files.report} shows it as pictures`] as const]),
    ['next', nextWords(answer, files)],
  ];
  const note = geared ? '\nTorques are at the servo, behind its gear; speeds are the joint’s.' : '';
  const title = colours.bold(titleOf(answer));
  return `${title}\n\n${head(answer, io)}\n\n${jointTable(answer)}${note}\n\n${labelled(rows, widthOf(io.stdout))}\n`;
}

function nextWords({ ok, stream }: LoadAnswer, files: Files): string {
  if (stream === null) return `add --stream with a show: what moving takes`;
  if (ok) return `"posewright replay ${files.rig} ${files.stream ?? ''} --plant" shows what the metal makes of it`;
  return `"posewright retime ${files.rig} ${files.stream ?? ''} -o slower.csv" slows it where it asks for too much`;
}

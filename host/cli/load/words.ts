/** What `load` prints: two verdicts, tables of holding and moving, then what works hardest, draws, shakes and is left to spare. */
import { UNKNOWN } from '../../rig/terms.ts';
import type { JointLoad, LoadAnswer } from '../../load/result.ts';
import { PLATE } from '../../load/spare.ts';
import {
  carryWords,
  easiestWords,
  effortName,
  effortWords,
  getThereWords,
  isTooMuchAlone,
  modeWords,
  percent,
  percents,
  placeWords,
  powerWords,
  restsWords,
  sizingWords,
  spareLimitWords,
  spareWords,
  tellsMostWords,
  troublesWords,
} from '../../load/words.ts';
import { neededWords, sagWords } from '../../load/sizing-words.ts';
import { assumedIn } from '../../physics/vibration/modes.ts';
import type { Rig } from '../../rig/rig.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { labelled, table, type Row } from '../output.ts';
import { toldIn } from '../told.ts';

/** What a use is. */
const USE_NOTE = 'Use is the share of what the servo can give at that speed; 100 % is all of it.';

const shareOr = (share: number | null): string => (share === null ? UNKNOWN : percent(share));

/** Holding: where it was asked about, and at the hardest place that was found. */
function holdTable({ joints }: LoadAnswer): string {
  const worst = ({ worst: { effort, use, loose }, unit }: JointLoad): string[] => {
    if (loose) return ['hangs loose', ''];
    return effort === null ? [UNKNOWN, ''] : [sizingWords(effort, unit), shareOr(use)];
  };
  const rows = joints.map((joint) => [
    joint.name,
    joint.hold === null ? UNKNOWN : effortWords(joint.hold, joint.unit),
    shareOr(joint.hold_use),
    ...worst(joint),
  ]);
  return tableOf(['joint', 'to hold', 'use', 'hardest found', 'use'], rows);
}

/** Moving: the largest effort and the largest share of what there is at that speed, each with its time, since they seldom meet. */
function moveTable({ joints }: LoadAnswer): string {
  const rows = joints.map(({ name, along, unit, fastest, hold }) => {
    if (!along) return [name, 'out of reach', '', '', '', '', '', ''];
    const of = fastest === null ? '' : ` of ${fastest.toFixed(0)}`;
    const isTold = hold !== null;
    const least = along.impossible === null && isTooMuchAlone({ hold, along }) ? 'at least ' : null;
    return [
      name,
      isTold ? sizingWords(along.peak, unit) : UNKNOWN,
      isTold ? `${along.peak_at_s.toFixed(2)} s` : '',
      along.impossible ? 'too fast' : `${least ?? ''}${shareOr(isTold || least !== null ? along.use : null)}`,
      `${along.at_s.toFixed(2)} s`,
      isTold || least !== null ? `${least ?? ''}${effortWords(along.effort, unit)}` : UNKNOWN,
      `${Math.abs(along.speed).toFixed(0)}${of} ${unit}/s`,
      shareOr(isTold ? along.rms_use : null),
    ];
  });
  return tableOf(['moving', 'peak', 'at', 'largest use', 'at', 'with', 'at a speed', 'average use'], rows);
}

const tableOf = ([first = '', ...heads]: readonly string[], rows: readonly (readonly string[])[]): string =>
  table([{ head: first, align: 'left' }, ...heads.map((head) => ({ head }))], rows);

/** Several sentences under one label. */
const under = (label: string, sentences: readonly string[]): Row[] =>
  sentences.map((sentence, i) => [i === 0 ? label : '', sentence]);

const labelledOrNot = (label: string, text: string | null): Row[] => (text === null ? [] : [[label, text]]);

/** Where the joint that may have most to hold has it. */
function worstRows({ joints }: LoadAnswer): Row[] {
  const worst = joints.reduce((a, b) => ((b.worst.use ?? -1) > (a.worst.use ?? -1) ? b : a));
  const { use, at, effort } = worst.worst;
  if (use === null || effort === null) return [];
  const [much, most] = percents(use, worst.continuous_use);
  const hot = use > worst.continuous_use && use <= 1 ? `; its continuous limit is ${most}` : '';
  const words = `${worst.name}, at ${placeWords(at)}: ${sizingWords(effort, worst.unit)}, ${much} of its ${effortName(worst)}${hot}`;
  return [['hardest found', words]];
}

/** Those that a look or a nod can set going: of platform and carriers. */
const MODES_SHOWN = 4;

function shakes({ modes }: LoadAnswer, rig: Rig): string[] {
  if (!modes || modes.length === 0) return [`${UNKNOWN}: no stiffness, or nothing that weighs`];
  const alone = new Set(rig.joints.filter(({ kind, axis }) => kind === 'axis' && !axis).map(({ name }) => name));
  const large = modes.filter(({ mostly }) => !mostly.every((name) => alone.has(name)));
  const shown = (large.length > 0 ? large : modes).slice(0, MODES_SHOWN);
  const isAssumed = shown.some((mode) => assumedIn(mode, rig).length > 0);
  return [`${shown.map(modeWords).join('; ')}${isAssumed ? ' (for an assumed stiffness: see below)' : ''}`];
}

/** Parts as near to the plate's centre as this are told with it. */
const NEAR_MM = 10;

/** The plate's centre, and what rides on the plate; without a platform all there is. */
function spares(answer: LoadAnswer, rig: Rig): string[] {
  const { spare, stream } = answer;
  const apart = rig.parts.filter(({ on, at_mm }) => on === 'moving' && Math.hypot(...at_mm) > NEAR_MM);
  const names = new Set(apart.map(({ name }) => name));
  const shown = rig.platform ? spare.filter(({ at }) => at === PLATE || names.has(at)) : spare;
  if (shown.length === 0) return [`${UNKNOWN}: nothing that moves has a place in space`];
  return [...shown.map((one) => spareWords(one, stream)), `(${spareLimitWords(answer)})`];
}

function head(answer: LoadAnswer, io: Io): string {
  const [there, carry, power] = [getThereWords(answer), carryWords(answer), powerWords(answer)];
  const rows: Row[] = [
    ...(there ? [['Can it get there?', `${toldIn(there.verdict, io)}: ${there.because}`] as const] : []),
    ['Can it carry it?', `${toldIn(carry.verdict, io)}: ${carry.because}`],
    ['Can you power it?', `${toldIn(power.verdict, io)}: ${power.because}`],
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
    ...labelledOrNot('easiest', easiest),
    ...(answer.stopped === null
      ? []
      : [['beware', `it cannot move to this pose by itself (${answer.stopped})`] as const]),
    ...(reach > 0 ? [['not counted', `${percent(reach)} of ${answer.stream ?? ''} is out of reach`] as const] : []),
    ...labelledOrNot('needs', neededWords(answer)),
    ...worstRows(answer),
    ...labelledOrNot('sags at rest', sagWords(answer)),
    ...under('swings at', shakes(answer, rig)),
    ...under('spare weight', spares(answer, rig)),
    ...under(UNKNOWN, answer.left_out),
    ...under('based on', [...restsWords(answer), ...answer.assumed, ...answer.model]),
    ...labelledOrNot('measure first', tells),
    ...(files.report === null ? [] : [['see also', `${files.report} shows it in pictures`] as const]),
    ['next', nextWords(answer, files)],
  ];
  const note = `${geared ? '\nTorques are at the servo, before the gear; speeds are the joint’s.' : ''}\n${USE_NOTE}`;
  const moves = answer.stream === null ? '' : `\n\n${moveTable(answer)}`;
  const title = colours.bold(titleOf(answer));
  return `${title}\n\n${head(answer, io)}\n\n${holdTable(answer)}${note}${moves}\n\n${labelled(rows, widthOf(io.stdout))}\n`;
}

function nextWords({ ok, beyond, stream }: LoadAnswer, files: Files): string {
  if (stream === null) return 'add --stream with a show to see what moving takes';
  if (beyond.length > 0)
    return `"posewright retime ${files.rig} ${files.stream ?? ''} --fit -o fits.csv" moves it within the soft limits`;
  if (ok) return `"posewright replay ${files.rig} ${files.stream ?? ''} --plant" shows how servos and loads follow it`;
  return `"posewright retime ${files.rig} ${files.stream ?? ''} -o slower.csv" slows it where it asks for too much`;
}

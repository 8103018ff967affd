/** The answer of `design` for a terminal. */
import { join } from 'node:path';
import type { Answer } from '../../design/answer.ts';
import type { Shown } from '../../design/shown.ts';
import { asBuiltPercent, asBuiltWords, doneWords, isShortAsBuilt } from '../../design/as-built.ts';
import { toBuy } from '../../design/to-buy.ts';
import { leftAloneWords } from '../../design/left-alone.ts';
import { lostWords } from '../../design/lost-words.ts';
import { short } from '../../rig/words.ts';
import { type Io, widthOf } from '../io.ts';
import { type Row, labelled, table } from '../output.ts';
import { ASKED, PAGE } from './result-folder.ts';

const percent = (share: number | null): string => (share === null ? '' : `${short(100 * share, 0)} %`);

/** Where results are, and whether looking for what to relax was cut short. */
interface Results {
  readonly folder: string;
  readonly isCut: boolean;
}

export function answerWords(answer: Answer, { folder, isCut }: Results, io: Io): string {
  return answer.front.shown.length > 0 ? frontWords(answer, folder, io) : relaxWords(answer, isCut, io);
}

function searched({ evaluated, feasible, complete, late, missing, seed }: Answer): string {
  const looked = `${grouped(evaluated)} designs looked at, ${grouped(feasible)} ${feasible === 1 ? 'holds' : 'hold'} what was asked; seed ${String(seed)}`;
  if (late) return `${looked}; only a few hold it all, found at the end: more --evaluations will find better ones`;
  if (missing.length > 0) return `${looked}; not all that was planned: ${missing.join(', ')}`;
  return complete ? looked : `${looked}; not all that was planned: --resume goes on`;
}

const grouped = (n: number): string => String(n).replace(/\B(?=(\d{3})+$)/g, ',');

function frontWords(answer: Answer, folder: string, io: Io): string {
  const { subject, front } = answer;
  const { shown, dropped } = front;
  const { must } = subject.want;
  const width = widthOf(io.stdout);
  const why: Row[] = shown.map((own, i) => {
    const built = isShortAsBuilt(own) ? `; ${asBuiltWords(shown, i, must)}` : '';
    return [
      nameOf(own),
      `${own.why}${own.binds.length > 0 ? `; it stands against ${own.binds.join('; ')}` : ''}${built}`,
    ];
  });
  const alone = leftAloneWords(subject.want, shown);
  const notes: Row[] = [
    ['searched', searched(answer)],
    ...alone.map((words, i): Row => [i === 0 ? 'left alone' : '', words]),
    ...droppedRows(dropped),
    ['columns', columnWords(answer)],
    ['based on', basedOn(answer)],
    [
      'next',
      `posewright load ${join(folder, shown[0]!.file)}${must.follow ? ` --stream ${join(folder, ASKED, must.follow.name)}` : ''} says what its servos must give; ${join(folder, PAGE)} shows all of them`,
    ],
  ];
  return `${subject.want.name}: ${doneWords(shown, must)}\n\n${figureTable(answer)}\n\n${partTable(answer)}\n\n${labelled(why, width)}\n\n${labelled(notes, width)}\n`;
}

const nameOf = ({ file }: Shown): string => file.replace(/\.yaml$/, '');

/** What each does, and how large it is. */
function figureTable({ subject, front: { shown } }: Answer): string {
  const wanted = shown[0]!.judged.travel.filter((_, k) => {
    const { minus, plus } = subject.want.must.travel[k]!;
    return minus < 0 || plus > 0;
  });
  const axes = (wanted.length > 0 ? wanted : shown[0]!.judged.travel).map(({ axis }) => axis);
  const travels = ({ judged }: Shown): string[] =>
    axes.map((name) => {
      const own = judged.travel.find(({ axis }) => axis === name)!;
      return `${short(own.minus)} … ${short(own.plus)} ${own.unit}`;
    });
  const rows = shown.map((own) => [
    nameOf(own),
    ...travels(own),
    percent(own.travel_share),
    asBuiltPercent(own),
    percent(own.judged.use),
    percent(own.judged.hold_use),
    `${short(own.judged.lowest_hz)} Hz`,
    own.judged.price === null ? '' : short(own.judged.price, 2),
    `${short(own.judged.size_mm.base_radius)}/${short(own.judged.size_mm.plate_radius)}/${short(own.judged.size_mm.height)}`,
    `${grouped(Math.round(own.volume_cm3))} cm³`,
  ]);
  const heads = ['travel', 'as built', 'use', 'holding', 'lowest', 'price', 'base/plate/height mm', 'cylinder'];
  return filledTable(['design', ...axes, ...heads], rows);
}

/** What is bought or made for each. */
function partTable({ subject, front: { shown, before_nm } }: Answer): string {
  const bought = shown.map((own) => toBuy(subject.want, own, before_nm));
  const axes = bought[0]!.axes.map(({ joint }) => joint);
  const heads = axes.flatMap((joint) => [
    `${joint} counterweight`,
    `${joint} gear`,
    `${joint} servo`,
    `${joint} holds`,
  ]);
  const rows = bought.map(({ crank, rod, servo, axes: own }, i) => [
    nameOf(shown[i]!),
    crank,
    rod,
    servo,
    ...own.flatMap(({ counterweight, gear, servo: its, holds }) => [counterweight, gear, its, holds]),
  ]);
  return filledTable(['design', 'crank', 'rod', 'servos', ...heads], rows);
}

/** Without the columns that nothing stands in. */
function filledTable(heads: readonly string[], rows: readonly (readonly string[])[]): string {
  const filled = heads.map((_, k) => rows.some((row) => row[k] !== ''));
  const own = <T>(all: readonly T[]): T[] => all.filter((_, k) => filled[k]);
  return table(
    own(heads).map((head, k) => (k === 0 ? { head, align: 'left' as const } : { head })),
    rows.map(own),
  );
}

function columnWords({ subject, front }: Answer): string {
  const { margins, axes, must } = subject.want;
  const spare = `with ${percent(margins.heavier)} more weight and ${percent(margins.less_voltage)} less voltage`;
  const uses = `${must.follow ? `use (along ${must.follow.name}), ` : ''}holding (at home and in the corners of what is asked at once) and lowest are ${spare}; “load” adds neither`;
  const holds =
    axes.length > 0 && front.shown.length > 0
      ? `; holds is what “load” calls hardest: anywhere within the soft limits, without these margins, in the given rig → in the design`
      : '';
  return `travels end where a leg stops or two bodies come nearer than gap_mm; travel: the smallest of the travels asked, as a share of what was asked; ${uses}${holds}; height is from the base plate’s face at home; where a leg could not hold everywhere in the soft limits, ${spare}, they are drawn in until it does`;
}

const droppedRows = (dropped: Answer['front']['dropped']): Row[] =>
  dropped.map(({ because, designs }, i): Row => [
    i === 0 ? 'dropped' : '',
    `${String(designs)} by the library: ${because}`,
  ]);

function basedOn({ subject }: Answer): string {
  const { clearance, must } = subject.want;
  const assumed = clearance.assumed.length > 0 ? `, ${clearance.assumed.join(', ')} as usual, not measured` : '';
  const built =
    must.built_within_mm > 0
      ? `; as built: joints off by ${short(must.built_within_mm, 2)} mm (1 sigma), 95 of 100 go at least so much of what was asked, bodies as drawn`
      : '';
  return `calculated, nothing here has run; collisions with simple bodies${assumed}${built}`;
}

function relaxWords(answer: Answer, isCut: boolean, io: Io): string {
  const { subject, relaxed, nearest, front } = answer;
  const title = `${subject.want.name}: no design holds all that was asked`;
  const rows: Row[] = [
    ...relaxed.map(({ words, by, possible }, i): Row => [
      i === 0 ? 'relax one' : '',
      `${words}${possible === null ? '' : ` (${percent(by)})`}`,
    ]),
    ...nearest.map((words, i): Row => [i === 0 ? 'together' : '', words]),
    ...droppedRows(front.dropped),
    ['searched', searched(answer)],
    ...(isCut
      ? [['', 'stopped while it looked for what to relax: there may be more, and smaller steps'] satisfies Row]
      : []),
    ...(answer.few && relaxed.length > 0
      ? [['', 'too few to be sure that nothing holds all: raise --evaluations'] satisfies Row]
      : []),
  ];
  return `${title}\n\n${lostWords(answer)}\n\n${labelled(rows, widthOf(io.stdout))}\n`;
}

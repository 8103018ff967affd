/** The answer of `design` for a terminal. */
import { join } from 'node:path';
import type { Answer } from '../../design/answer.ts';
import { asBuiltWords, doneWords, isShortAsBuilt } from '../../design/as-built.ts';
import { holdPlaces } from '../../design/hold-use.ts';
import { leftAloneWords } from '../../design/left-alone.ts';
import { WEIGHTS } from '../../design/to-buy.ts';
import { lostWords } from '../../design/lost-words.ts';
import { short } from '../../rig/words.ts';
import { type Io, widthOf } from '../io.ts';
import { type Row, labelled } from '../output.ts';
import { ASKED, PAGE } from './result-folder.ts';
import { grouped, nameOf, percent, tables } from './tables.ts';

/** Where results are, and whether looking for what to relax was cut short. */
interface Results {
  readonly folder: string;
  readonly isCut: boolean;
}

export function answerWords(answer: Answer, { folder, isCut }: Results, io: Io): string {
  return answer.front.shown.length > 0 ? frontWords(answer, folder, io) : relaxWords(answer, isCut, io);
}

function searched({ front, evaluated, feasible, complete, late, missing, seed }: Answer): string {
  const isRefused = front.shown.length === 0 && feasible > 0;
  const verb = isRefused ? 'held' : feasible === 1 ? 'holds' : 'hold';
  const looked = `${grouped(evaluated)} designs looked at, ${grouped(feasible)} ${verb} what was asked${isRefused ? ' by the figures of the search' : ''}; seed ${String(seed)}`;
  if (late) return `${looked}; only a few hold it all, found at the end: more --evaluations will find better ones`;
  if (missing.length > 0) return `${looked}; not all that was planned: ${missing.join(', ')}`;
  return complete ? looked : `${looked}; not all that was planned: --resume goes on`;
}

function frontWords(answer: Answer, folder: string, io: Io): string {
  const { subject, front } = answer;
  const { shown, dropped } = front;
  const { must } = subject.want;
  const width = widthOf(io.stdout);
  const why: Row[] = shown.map((own, i) => {
    const built = isShortAsBuilt(own) ? `; ${asBuiltWords(shown, i, must)}` : '';
    const { joint, where } = own.judged.torque_used;
    return [
      nameOf(own),
      `${own.why}; ${joint} uses most torque, ${must.follow ? '' : 'to hold: '}${where}${own.binds.length > 0 ? `; it stands against ${own.binds.join('; ')}` : ''}${built}`,
    ];
  });
  const alone = leftAloneWords(subject.want, shown);
  const notes: Row[] = [
    ['searched', searched(answer)],
    ...alone.map((words, i): Row => [i === 0 ? 'left alone' : '', words]),
    ...droppedRows(dropped),
    ['columns', columnWords(answer)],
    ['based on', basedOn(answer)],
    ...nextRows(answer, folder),
  ];
  return `${subject.want.name}: ${doneWords(shown, must)}\n\n${tables(answer)}\n\n${labelled(why, width)}\n\n${labelled(notes, width)}\n`;
}

function columnWords({ subject, front }: Answer): string {
  const { margins, axes, must } = subject.want;
  const spare = `with ${percent(margins.heavier)} more weight and ${percent(margins.less_voltage)} less voltage`;
  const hold = `to hold, ${holdPlaces(subject.want)}`;
  const torque = must.follow ? `along ${must.follow.name}; holding: ${hold}` : hold;
  const uses = `torque used: the most that a leg or a designed joint takes of its servo ${torque}; these and lowest are ${spare}; “load” adds neither`;
  const holds =
    axes.length > 0 && front.shown.length > 0
      ? `; holds is what “load” calls hardest: anywhere within the soft limits, without these margins, in the given rig → in the design`
      : '';
  return `travels end where a leg stops or two bodies come nearer than gap_mm; travel: the smallest of the travels asked, as a share of what was asked; ${uses}${holds}; height is from the base plate’s face at home; where a leg could not hold everywhere in the soft limits, ${spare}, they are drawn in until it does`;
}

const droppedRows = (dropped: Answer['front']['dropped']): Row[] =>
  dropped.map(({ because, designs }, i): Row => [
    i === 0 ? 'dropped' : '',
    `${String(designs)} by check, reach or load: ${because}`,
  ]);

function basedOn({ subject }: Answer): string {
  const { clearance, must, axes } = subject.want;
  const assumed = clearance.assumed.length > 0 ? `, ${clearance.assumed.join(', ')} as usual, not measured` : '';
  const built =
    must.built_within_mm > 0
      ? `; as built: joints off by ${short(must.built_within_mm, 2)} mm (1 sigma), 95 of 100 go at least so much of what was asked, bodies as drawn`
      : '';
  const weights = axes.some(({ counterweight }) => counterweight) ? `; ${WEIGHTS}` : '';
  return `calculated, nothing here has run; collisions with simple bodies${assumed}${weights}${built}`;
}

/** What to type now: where a joint is left alone along the stream, what mends that. */
function nextRows({ subject: { want }, front: { shown } }: Answer, folder: string): Row[] {
  const best = shown.find(({ balanced }) => balanced) ?? shown[0]!;
  const rig = join(folder, best.file);
  const { follow } = want.must;
  const all = `${join(folder, PAGE)} shows all of them`;
  const stream = follow && join(folder, ASKED, follow.name);
  if (stream === null || !best.judged.left_alone.some(({ what }) => what !== 'hold'))
    return [
      [
        'next',
        `posewright load ${rig}${stream === null ? '' : ` --stream ${stream}`} says what its servos must give; ${all}`,
      ],
    ];
  const [tuned, slower] = [join(folder, 'tuned.yaml'), join(folder, 'slower.csv')];
  return [
    ['next', `posewright tune ${rig} --stream ${stream} -o ${tuned}`],
    ['', `posewright retime ${tuned} ${stream} -o ${slower}`],
    ['', `posewright why ${tuned} ${slower} says how it plays then; ${all}`],
  ];
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

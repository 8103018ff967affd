/** What `wiring` prints: runs as a table, then what protects them, what is unknown, and where the drawing is. */
import type { Run, WiringAnswer } from '../../wiring/result.ts';
import { capital } from '../../rig/words.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { type Row, fixed, labelled, table } from '../output.ts';

const told = (value: number | null, digits: number, unit: string): string =>
  value === null ? 'unknown' : `${fixed(value, digits)} ${unit}`;

const cells = ({ stalled_a, moving_a, fuse_a, mm2, drop_v, length_m }: Run): string[] => [
  told(stalled_a, 2, 'A'),
  told(moving_a, 2, 'A'),
  fuse_a === null ? 'unknown' : `${String(fuse_a)} A`,
  mm2 === null ? 'unknown' : `${String(mm2)} mm²`,
  `${String(length_m)} m`,
  told(drop_v, 3, 'V'),
];

function runTable({ trunk, servos }: WiringAnswer): string {
  const left = (head: string) => ({ head, align: 'left' as const });
  const heads = ['stalled', 'moving, at most', 'fuse', 'wire', 'length', 'lost, stalled'].map((head) => ({ head }));
  const rows = servos.map((run) => [run.label, run.joint, run.pin_name, run.servo, ...cells(run)]);
  return table(
    [left('cable'), left('joint'), left('pin'), left('servo'), ...heads],
    [[trunk.label, 'supply to star point', '', '', ...cells(trunk)], ...rows],
  );
}

/** Several sentences under one label. */
const under = (label: string, sentences: readonly string[]): Row[] =>
  sentences.map((sentence, i) => [i === 0 ? label : '', capital(sentence)]);

/** The whole text, with its last line end. */
export function wiringWords(
  answer: WiringAnswer,
  files: { readonly rig: string; readonly report: string | null },
  io: Io,
): string {
  const { stop, power, capacitor, night } = answer;
  const pins = [
    stop ? `stop loop on ${stop.pin_name}, normally closed, category ${String(stop.category)}` : 'no stop pin',
    power ? `power switch on ${power.pin_name}` : 'no power pin',
    `capacitor ${String(capacitor.uf)} µF, ${capacitor.volts === null ? 'voltage unknown' : `${String(capacitor.volts)} V`}`,
  ];
  const rows: Row[] = [
    ...under('does not fit', answer.troubles),
    ...under('unknown', answer.unknown),
    ...under('besides', pins),
    ...under(
      'the night',
      night.map(({ what, pin_name, goes_to }) => `${what} on ${pin_name}: ${goes_to}`),
    ),
    ...under('notes', answer.notes),
    ...under('caution', answer.cautions),
    [
      'next',
      files.report === null
        ? `"posewright wiring ${files.rig} --report wiring.html" draws it, with what to buy and a list to tick before first power`
        : `print ${files.report}, and tick its list before first power`,
    ],
  ];
  const title = coloursOf(io, io.stdout).bold(`${answer.rig}: how to wire it to a ${answer.board}`);
  return `${title}\n\n${runTable(answer)}\n\n${labelled(rows, widthOf(io.stdout))}\n`;
}

/** The joints as a table in SVG: which servo is on which pin, which way plus moves it, and its pulse. */
import type { Rig } from '../../rig/rig.ts';
import { figure } from '../draw/figures.ts';
import { markup } from '../draw/markup.ts';
import { label, path } from '../draw/svg.ts';
import { LINE, SIZE, WIDTH, wrap } from './notes.ts';
import type { Drawn } from './view.ts';
import { plusWords, rangeWords, senseWords } from './words.ts';

/** Left edge and width of each column, px. */
const COLUMNS = [
  { head: 'joint', x: 20, width: 120 },
  { head: 'pin', x: 150, width: 40 },
  { head: 'servo', x: 200, width: 110 },
  { head: 'soft limits', x: 320, width: 140 },
  { head: 'plus', x: 470, width: 220 },
  { head: 'longer pulse', x: 700, width: 90 },
  { head: 'centre', x: 800, width: 80 },
] as const;

const HEAD = 62;

/** The table with its top edge at `top` px. */
export function jointRows({ joints, platform }: Rig, top: number): Drawn {
  let y = top + HEAD;
  const rows = joints.map((joint) => {
    const texts = [
      joint.name,
      String(joint.pin),
      joint.servo.name,
      rangeWords(joint),
      plusWords(joint, platform?.drive),
      senseWords(joint),
      figure(joint.centre_us, 'µs', 0),
    ];
    const cells = COLUMNS.map(({ x, width }, k) => ({ x, lines: wrap(texts[k] ?? '', width) }));
    const height = Math.max(...cells.map(({ lines }) => lines.length)) * LINE + 8;
    const row = markup`${path('row-line', `M20 ${y}H${WIDTH - 20}`)}
      ${cells.flatMap(({ x, lines }) => lines.map((words, i) => label(words, x, y + SIZE + 4 + i * LINE, 'start', 'note')))}`;
    y += height;
    return row;
  });
  const heads = COLUMNS.map(({ head, x }) => label(head, x, top + HEAD - 8, 'start', 'note soft'));
  const svg = markup`<g>${label('The joints', 20, top + 24, 'start', 'heading')}${heads}${rows}</g>`;
  return { svg, height: y - top + 24 };
}

/** What the servos draw, as bars in A against what the supply gives. */
import { scaleLinear } from 'd3-scale';
import type { LoadAnswer, SupplyLoad } from '../../load/result.ts';
import { showsCurrent } from '../../load/words.ts';
import { figure } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { path, upright } from './svg.ts';

const WIDTH = 460;
const HEIGHT = 20;
const [TOP, BOTTOM] = [3, 17];

interface Row {
  readonly name: string;
  readonly current_a: number;
  /** Beyond what the supply gives this is no trouble by itself. */
  readonly kind: 'hold' | 'move' | 'stalled';
  /** When that is, in words; '' all the time. */
  readonly when: string;
}

/** Figures that are told apart by a tenth, or else by a hundredth. */
const digitsOf = (current_a: number, gives_a: number): number =>
  current_a.toFixed(1) === gives_a.toFixed(1) && current_a !== gives_a ? 2 : 1;

function wordsOf({ current_a, when }: Row, { gives_a }: SupplyLoad): string {
  if (!showsCurrent(current_a)) return 'next to nothing';
  const digits = digitsOf(current_a, gives_a ?? NaN);
  const drawn = `${figure(current_a, 'A', digits)}${when}`;
  return gives_a !== null && current_a > gives_a
    ? `${drawn}, more than the ${figure(gives_a, 'A', digits)} of the supply`
    : drawn;
}

function rowsOf({ hold_a, peak_a, peak_at_s, stalled_a }: SupplyLoad): Row[] {
  const row = (name: string, current_a: number | null, kind: Row['kind'], when = ''): Row[] =>
    current_a === null ? [] : [{ name, current_a, kind, when }];
  return [
    ...row('holding', hold_a, 'hold'),
    ...row('moving, at most', peak_a, 'move', ` at ${figure(peak_at_s ?? 0, 's', 2)}`),
    ...row('if all stall at once', stalled_a, 'stalled'),
  ];
}

/** Nearer to the end of the scale than this, A, a mark would lie on its edge. */
function scaleOf({ gives_a, fuse_a }: SupplyLoad, rows: readonly Row[]): (current_a: number) => number {
  const most = Math.max(...rows.map(({ current_a }) => current_a), gives_a ?? 0, fuse_a ?? 0, 0.1);
  return scaleLinear([0, most * 1.04], [1, WIDTH - 1]);
}

const px = (value: number): string => (Math.round(value * 10) / 10).toString();

function bar({ current_a, kind, name }: Row, { gives_a, fuse_a }: SupplyLoad, x: (a: number) => number): Markup {
  const limit = gives_a ?? Infinity;
  const line = x(Math.min(current_a, limit));
  const over = current_a > limit ? upright('beyond', line, x(current_a) - line, TOP, BOTTOM) : null;
  const mark = (kindOf: string, at: number | null): Markup | null =>
    at === null ? null : path(kindOf, `M${px(x(at))} 0V${HEIGHT}`);
  return markup`<svg class="loads-bar" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${name}: ${figure(current_a, 'A', 1)}">
    ${path('zero', `M1 0V${HEIGHT}`)}${upright(kind, 1, Math.max(0.5, line - 1), TOP, BOTTOM)}${over}
    ${mark('all-of-it', gives_a)}${mark('most-use', fuse_a)}
  </svg>`;
}

/** The bars with their words; null: no current is known. */
export function supplyBars({ supply }: LoadAnswer): Markup | null {
  const rows = rowsOf(supply);
  if (rows.length === 0) return null;
  const x = scaleOf(supply, rows);
  return markup`<table role="table" class="loads"><tbody role="rowgroup">${rows.map(
    (row) =>
      markup`<tr role="row"><th role="rowheader" scope="row">${row.name}</th>
        <td role="cell" class="bars">${bar(row, supply, x)}</td>
        <td role="cell" class="words"><span>${wordsOf(row, supply)}</span></td></tr>`,
  )}</tbody></table>`;
}

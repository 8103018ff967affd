/** How designs trade off: a row for each of what counts, a column for each design, the best on top; figures under the marks. */
import type { Better } from '../../design/want/want.ts';
import { sharesOf } from '../../design/reasons.ts';
import { number } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { label, path, px } from './svg.ts';

/** Heights in a row, px: its title, its marks, its figures, and room before the next. */
const [TITLE, MARKS, FIGURES, GAP] = [20, 44, 22, 14];
const ROW = TITLE + MARKS + FIGURES + GAP;
const HEAD = 26;
const EDGE = 2;
const [MARK, BADGE] = [4.5, 10];

const NAMES: Readonly<Record<Better, string>> = {
  travel: 'travel, % of what is asked: more is better',
  use: 'torque used, % of a servo: less is better',
  frequency: 'lowest frequency, Hz: more is better',
  price: 'price of the servos: less is better',
  size: 'cylinder around it, cm³: less is better',
};

/** An objective as it is shown, its unit in the row's name. */
function shown(name: Better, value: number): string {
  if (name === 'travel') return number(-100 * value, 0);
  if (name === 'use') return number(100 * value, 0);
  if (name === 'frequency') return number(-value, 1);
  return name === 'size' ? number(value, 0) : number(value);
}

/**
 * @param all objectives of the designs, smaller is better, in the order of `better`
 * @param alike by objective, what nobody would tell apart
 * @param width px
 */
export function tradeChart(
  better: readonly Better[],
  all: readonly (readonly number[])[],
  alike: readonly number[],
  width: number,
): Markup {
  const column = (width - 2 * EDGE) / all.length;
  const x = (i: number): number => EDGE + (i + 0.5) * column;
  const shares = sharesOf(all, better.length, alike);
  const height = HEAD + better.length * ROW + HEAD - GAP;
  const columns = all.map((_, i) => path('column', `M${px(x(i))} ${HEAD}V${height - HEAD}`));
  const rows = better.map((name, k) => {
    const top = HEAD + k * ROW + TITLE;
    const y = (i: number): number => top + MARK + 4 + shares[i]![k]! * (MARKS - 2 * MARK - 4);
    const isBest = (i: number): boolean => shares[i]![k] === 0 && shares.some((own) => own[k] !== 0);
    const thread = path('thread', `M${all.map((_, i) => `${px(x(i))} ${px(y(i))}`).join('L')}`);
    const marks = all.map((own, i) => {
      const value = label(shown(name, own[k]!), x(i), top + MARKS + 14, 'middle', 'value');
      return markup`<circle class="spot${isBest(i) ? ' best' : ''}" cx="${px(x(i))}" cy="${px(y(i))}" r="${MARK}"/>${value}`;
    });
    return markup`<rect class="band" x="0" y="${top - TITLE + 2}" width="${width}" height="${TITLE - 2}"/>${label(NAMES[name], EDGE, top - 4, 'start', 'name')}${thread}${marks}`;
  });
  const badges = [BADGE + 2, height - BADGE - 2].flatMap((y) => all.map((_, i) => badge(i + 1, x(i), y)));
  const said = `How ${String(all.length)} designs compare in ${better.join(', ')}`;
  return markup`<svg class="trade" viewBox="0 0 ${width} ${height}" role="img" aria-label="${said}">
    ${columns}${rows}${badges}
  </svg>`;
}

const badge = (n: number, x: number, y: number): Markup =>
  markup`<circle class="badge" cx="${px(x)}" cy="${px(y)}" r="${BADGE}"/>${label(String(n), x, y + 4.5, 'middle', 'number')}`;

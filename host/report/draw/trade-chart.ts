/** How designs trade off: a line for each of what counts, the best on the right, the designs on it by number. */
import type { Better } from '../../design/want/want.ts';
import { sharesOf } from '../../design/reasons.ts';
import { figure, number, percent } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { label, path, px } from './svg.ts';

const ROW = 74;
const EDGE = 30;
const TOP = 34;
const BEAD = 10;

const NAMES: Readonly<Record<Better, string>> = {
  travel: 'travel, least of all that is asked',
  use: 'largest share of a servo’s torque',
  frequency: 'lowest natural frequency',
  price: 'price of the servos',
  size: 'cylinder around it',
};

/** An objective as it is shown. */
function shown(name: Better, value: number): string {
  if (name === 'travel') return percent(-value);
  if (name === 'use') return percent(value);
  if (name === 'frequency') return figure(-value, 'Hz', 1);
  return name === 'size' ? figure(value, 'cm³', 0) : number(value);
}

/** @param all objectives of the designs, smaller is better, in the order of `better`; @param width px */
export function tradeChart(better: readonly Better[], all: readonly (readonly number[])[], width: number): Markup {
  const [left, right] = [EDGE, width - EDGE];
  const shares = sharesOf(all, better.length);
  const x = (share: number): number => right - share * (right - left);
  const y = (k: number): number => TOP + k * ROW + 18;
  const rows = better.map((name, k) => {
    const values = all.map((own) => own[k]!);
    const ends = markup`${label(shown(name, Math.max(...values)), left, y(k) + 28, 'start')}${label(shown(name, Math.min(...values)), right, y(k) + 28, 'end')}`;
    return markup`${label(NAMES[name], left - 10, y(k) - 18, 'start', 'name')}${path('axis', `M${left} ${y(k)}H${right}`)}${ends}`;
  });
  const threads = shares.map((own) =>
    path('thread', `M${own.map((share, k) => `${px(x(share))} ${px(y(k))}`).join('L')}`),
  );
  const beads = better.flatMap((_, k) =>
    beadsOf(
      shares.map((own) => x(own[k]!)),
      y(k),
      width,
    ),
  );
  const said = `How ${String(all.length)} designs compare in ${better.join(', ')}`;
  return markup`<svg class="trade" viewBox="0 0 ${width} ${TOP + better.length * ROW}" role="img" aria-label="${said}">
    ${rows}${threads}${beads}
  </svg>`;
}

/** Numbers that would cover each other stand side by side in one bead. */
function beadsOf(places: readonly number[], y: number, width: number): readonly Markup[] {
  const groups: { x: number; numbers: number[] }[] = [];
  const order = places.map((_, i) => i).sort((a, b) => places[a]! - places[b]!);
  for (const i of order) {
    const last = groups.at(-1);
    if (last && places[i]! - last.x < 2 * BEAD) last.numbers.push(i + 1);
    else groups.push({ x: places[i]!, numbers: [i + 1] });
  }
  return groups.map(({ x, numbers }) => {
    const words = numbers.sort((a, b) => a - b).join(' ');
    const half = BEAD + 4.5 * (words.length - 1);
    const at = Math.min(width - half - 1, Math.max(half + 1, x));
    return markup`<rect class="bead" x="${at - half}" y="${y - BEAD}" width="${2 * half}" height="${2 * BEAD}" rx="${BEAD}"/>${label(words, at, y + 4.5, 'middle', 'number')}`;
  });
}

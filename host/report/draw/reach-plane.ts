/** Two axes of a pose as a filled plot: in reach inside the line, and outside it what stops the platform, by cause. */
import { scaleLinear } from 'd3-scale';
import type { Stop } from '../../physics/kinematics/inverse.ts';
import type { Plane } from '../../reach/result.ts';
import { type PlotBox, xAxis, yAxis } from './chart.ts';
import { markup } from './markup.ts';
import type { Markup } from './markup.ts';
import { label, path, upright } from './svg.ts';

const SIDE = 372;
const BOX: PlotBox = { left: 50, right: SIDE - 8, top: 26, bottom: SIDE - 36 };

/** Causes that never occur on one rig together look alike. */
const LOOKS: Readonly<Record<Stop['cause'], 'rod' | 'limit' | 'rod_end'>> = {
  rod: 'rod',
  stroke: 'rod',
  limit: 'limit',
  rod_end: 'rod_end',
};
const NAMES: Readonly<Record<Stop['cause'], string>> = {
  rod: 'reach of a rod',
  stroke: 'end of a stroke',
  limit: 'soft limit',
  rod_end: 'rod end',
};

const hatch = (id: string, size: number, body: Markup): Markup =>
  markup`<pattern id="${id}" width="${size}" height="${size}" patternUnits="userSpaceOnUse">
    <rect class="wash-${id}" width="${size}" height="${size}"/>${body}
  </pattern>`;

/** The three hatchings, to stand once on a page: told apart without colour. */
export const HATCHES = markup`<svg class="hatches" width="0" height="0" aria-hidden="true">
  ${hatch('rod', 7, markup`<path class="line-rod" d="M-1 8L8 -1M-1 1L1 -1M6 8L8 6"/>`)}
  ${hatch('limit', 6, markup`<circle class="dot-limit" cx="3" cy="3" r="1.1"/>`)}
  ${hatch('rod_end', 8, markup`<path class="line-rod_end" d="M0 4H8M4 0V8"/>`)}
</svg>`;

type Scale = (value: number) => number;

/** Places as columns and rows, to px; a place is a rectangle about its middle. */
interface Grid {
  readonly x: Scale;
  readonly y: Scale;
}

const px = (value: number): string => String(Math.round(value * 10) / 10);

/** All runs of a row's places that stop for one of `letters`, one place wider than they are, so that nothing shines through. */
function runs(row: string, letters: string): (readonly [from: number, to: number])[] {
  return [...row.matchAll(new RegExp(`[${letters}]+`, 'g'))].map((run) => [run.index - 1, run.index + run[0].length]);
}

function area({ rows }: Plane, letters: string, { x, y }: Grid): string {
  const last = (rows[0]?.length ?? 1) - 1;
  const height = Math.abs(y(1) - y(0));
  return rows
    .flatMap((row, r) =>
      runs(row, letters).map(([from, to]) => {
        const [left, right] = [x(Math.max(0, from)), x(Math.min(last, to))];
        return `M${px(left)} ${px(y(r) - height)}H${px(right)}V${px(y(r) + height)}H${px(left)}Z`;
      }),
    )
    .join('');
}

/** The edges of what is in reach; holes are cut out by their direction. */
function edges({ outlines }: Plane, across: Scale, up: Scale): string {
  return outlines.map((line) => `M${line.map(([a, b]) => `${px(across(a))} ${px(up(b))}`).join('L')}Z`).join('');
}

/** Places beside what is in reach, by letter. */
function besideReach({ rows }: Plane): ReadonlyMap<string, readonly (readonly [c: number, r: number])[]> {
  const beside = new Map<string, (readonly [number, number])[]>();
  rows.forEach((row, r) => {
    Array.from(row).forEach((letter, c) => {
      if (letter === '.') return;
      const around = [row[c - 1], row[c + 1], rows[r - 1]?.[c], rows[r + 1]?.[c]];
      if (around.includes('.')) beside.set(letter, [...(beside.get(letter) ?? []), [c, r]]);
    });
  });
  return beside;
}

/** Fewer places along the edge are not worth a name. */
const WORTH_NAMING = 9;
/** How far out of reach a name stands, px. */
const OUT = 15;
/** Letters of a name reach so far to either side, px. */
const HALF_NAME = 17;

/** The legs' names along the edge, each in the middle of its stretch, a little outward. */
function names(plane: Plane, { x, y }: Grid): Markup[] {
  const centre = [(BOX.left + BOX.right) / 2, (BOX.top + BOX.bottom) / 2] as const;
  const taken: (readonly [number, number])[] = [];
  return [...besideReach(plane)]
    .sort(([, a], [, b]) => b.length - a.length)
    .flatMap(([letter, places]) => {
      const joint = plane.letters[letter]?.joint;
      const [c, r] = places[places.length >> 1] ?? [0, 0];
      if (joint === undefined || places.length < WORTH_NAMING) return [];
      const [dx, dy] = [x(c) - centre[0], y(r) - centre[1]];
      const out = OUT / (Math.hypot(dx, dy) || 1);
      const at = [
        Math.min(Math.max(x(c) + dx * out, BOX.left + HALF_NAME), BOX.right - HALF_NAME),
        Math.min(Math.max(y(r) + dy * out + 4, BOX.top + 12), BOX.bottom - 4),
      ] as const;
      if (taken.some(([tx, ty]) => Math.abs(tx - at[0]) < 2 * HALF_NAME && Math.abs(ty - at[1]) < 13)) return [];
      taken.push(at);
      return [label(joint, at[0], at[1], 'middle', 'name-of-stop')];
    });
}

/** The plot as an SVG element; `at` is where travel is counted from, in the plot's own figures. */
export function planeChart(plane: Plane, at: readonly [across: number, up: number]): Markup {
  const [columns, rows] = [plane.rows[0]?.length ?? 2, plane.rows.length];
  const across = scaleLinear([...plane.across], [BOX.left, BOX.right]);
  const up = scaleLinear([...plane.up], [BOX.bottom, BOX.top]);
  const grid: Grid = {
    x: scaleLinear([0, columns - 1], [BOX.left, BOX.right]),
    y: scaleLinear([0, rows - 1], [BOX.bottom, BOX.top]),
  };
  const lettersOf = (look: string): string =>
    Object.entries(plane.letters)
      .filter(([, { cause }]) => LOOKS[cause] === look)
      .map(([letter]) => letter)
      .join('');
  const looks = [...new Set(Object.values(plane.letters).map(({ cause }) => LOOKS[cause]))];
  const areas = looks.map((look) => path(`stops-${look}`, area(plane, lettersOf(look), grid)));
  const id = `plot-${plane.axes.join('-')}`;
  const [ax, ay] = plane.axes;
  return markup`<svg class="chart plane" viewBox="0 0 ${SIDE} ${SIDE}" role="img" aria-label="What stops the prop at each ${ax} and ${ay}">
    <clipPath id="${id}">${upright('', BOX.left, BOX.right - BOX.left, BOX.top, BOX.bottom)}</clipPath>
    ${label(`${ay}, ${plane.units[1]}`, 2, 14, 'start', 'name')}
    <g clip-path="url(#${id})">${areas}${path('in-reach', edges(plane, across, up))}</g>
    ${yAxis(up, BOX)}${xAxis(across, `${ax}, ${plane.units[0]}`, BOX)}
    <circle class="from" cx="${across(at[0])}" cy="${up(at[1])}" r="3.5"/>${names(plane, grid)}
  </svg>`;
}

const key = (look: string, words: string): Markup =>
  markup`<li><svg viewBox="0 0 34 16" aria-hidden="true"><rect class="${look}" x="1" y="1" width="32" height="14"/></svg><span>${words}</span></li>`;

/** What the hatchings mean, those that occur. */
export function planeKeys(planes: readonly Plane[], place: string): Markup {
  const causes = new Set(planes.flatMap(({ letters }) => Object.values(letters).map(({ cause }) => cause)));
  const keys = [...causes].map((cause) => key(`stops-${LOOKS[cause]}`, NAMES[cause]));
  return markup`<ul class="keys across">
    ${key('in-reach', 'in reach')}${keys}
    <li><svg viewBox="0 0 34 16" aria-hidden="true"><circle class="from" cx="17" cy="8" r="3.5"/></svg><span>${place}</span></li>
  </ul>`;
}

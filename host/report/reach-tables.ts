/** Travel in figures: the twelve ways as bars beside what stops them, and what each dimension, changed, makes of them. */
import { scaleLinear } from 'd3-scale';
import type { AxisTravel, Change, FirmTravel } from '../reach/result.ts';
import { changeWords } from '../reach/strongest.ts';
import { stopWords, wayWords } from '../reach/words.ts';
import { figure, number } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { path, upright } from './draw/svg.ts';

const WIDTH = 260;
const HEIGHT = 18;

/** Both ways along one axis, on the scale of its unit; 0 in the middle. */
function bar({ axis, unit, minus, plus }: AxisTravel, most: number): Markup {
  const x = scaleLinear([-most, most], [2, WIDTH - 2]);
  const ends = `M${x(minus)} 1V${HEIGHT - 1}M${x(plus)} 1V${HEIGHT - 1}`;
  const said = `${axis} from ${number(minus)} to ${number(plus)} ${unit}`;
  return markup`<svg class="way" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${said}">
    ${upright('room', 2, WIDTH - 4, 6, 12)}${upright('share', x(minus), Math.max(1, x(plus) - x(minus)), 4, 14)}
    ${path('stop', ends)}${path('zero-mark', `M${x(0)} 0V${HEIGHT}`)}
  </svg>`;
}

function way(travel: FirmTravel, side: 'minus' | 'plus'): Markup {
  const stop = travel[`${side}_stop`];
  return markup`<td role="cell" class="${side}">
    <span class="value">${figure(travel[side], travel.unit, 2)}</span>
    <span class="beside">${wayWords(travel.axis, side)}</span>
    <span class="beside">${stop ? stopWords(stop) : 'nothing within half a turn'}</span>
  </td>`;
}

/** The table of travel. */
export function travelTable(axes: readonly FirmTravel[]): Markup {
  const most = (unit: string): number =>
    Math.max(
      ...axes.filter((it) => it.unit === unit).flatMap(({ minus, plus }) => [Math.abs(minus), Math.abs(plus)]),
      1e-9,
    );
  const rows = axes.map(
    (travel) =>
      markup`<tr role="row">
        <th role="rowheader" scope="row">${travel.axis}</th>
        ${way(travel, 'minus')}
        <td role="cell" class="both">${bar(travel, most(travel.unit))}</td>
        ${way(travel, 'plus')}
      </tr>`,
  );
  return markup`<table role="table" class="travel">
    <tbody role="rowgroup">${rows}</tbody>
  </table>`;
}

/** Less is shown as nothing, mm or deg. */
const NOTHING = 0.05;

function cell(now: AxisTravel, then: AxisTravel | undefined): Markup {
  const by = then ? then.plus - then.minus - (now.plus - now.minus) : NaN;
  const words = Math.abs(by) < NOTHING ? '·' : `${by > 0 ? '+' : ''}${number(by, 1)}`;
  const kind = by >= NOTHING ? 'more' : by <= -NOTHING ? 'less' : 'same';
  return markup`<td role="cell" class="${kind}">
    <span class="head" aria-hidden="true">${now.axis}, ${now.unit}</span>${words}
  </td>`;
}

function changeRow(change: Change, now: readonly AxisTravel[]): Markup {
  const { axes, but } = change;
  const beside = but === null ? null : markup`<span class="beside">${but}</span>`;
  const cells = axes
    ? now.map((travel, i) => cell(travel, axes[i]))
    : markup`<td role="cell" class="none" colspan="${now.length}">–</td>`;
  return markup`<tr role="row"><th role="rowheader" scope="row">${changeWords(change)}${beside}</th>${cells}</tr>`;
}

/** What every change makes of the whole way along each axis, minus to plus; narrow pages turn rows into cards. */
export function changeTable(changes: readonly Change[], now: readonly AxisTravel[]): Markup {
  const heads = now.map(({ axis, unit }) => markup`<th role="columnheader" scope="col">${axis}, ${unit}</th>`);
  return markup`<table role="table" class="changes">
    <thead role="rowgroup">
      <tr role="row">
        <th role="columnheader" scope="col">with</th>
        ${heads}
      </tr>
    </thead>
    <tbody role="rowgroup">${changes.map((change) => changeRow(change, now))}</tbody>
  </table>`;
}

/** Limits before and after tuning as a table, with what the simulated prop did under each; narrow pages turn rows into cards. */
import { UNKNOWN } from '../rig/terms.ts';
import { effortOf } from '../replay/words.ts';
import type { Figures, Seen, TunedJoint } from '../tune/result.ts';
import { goneWords } from '../tune/words.ts';
import { figure, number, settled } from './draw/figures.ts';
import { type Markup, markup } from './draw/markup.ts';

interface Cell {
  readonly head: string;
  readonly value: Markup;
}

/** `90 → 70 deg/s`, or what it is when it stays. */
function change(was: string, is: string, unit: string): Markup {
  if (was === is) return markup`${is}\u00a0${unit}`;
  return markup`<span class="was">${was}\u00a0→</span> <span class="new">${is}\u00a0${unit}</span>`;
}

const said = (value: number): string => number(settled(value));

const limit = ({ file, limits, unit }: TunedJoint, key: keyof Figures, per: string): Markup =>
  change(said(file[key]), said(limits[key]), `${unit}/${per}`);

/** An acceleration, and beneath it the speed at which it has fallen to zero, where it does. */
function fading(joint: TunedJoint, key: 'plus' | 'minus'): Markup {
  const accel = limit(joint, key, 's²');
  const gone = goneWords(joint, key, said);
  return gone === null ? accel : markup`${accel}<span class="gone">${gone.replace(/ (?=→|deg|mm)/g, '\u00a0')}</span>`;
}

/** What the simulated prop did, of both; a fall is a word. */
function seen({ before, after }: TunedJoint, unit: string, of: (seen: Seen) => string): Markup {
  if (!before || !after) return markup`${UNKNOWN}`;
  const [was, is] = [of(before), of(after)];
  const withUnit = (text: string): string => (/\d$/.test(text) ? `${text}\u00a0${unit}` : text);
  return was === is
    ? markup`${withUnit(is)}`
    : markup`<span class="was">${withUnit(was)}\u00a0→</span> <span class="new">${withUnit(is)}</span>`;
}

function cells(joint: TunedJoint): Cell[] {
  const { unit, full_range_s: range } = joint;
  const [before, after] = [range.before, range.after].map((value) => number(value, 2));
  const few = (ms: number): string => number(ms, ms > 0 && ms < 10 ? 1 : 0);
  return [
    { head: 'speed', value: limit(joint, 'speed', 's') },
    { head: 'plus', value: fading(joint, 'plus') },
    { head: 'minus', value: fading(joint, 'minus') },
    { head: 'full range in', value: change(before ?? '', after ?? '', 's') },
    { head: `out of ${effortOf([joint])}`, value: seen(joint, 'ms', ({ saturated_ms }) => few(saturated_ms)) },
    {
      head: 'furthest behind',
      value: seen(joint, unit, ({ falls, peak_error }) => (falls ? 'falls' : number(peak_error, 2))),
    },
  ];
}

/** The table. */
export function limitsTable(joints: readonly TunedJoint[]): Markup {
  const rows = joints.map((joint) => {
    const tds = cells(joint).map(
      ({ head, value }) =>
        markup`<td role="cell"><span class="head" aria-hidden="true">${head}</span><span class="value">${value}</span></td>`,
    );
    return markup`<tr role="row"><th role="rowheader" scope="row">${joint.name}</th>${tds}</tr>`;
  });
  const heads = joints[0]
    ? cells(joints[0]).map(({ head }) => markup`<th role="columnheader" scope="col">${head}</th>`)
    : [];
  return markup`<table role="table" class="joints limits">
    <thead role="rowgroup"><tr role="row"><th role="columnheader" scope="col">joint</th>${heads}</tr></thead>
    <tbody role="rowgroup">${rows}</tbody>
  </table>`;
}

/** What the new limits cost in time, a sentence each without its stop. */
export const costWords = (joints: readonly TunedJoint[]): string[] =>
  joints
    .filter(({ full_range_s: { before, after } }) => number(before, 2) !== number(after, 2))
    .map(
      ({ name, full_range_s: { before, after }, before: seen }) =>
        `${name} takes ${figure(after, 's', 2)} from one soft limit to the other, instead of ${figure(before, 's', 2)} by its old limits${seen && seen.saturated_ms > 0 ? ', which it cannot keep' : ''}`,
    );

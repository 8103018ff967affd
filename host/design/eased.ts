/** A want with one wish relaxed to another amount, and amounts that a builder would write: rounded to the side that is easier. */
import { AXES, AXIS_NAMES, fromShown, unitOf } from '../reach/axes.ts';
import type { Amount, Wish } from './wishes.ts';
import type { Travel, Want } from './want/want.ts';

/** @param amount in the unit of the want file's key; of `must.follow` any: the stream is left out */
export function eased(want: Want, path: string, amount: Amount): Want {
  const { must, room, clearance, firm, axes } = want;
  const [group, key = ''] = path.split('.');
  const value = typeof amount === 'number' ? amount : NaN;
  if (group === 'room') return { ...want, room: { ...room, [key]: value } };
  if (group === 'clearance') return { ...want, clearance: { ...clearance, [key]: value } };
  if (group === 'firm') return { ...want, firm: { ...firm, [key]: value } };
  if (group === 'axes')
    return { ...want, axes: axes.map((axis) => (axis.joint === key ? { ...axis, most_nm: value } : axis)) };
  if (key === 'follow') return { ...want, must: { ...must, follow: null } };
  if (key === 'together') return { ...want, must: { ...must, together: value } };
  const travel = AXES.map((axis): Travel => {
    const own = must.travel[axis]!;
    if (key !== `${AXIS_NAMES[axis]}_${unitOf(axis)}`) return own;
    const [minus, plus] = typeof amount === 'number' ? [-amount, amount] : amount;
    return { minus: minus === 0 ? 0 : fromShown(axis, minus), plus: fromShown(axis, plus) };
  });
  return { ...want, must: { ...must, travel } };
}

/** Steps in which amounts are written, by unit. */
const STEP: Readonly<Record<string, number>> = { mm: 0.1, deg: 0.1, Hz: 0.1, '': 0.01, 'N·m': 0.001 };
const NEAR = 1e-9;

/** Beyond an amount by a margin, a share of it, on the side that is easier to hold; then to the next step on that side. */
export function saferThan({ unit, atMost }: Pick<Wish, 'unit' | 'atMost'>, amount: Amount, margin: number): Amount {
  const step = STEP[unit] ?? NEAR;
  const one = (value: number): number => {
    const size = Math.abs(value) * (atMost ? 1 + margin : 1 - margin);
    const steps = atMost ? Math.ceil(size / step - NEAR) : Math.floor(size / step + NEAR);
    return Number((Math.sign(value) * steps * step).toFixed(6)) || 0;
  };
  return typeof amount === 'number' ? one(amount) : [one(amount[0]), one(amount[1])];
}

/** By how much an amount gives way, as a share of what was asked; of two, the larger. */
export function givenWay(asked: Amount, amount: Amount): number {
  const [from, to] = [asked, amount].map((of) => (typeof of === 'number' ? [of] : of)) as [number[], number[]];
  return from.reduce((most, value, i) => (value === 0 ? most : Math.max(most, Math.abs(1 - to[i]! / value))), 0);
}

/** What of a written design's travels its bodies leave free, as the library finds it: what is shown of a design, and told of it as its travel. */
import type { Stop } from '../physics/kinematics/inverse.ts';
import type { Room } from '../physics/kinematics/bodies.ts';
import { AXES, fromShown, shownAs } from '../reach/axes.ts';
import { type FreeTravel, freeAlong } from '../reach/free-travel.ts';
import type { AxisTravel } from '../reach/result.ts';
import type { Clearance } from '../rig/clearance.ts';
import { HOME, type Platform, toRad } from '../rig/rig.ts';
import type { Want } from './want/want.ts';

/** What ends a travel: a leg, or two bodies that come nearer than gap_mm. */
export type End = Stop | { readonly cause: 'bodies'; readonly between: Room['between'] };

/** As AxisTravel, mm and degrees; it ends where bodies come too near. */
export interface ClearTravel extends Pick<AxisTravel, 'axis' | 'unit' | 'minus' | 'plus'> {
  readonly minus_stop: End | null;
  readonly plus_stop: End | null;
}

/** @param travels as far as the legs go, from home, in the order of the pose */
export function clearTravels(platform: Platform, clearance: Clearance, travels: readonly AxisTravel[]): ClearTravel[] {
  return AXES.map((axis): ClearTravel => {
    const { axis: name, unit, minus, plus, minus_stop, plus_stop } = travels[axis]!;
    const free = (sign: 1 | -1, by: number): FreeTravel =>
      freeAlong(platform, clearance, { from: HOME, axis, sign, most: Math.abs(fromShown(axis, by)) });
    const [down, up] = [free(-1, minus), free(1, plus)];
    const ends = ({ between }: FreeTravel, stop: Stop | null): End | null =>
      between ? { cause: 'bodies', between } : stop;
    return {
      axis: name,
      unit,
      minus: down.between ? 0 - shownAs(axis, down.by) : minus,
      plus: up.between ? shownAs(axis, up.by) : plus,
      minus_stop: ends(down, minus_stop),
      plus_stop: ends(up, plus_stop),
    };
  });
}

/** Least of all travels that are asked, as a share of it, and which it is; null: none is asked. */
export function leastTravel(
  { must }: Want,
  travels: readonly ClearTravel[],
): { readonly share: number; readonly axis: string } | null {
  const shares = must.travel.flatMap(({ minus, plus }, k) => {
    const own = travels[k]!;
    const unit = own.unit === 'deg' ? toRad(1) : 1;
    const ways = [...(minus < 0 ? [(own.minus * unit) / minus] : []), ...(plus > 0 ? [(own.plus * unit) / plus] : [])];
    return ways.map((share) => ({ share, axis: own.axis }));
  });
  return shares.length === 0 ? null : shares.reduce((a, b) => (b.share < a.share ? b : a));
}

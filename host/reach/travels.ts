/** Travel from a pose in twelve directions, and how firmly the plate is held on the way. */
import { type Firmness, firmnessAt } from '../physics/kinematics/firmness.ts';
import { type PoseAxis, type Travel, poseAt, travelAlong } from '../physics/kinematics/travel.ts';
import type { Platform, Pose, Rig } from '../rig/rig.ts';
import { AXES, nameOf, shownAs, unitAlong, unitOf } from './axes.ts';
import type { AxisTravel, FirmTravel, FirmnessOnTheWay } from './result.ts';

/** Both ways along one axis, in mm or rad. */
export interface Both {
  readonly axis: PoseAxis;
  readonly minus: Travel;
  readonly plus: Travel;
}

/** From a pose at which nothing stops the rig. */
export const travelsOf = (rig: Rig, from: Pose): Both[] =>
  AXES.map((axis) => ({ axis, minus: travelAlong(rig, from, axis, -1), plus: travelAlong(rig, from, axis, 1) }));

export const shownTravel = ({ axis, minus, plus }: Both): AxisTravel => ({
  axis: nameOf(axis),
  unit: unitOf(axis),
  minus: minus.by === 0 ? 0 : -shownAs(axis, minus.by),
  plus: shownAs(axis, plus.by),
  minus_stop: minus.stop,
  plus_stop: plus.stop,
});

/** The same with the firmness on both ways; `begin` is that at `from`, null where a crank stands in line with its rod. */
export const firmTravel = (platform: Platform, from: Pose, both: Both, begin: Firmness | null): FirmTravel => ({
  ...shownTravel(both),
  minus_firmness: onTheWay(platform, from, both.axis, -1, both.minus.by, begin),
  plus_firmness: onTheWay(platform, from, both.axis, 1, both.plus.by, begin),
});

/** Poses of a way that are looked at, its end included. */
const LOOKS = 24;

function onTheWay(
  platform: Platform,
  from: Pose,
  axis: PoseAxis,
  sign: 1 | -1,
  most: number,
  begin: Firmness | null,
): FirmnessOnTheWay {
  const along = unitAlong(axis, sign);
  const by = (n: number): number => (most * n) / LOOKS;
  const shown = (way: number): number => shownAs(axis, sign * way);
  const at = (way: number): Firmness | null => firmnessAt(platform, poseAt(from, along, way));
  const looks = Array.from({ length: LOOKS + 1 }, (_, n) => ({ by: by(n), found: at(by(n)) }));
  const loose = firstLoose(looks, at);
  const known = begin && begin.condition !== null ? begin : null;
  let weakest: FirmnessOnTheWay['stiffness'] = null;
  let faster: number | null = null;
  for (const { by, found } of looks) {
    if (!known || !found) continue;
    const share = (found.least / known.least) ** 2;
    if (share < (weakest?.share ?? Infinity)) weakest = { share, at: shown(by) };
    faster = Math.max(faster ?? 0, found.most / known.most);
  }
  return {
    condition: looks.at(-1)?.found?.condition ?? null,
    stiffness: loose === null ? weakest : { share: 0, at: shown(loose) },
    loose_at: loose === null ? null : shown(loose),
    faster,
  };
}

interface Look {
  readonly by: number;
  readonly found: Firmness | null;
}

/** Where the plate first comes to hang loose, as far as looks tell sides apart; null: nowhere. */
function firstLoose(looks: readonly Look[], at: (way: number) => Firmness | null): number | null {
  const begin = looks[0]?.found?.side ?? 0;
  const n = looks.findIndex(({ found }) => found !== null && found.side === -begin);
  if (begin === 0 || n < 1) return null;
  let [lo, hi] = [looks[n - 1]?.by ?? 0, looks[n]?.by ?? 0];
  for (let halving = 0; halving < 30; halving++) {
    const middle = (lo + hi) / 2;
    if (at(middle)?.side === begin) lo = middle;
    else hi = middle;
  }
  return hi;
}

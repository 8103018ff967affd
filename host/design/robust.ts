/**
 * What is left of the travels when a design is built as people build: every joint's centre off by a little, in each direction by
 * itself. The same draws for every design, so that two are compared and not their luck.
 */
import { type PoseAxis, travelAlong } from '../physics/kinematics/travel.ts';
import { AXES } from '../reach/axes.ts';
import { HOME, type Leg, type Rig, type Vec3 } from '../rig/rig.ts';
import { Draws } from './search/draws.ts';
import type { Must } from './want/want.ts';

/** Prototypes on the owl: so many give the percentile to half a percent. */
const DRAWS = 400;
const PERCENTILE = 0.05;
const SEED = 1;

/**
 * 5th percentile of the least of all wanted travels, each as a share of what is asked. Null: no travel is asked, or it is built exactly.
 */
export function robustOf({ travel, built_within_mm }: Must, rig: Rig, draws = DRAWS): number | null {
  const { platform } = rig;
  const wanted = AXES.flatMap((axis) => {
    const { minus, plus } = travel[axis]!;
    return [
      ...(minus < 0 ? [{ axis, sign: -1 as const, by: -minus }] : []),
      ...(plus > 0 ? [{ axis, sign: 1 as const, by: plus }] : []),
    ];
  });
  if (!platform || wanted.length === 0 || built_within_mm === 0) return null;
  const drawn = Draws.of(SEED, 0);
  const moved = (at: Vec3): Vec3 => at.map((value) => value + built_within_mm * drawn.normal()) as unknown as Vec3;
  const least = Array.from({ length: draws }, () => {
    const legs = platform.legs.map((leg): Leg => ({
      ...leg,
      base_mm: moved(leg.base_mm),
      moving_mm: moved(leg.moving_mm),
    }));
    const built: Rig = { ...rig, platform: { ...platform, legs } };
    const share = ({ axis, sign, by }: { axis: PoseAxis; sign: 1 | -1; by: number }): number =>
      travelAlong(built, HOME, axis, sign).by / by;
    return Math.min(...wanted.map(share));
  }).sort((a, b) => a - b);
  return least[Math.floor(PERCENTILE * draws)]!;
}

/**
 * Soft limits of the legs, drawn in as far as they must be: where they let the plate go, its legs must hold it. What is reached within
 * narrower limits is reached within wider ones, so that the widest that hold are found by halving.
 */
import { HardestHold } from '../load/hardest-hold.ts';
import type { LoadAnswer } from '../load/result.ts';
import { inverse } from '../physics/kinematics/inverse.ts';
import { HOME, type Platform, type Rig, toRad } from '../rig/rig.ts';
import { cornersOf, endsOf } from './asked-poses.ts';
import type { Refused } from './judge.ts';
import type { Want } from './want/want.ts';

/** Lowest, highest. */
type Limits = readonly [number, number];

/** A rig whose soft limits let it go where it cannot hold. */
export interface TooWide {
  /** With the margins in it. */
  readonly rig: Rig;
  /** Of legs without limits of their own, rad or mm. */
  readonly limits: Limits;
  /** Where legs must get to all the same, rad or mm. */
  readonly needed: Limits;
  /** Indices of the legs that cannot hold, the one that needs the largest share of its servo's torque first. */
  readonly legs: readonly number[];
}

/** Null: legs and the axes that are designed are held wherever their soft limits let them go. */
export function tooWide(want: Want, rig: Rig, { joints }: LoadAnswer): Refused | null {
  const { axes, own_limits } = want;
  const useOf = ({ worst }: LoadAnswer['joints'][number]): number => (worst.loose ? Infinity : (worst.use ?? Infinity));
  const axis = axes.map(({ index }) => joints[index]!).find((joint) => !(useOf(joint) <= 1));
  if (axis) return { refused: `load: ${axis.name} is not held everywhere within its soft limits` };
  const weak = joints.flatMap((joint, i) => (joint.leg && !(useOf(joint) <= 1) ? [{ i, use: useOf(joint) }] : []));
  if (weak.length === 0) return null;
  const legs = weak.sort((a, b) => b.use - a.use || a.i - b.i).map(({ i }) => i);
  const { lo, hi } = rig.joints[Math.max(0, own_limits.indexOf(false))]!;
  return {
    refused: 'load: its legs do not hold everywhere within their soft limits',
    too_wide: { rig, limits: [lo, hi], needed: neededOf(want, rig.platform!), legs },
  };
}

/** Lowest and highest that any leg stands at home, at rest, where travels end that are asked, and in their corners; rad or mm. */
function neededOf(want: Want, platform: Platform): readonly [number, number] {
  const { together, spare_travel } = want.must;
  const poses = [HOME, platform.rest, ...endsOf(want, 1 + spare_travel), ...cornersOf(want, together)];
  const all = poses.flatMap((pose) => [...(inverse(platform, pose) ?? [])]);
  return [Math.min(...all), Math.max(...all)];
}

/** Steps in which limits are drawn in at both ends: rad, or mm. */
const STEP = { deg: toRad(1), mm: 0.5 } as const;
/** What is found here and what `load` finds agree within 0.2 % (hardest-hold.ts); it stays on the side that holds. */
const NEAR = 0.995;

/**
 * @returns [lowest, highest] of all legs, rad or mm (a leg's own may be narrower): the widest, drawn in by equal steps at both ends,
 * within which no leg is found to need more than its stall torque (force) to hold. Null: narrower limits are of no use, as no leg is
 * too weak, or one is even with the limits drawn in as far as what is needed allows.
 */
export function limitsThatHold(wide: TooWide): Limits | null {
  const { rig, legs, limits, needed } = wide;
  const [lo, hi] = limits;
  const step = STEP[rig.joints[0]!.unit];
  const most = Math.floor(Math.min(needed[0] - lo, hi - needed[1]) / step);
  const at = (steps: number): Limits => [lo + steps * step, hi - steps * step];
  const isHeld = holdingWithin(wide, at);
  let steps = 0;
  if (legs.length === 0 || !(most > 0) || !isHeld(legs[0]!, most)) return null;
  for (let weak = legs[0]; weak !== undefined; weak = legs.find((leg) => !isHeld(leg, steps))) {
    // The first of them does hold there.
    let holding = weak === legs[0] ? most : most + 1;
    while (holding - steps > 1) {
      const middle = Math.floor((steps + holding) / 2);
      if (isHeld(weak, middle)) holding = middle;
      else steps = middle;
    }
    if (holding > most) return null;
    steps = holding;
  }
  return at(steps);
}

/** Whether a leg holds with the limits drawn in by so many steps; what is made for one leg serves the others. */
function holdingWithin({ rig }: TooWide, at: (steps: number) => Limits): (leg: number, steps: number) => boolean {
  let made: { readonly steps: number; readonly hardest: HardestHold } | null = null;
  return (leg, steps) => {
    if (made?.steps !== steps) {
      const [lo, hi] = at(steps);
      const joints = rig.joints.map((joint) =>
        joint.kind === 'leg' ? { ...joint, lo: Math.max(joint.lo, lo), hi: Math.min(joint.hi, hi) } : joint,
      );
      made = { steps, hardest: new HardestHold({ ...rig, joints }) };
    }
    return made.hardest.of(leg) <= NEAR * (rig.joints[leg]!.servo.stall ?? NaN);
  };
}

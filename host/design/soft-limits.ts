/**
 * Soft limits of the legs, drawn in as far as they must be: where they let the plate go, its legs must hold it. What is reached within
 * narrower limits is reached within wider ones, so that the widest that hold are found by halving.
 */
import { HardestHold } from '../load/hardest-hold.ts';
import { type Rig, toRad } from '../rig/rig.ts';

/** Lowest, highest. */
type Limits = readonly [number, number];

/** A rig whose soft limits let it go where it cannot hold. */
export interface TooWide {
  /** With the margins in it. */
  readonly rig: Rig;
  /** Of legs without limits of their own, rad or mm. */
  readonly limits: Limits;
  /** Indices of the legs that cannot hold, the one that needs the largest share of its servo's torque first. */
  readonly legs: readonly number[];
}

/** Steps in which limits are drawn in at both ends: rad, or mm. */
const STEP = { deg: toRad(1), mm: 0.5 } as const;
/** What is found here and what `load` finds agree within a thousandth; it stays on the side that holds. */
const NEAR = 0.995;

/**
 * @returns [lowest, highest] of all legs, rad or mm (a leg's own may be narrower): the widest, drawn in by equal steps at both ends,
 * within which no leg is found to need more than its stall torque (force) to hold. Null: narrower limits are of no use, as no leg is
 * too weak, or one is even with the limits drawn in to home.
 */
export function limitsThatHold(wide: TooWide): Limits | null {
  const { rig, legs, limits } = wide;
  const all = rig.joints.slice(0, 6);
  const [lo, hi] = limits;
  const step = STEP[all[0]!.unit];
  const room = Math.min(...all.flatMap(({ home }) => [home - lo, hi - home]));
  const most = Math.floor(room / step);
  const at = (steps: number): Limits => [lo + steps * step, hi - steps * step];
  const isHeld = holdingWithin(wide, at);
  let steps = 0;
  for (let weak = legs[0]; weak !== undefined; weak = legs.find((leg) => !isHeld(leg, steps))) {
    let holding = most + 1;
    while (holding - steps > 1) {
      const middle = Math.floor((steps + holding) / 2);
      if (isHeld(weak, middle)) holding = middle;
      else steps = middle;
    }
    if (holding > most) return null;
    steps = holding;
  }
  return steps > 0 ? at(steps) : null;
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

/**
 * What the limits of a joint, as they are, may ask of its servo: speed, plus and minus together, against the servo line. The
 * other way round than `limits.ts`, which finds limits that a servo can keep, and by the same rule: any acceleration within the
 * limits may come at any speed that the joint can have at that place, with the load's weight on top. Dry friction that the file
 * gives comes on top where the joint speeds up, and goes off where it brakes.
 */
import type { Joint } from '../../rig/rig.ts';
import type { LegPlace, Place } from './limits.ts';
import { available, fastest, frictionOf, stallOf } from './servo-line.ts';

/** What is asked where it is the largest share. */
export interface Asks {
  /** Of what the servo has at that speed; Infinity: as fast as it is without load, or faster. */
  readonly use: number;
  /** In the joint's unit a second. */
  readonly speed: number;
  /** Which limit asks it. */
  readonly toward: 'plus' | 'minus';
  /** Share of the stall torque that braking a falling load takes, where that is largest; 0: nothing falls. */
  readonly brake: number;
  /** The limit that brakes it. */
  readonly brakes: 'plus' | 'minus';
}

/**
 * The speed that a joint can have at most at a place between soft limits when it starts at one of them and must be able to stop at
 * the other; both ways alike. Where plus or minus fades it comes to less: that is not counted, so that nothing is missed.
 */
function topSpeed({ speed, plus, minus, lo, hi }: Joint, at: number): number {
  return Math.min(speed, Math.sqrt(2 * plus * Math.max(0, at - lo)), Math.sqrt(2 * minus * Math.max(0, hi - at)));
}

/** The same anywhere between them. */
export function highestSpeed({ speed, plus, minus, lo, hi }: Joint): number {
  return Math.min(speed, Math.sqrt((2 * (hi - lo) * plus * minus) / (plus + minus)));
}

/** A place, and the speed that may be had there. */
interface Moment {
  readonly hold: number;
  readonly inertia: number;
  readonly speed: number;
}

/** Null: the servo's torque or speed is unknown, or what the joint moves. */
function worstOf(joint: Joint, moments: readonly Moment[]): Asks | null {
  const [stall, top] = [stallOf(joint), fastest(joint)];
  if (stall === null || top === null || moments.length === 0) return null;
  if (!moments.every(({ inertia }) => inertia > 0)) return null;
  const friction = frictionOf(joint);
  let [worst, most] = [null as Omit<Asks, 'brake' | 'brakes'> | null, { brake: 0, brakes: 'plus' as 'plus' | 'minus' }];
  for (const { hold, inertia, speed } of moments)
    for (const [toward, sign, accel, gone] of [
      ['plus', 1, joint.plus, joint.plus_gone],
      ['minus', -1, joint.minus, joint.minus_gone],
    ] as const) {
      const effort = (v: number): number => inertia * accel * (1 - v / gone) + sign * hold;
      // Where the limit fades it asks most at rest or at its fastest: a quotient of straight lines lies between its ends.
      for (const v of Number.isFinite(gone) ? [0, Math.min(speed, gone)] : [speed]) {
        const use = v >= top ? Infinity : Math.max(0, effort(v) + friction) / available(joint, v, sign)!;
        if (!worst || use > worst.use) worst = { use, speed: v, toward };
      }
      // Against its weight a load is raised, and braked when it falls: by the same limit.
      const brake = (effort(0) - friction) / stall;
      if (sign * hold > 0 && brake > most.brake) most = { brake, brakes: toward };
    }
  return worst && { ...worst, ...most };
}

/** What an axis is asked, by the places that it feels over its soft limits. */
export const axisAsks = (joint: Joint, places: readonly Place[]): Asks | null =>
  worstOf(
    joint,
    places.map(({ at, hold, inertia }) => ({ hold, inertia, speed: topSpeed(joint, at) })),
  );

/** What leg number i is asked at these poses, all six accelerating against it. */
export const legAsks = (joint: Joint, i: number, places: readonly LegPlace[]): Asks | null =>
  worstOf(
    joint,
    places.map(({ hold, inertia }) => ({ hold: hold[i]!, inertia: inertia[i]!, speed: highestSpeed(joint) })),
  );

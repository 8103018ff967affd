/**
 * What a servo can give at a speed: a straight line from its stall torque down to nothing at its no-load speed, on each side;
 * braking it has its stall torque (a model: real servos bend it by their electronics and heat). At the joint's coordinate:
 * N·m and rad/s, or N and mm/s, gear ratio and efficiency counted, so that a gear's losses also count against braking.
 */
import type { Joint } from '../../rig/rig.ts';

/** Stall torque of the joint's servo at the joint's own coordinate; null: unknown. */
export const stallOf = ({ servo, gear_ratio, gear_efficiency }: Joint): number | null =>
  servo.stall === null ? null : servo.stall * gear_ratio * gear_efficiency;

/** Speed of the joint at its servo's no-load speed; null: unknown. */
export const fastest = ({ servo, gear_ratio }: Joint): number | null =>
  servo.no_load_speed === null ? null : servo.no_load_speed / gear_ratio;

/**
 * Largest effort toward `sign` while the joint moves at v: stall·(1 - max(0, v·sign)/fastest), 0 at or beyond it.
 * @returns null when a figure that this needs is unknown: at rest and in braking stall torque alone will do.
 */
export function available(joint: Joint, v: number, sign: 1 | -1): number | null {
  const stall = stallOf(joint);
  const driving = Math.max(0, v * sign);
  if (stall === null || driving === 0) return stall;
  const top = fastest(joint);
  return top === null ? null : stall * Math.max(0, 1 - driving / top);
}

/**
 * Dry friction of the joint's servo at the joint's coordinate, behind its gear as its rotor is; what the file does not give counts
 * as none. In the plant it is the same.
 */
export const frictionOf = ({ servo, gear_ratio }: Pick<Joint, 'servo' | 'gear_ratio'>): number =>
  servo.drive === 'rotary' ? (servo.friction_nm ?? 0) * gear_ratio : 0;

/** Slower than this, rad/s or mm/s, a joint stands: differences of places leave some 1e-14. */
const STANDS = 1e-6;

/**
 * What a servo must give besides, moving at v, to overcome a dry friction: all of it the way that it goes, so that it helps to
 * brake (Celera Motion, TN-2003 Motor Sizing 101; Coulomb's model). Standing it is anything up to that, either way: it may
 * carry a part of what is held, or the servo pushes against as much after a slow move upward. To hold, the load alone counts.
 */
export const overcome = (friction: number, v: number): number =>
  friction === 0 || Math.abs(v) < STANDS ? 0 : Math.sign(v) * friction;

/** Unit of an effort at a joint. */
export const effortUnit = ({ unit }: Pick<Joint, 'unit'>): 'N·m' | 'N' => (unit === 'deg' ? 'N·m' : 'N');

export type Use = { readonly use: number } | { readonly use: null; readonly why: 'speed' | 'unknown' };

const UNKNOWN: Use = { use: null, why: 'unknown' };
const TOO_FAST: Use = { use: null, why: 'speed' };

/** Share of what the servo can give: |effort| over available() in its direction; at or beyond no-load speed there is none. */
export function useOf(joint: Joint, effort: number, v: number): Use {
  const top = fastest(joint);
  if (top !== null && Math.abs(v) >= top) return TOO_FAST;
  const most = available(joint, v, effort < 0 ? -1 : 1);
  return most === null ? UNKNOWN : { use: Math.abs(effort) / most };
}

/** useOf as one number: NaN where a figure is unknown, Infinity at or beyond no-load speed. */
export function shareOf(joint: Joint, effort: number, v: number): number {
  const used = useOf(joint, effort, v);
  return used.use ?? (used.why === 'speed' ? Infinity : NaN);
}

/**
 * Current that servos together take for these efforts at their joints, A: in proportion to torque, all of the stall current at
 * stall (common practice). Null: a figure is unknown.
 */
export function currentOf(joints: readonly Joint[], efforts: ArrayLike<number>): number | null {
  let sum = 0;
  for (const [i, joint] of joints.entries()) {
    const stall = stallOf(joint);
    const { stall_current_a } = joint.servo;
    if (stall === null || stall === 0 || stall_current_a === null) return null;
    sum += stall_current_a * Math.min(1, Math.abs(efforts[i]!) / stall);
  }
  return sum;
}

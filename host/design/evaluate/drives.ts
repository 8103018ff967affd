/** What a servo gives at a joint, in SI, for any gear ratio: the library's figures at 1:1, and how each goes with the ratio. */
import { fastest, frictionOf, stallOf } from '../../physics/servo/servo-line.ts';
import { stiffnessOf } from '../../physics/servo/stiffness.ts';
import type { Joint, Servo } from '../../rig/rig.ts';
import { rotorAt } from '../../rig/rotor.ts';

/** At the joint's coordinate: rad, or m of a linear leg. */
export interface Drive {
  /** N·m or N; NaN: unknown. */
  readonly stall: number;
  /** No-load speed; NaN: unknown. */
  readonly top: number;
  readonly rotor: number;
  /** 0: neither given nor to be assumed; the joint counts as rigid. */
  readonly stiffness: number;
  readonly friction: number;
  /** Current at stall, A; 0: unknown, and it does not count. */
  readonly amps: number;
}

const MM = 1e-3;

/** A joint's drive with another servo, behind no gear; its own gear's efficiency counts all the same. */
export function driveAt(joint: Joint, servo: Servo): Drive {
  const plain: Joint = { ...joint, servo, gear_ratio: 1 };
  const unit = joint.unit === 'mm' ? MM : 1;
  return {
    stall: stallOf(plain) ?? NaN,
    top: (fastest(plain) ?? NaN) * unit,
    rotor: rotorAt(plain),
    stiffness: (stiffnessOf(plain)?.stiffness ?? 0) / unit,
    friction: frictionOf(plain),
    amps: servo.stall === null ? 0 : (servo.stall_current_a ?? 0),
  };
}

/** Slower than this, rad/s or mm/s, a joint stands and rubs nothing (servo-line.ts). */
export const STANDS = 1e-6;
/** What stands for the use of a servo as fast as without load: so much times its speed over that. */
export const TOO_FAST = 1000;

/**
 * Share of what a drive gives behind a gear of this ratio: |effort| over the servo line at that speed. Finite; TOO_FAST and more at or
 * beyond no-load speed, `worst` where a figure is unknown.
 */
export function useAt(stall: number, top: number, effort: number, v: number, worst: number): number {
  const speed = v < 0 ? -v : v;
  if (speed >= top) return Math.min(worst, TOO_FAST * (speed / top));
  const driving = effort < 0 ? -v : v;
  const left = driving > 0 ? stall * (1 - driving / top) : stall;
  const use = (effort < 0 ? -effort : effort) / left;
  return use < worst ? use : worst;
}

/**
 * One servo of the plant, as seen at the joint's coordinate: a position loop of its own with a dead band. What no data sheet tells
 * is assumed, and said so in words. N·m and rad, or N and mm.
 */
import type { Joint } from '../../rig/rig.ts';
import { stiffnessOf } from '../servo/stiffness.ts';

/** Damping ratio of a servo's loop with its load, where none was measured (common practice: tuned to settle quickly). */
export const LOOP_DAMPING = 0.7;

export interface PlantServo {
  /** Effort per error, beyond the dead band. */
  readonly stiffness: number;
  readonly damping: number;
  /** Half the dead band, in the joint's unit. */
  readonly deadBand: number;
}

/**
 * @param inertia of all that the joint moves, effort per acceleration.
 * @param lead_s damping over stiffness; null: LOOP_DAMPING of critical.
 * @returns null: the servo's figures are not known.
 */
export function plantServo(joint: Joint, inertia: number, lead_s: number | null = null): PlantServo | null {
  const loop = stiffnessOf(joint);
  if (loop === null) return null;
  const { stiffness } = loop;
  return {
    stiffness,
    damping: lead_s === null ? 2 * LOOP_DAMPING * Math.sqrt(stiffness * Math.max(inertia, 0)) : lead_s * stiffness,
    deadBand: (joint.servo.deadband_us ?? 0) / 2 / Math.abs(joint.us_per_unit),
  };
}

/** What the loop asks for by its error alone, command less joint; damping times the rate of the error comes on top. */
export function springOf({ stiffness, deadBand }: PlantServo, error: number): number {
  const beyond = error > deadBand ? error - deadBand : error < -deadBand ? error + deadBand : 0;
  return stiffness * beyond;
}

/** From a joint's position to the width of the pulse that puts it there, and back. Neither rounds, nor keeps to a range. */
import type { Joint } from './rig.ts';

type Scale = Pick<Joint, 'centre' | 'centre_us' | 'sense' | 'us_per_unit'>;

/** Pulse width in µs for a position in rad or mm. */
export const pulseAt = ({ centre, centre_us, sense, us_per_unit }: Scale, position: number): number =>
  centre_us + sense * us_per_unit * (position - centre);

/** Position in rad or mm that a pulse width in µs means. */
export const positionAt = ({ centre, centre_us, sense, us_per_unit }: Scale, pulse_us: number): number =>
  centre + (pulse_us - centre_us) / (sense * us_per_unit);

/**
 * Where servos are told to be: where a joint is pulsed its pulse's place, else its commanded position, rad or mm.
 * @param pulse_us by joint; 0: no pulse
 */
export function pulsedInto(
  joints: readonly Joint[],
  { pulse_us, position }: { readonly pulse_us: ArrayLike<number>; readonly position: ArrayLike<number> },
  out: Float64Array,
): void {
  joints.forEach((joint, i) => {
    out[i] = pulse_us[i]! > 0 ? positionAt(joint, pulse_us[i]!) : position[i]!;
  });
}

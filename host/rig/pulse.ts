/** From a joint's position to the width of the pulse that puts it there, and back. Neither rounds, nor keeps to a range. */
import type { Joint } from './rig.ts';

type Scale = Pick<Joint, 'centre' | 'centre_us' | 'sense' | 'us_per_unit'>;

/** Pulse width in µs for a position in rad or mm. */
export const pulseAt = ({ centre, centre_us, sense, us_per_unit }: Scale, position: number): number =>
  centre_us + sense * us_per_unit * (position - centre);

/** Position in rad or mm that a pulse width in µs means. */
export const positionAt = ({ centre, centre_us, sense, us_per_unit }: Scale, pulse_us: number): number =>
  centre + (pulse_us - centre_us) / (sense * us_per_unit);

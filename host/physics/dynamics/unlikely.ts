/** Figures of a rig that no prop has, in words: where a simulation cannot be trusted, they are what to look at first. */
import type { Part, Rig } from '../../rig/rig.ts';
import { LEAST_MOTOR_TIME_S, motorTime_s } from '../../rig/rotor.ts';
import { bodyOf } from './inertia.ts';
import { servoClasses } from '../../rig/servo-classes.ts';

/** Lead, kg/m³ (CRC Handbook of Chemistry and Physics, from memory): few props have denser parts. */
const LEAD_KG_M3 = 11340;

/** Turns more easily than a solid ball of lead of its mass. */
function isTooSmall(part: Part): boolean {
  const body = part.fitted ? bodyOf(part) : null;
  if (!body || body.mass_kg === 0) return false;
  const radius_m = Math.cbrt((3 * body.mass_kg) / (4 * Math.PI * LEAD_KG_M3));
  const [x, , , , y, , , , z] = body.inertia_kgm2;
  return Math.max(x, y, z) < 0.4 * body.mass_kg * radius_m ** 2;
}

/** What is implausible and what to give instead, a phrase each. */
export function unlikelyFigures(rig: Rig): string[] {
  return [
    ...rig.parts
      .filter(isTooSmall)
      .map(({ name }) => `parts.${name} is smaller than lead of its mass: give its real shape`),
    ...servoClasses(rig.joints)
      .filter((servo) => (motorTime_s(servo) ?? Infinity) < LEAST_MOTOR_TIME_S)
      .map(
        ({ name }) =>
          `servos.${name}.rotor_inertia_kgm2 is far too light for its torque: give a likely one, or leave it out`,
      ),
  ];
}

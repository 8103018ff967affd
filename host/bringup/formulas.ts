/**
 * What workshop readings say, each with what it may be off by. Readings in the unit of their name; results in N·m, kg·m², N·m/rad, mm, A.
 * Gravity is the standard one (CGPM 1901); the place on Earth moves it by 0.3 % at most (WGS 84: 9.780 to 9.832 m/s²).
 */
import { G_M_S2 } from '../physics/dynamics/mechanism.ts';
import { type Uncertain, propagate } from './propagate.ts';

const MM = 1e-3;

/**
 * Torques of a joint that a string at a radius pulls slowly up, then lets slowly down. Up the string bears gravity and friction, down
 * gravity less friction (Coulomb: as large either way), so that half the sum of the torques is gravity's and half the difference
 * is friction's. Statics at constant speed; derived here.
 */
export const pulled = (
  radius_mm: Uncertain,
  up_kg: Uncertain,
  down_kg: Uncertain,
): { readonly gravity_nm: Uncertain; readonly friction_nm: Uncertain } => ({
  gravity_nm: propagate((r, up, down) => (G_M_S2 * r * MM * (up + down)) / 2, radius_mm, up_kg, down_kg),
  friction_nm: propagate((r, up, down) => (G_M_S2 * r * MM * (up - down)) / 2, radius_mm, up_kg, down_kg),
});

/** Arm of a load whose gravity torque is known at an angle from level: torque = m·g·arm·cos(angle). */
export const armOf = (gravity_nm: Uncertain, mass_kg: Uncertain, from_level_deg: Uncertain): Uncertain =>
  propagate(
    (torque, mass, angle) => torque / (mass * G_M_S2 * MM * Math.cos((angle * Math.PI) / 180)),
    gravity_nm,
    mass_kg,
    from_level_deg,
  );

/**
 * Distance of the centre of mass from an edge that a part rests on, with its other end on a scale `span_mm` away: moments about the
 * edge, scale·span = mass·distance (the reaction board of biomechanics; the lever of Archimedes).
 */
export const balanced = (span_mm: Uncertain, scale_kg: Uncertain, mass_kg: Uncertain): Uncertain =>
  propagate((span, scale, mass) => (span * scale) / mass, span_mm, scale_kg, mass_kg);

/**
 * Inertia about the upright axis through the centre of mass of something that hangs on two equal upright strings and swings about that
 * axis (bifilar pendulum). Turned by a small angle a, the lower end of each string moves by a·d/2, so that it leans by a·d/(2L)
 * and pulls back with (mg/2)·a·d/(2L) at an arm of d/2. Both: torque m·g·d²·a/(4L), hence (2π/T)² = m·g·d²/(4·L·I), which is
 * I = m·g·d²·T²/(16·π²·L). Small angles: at 10 degrees the period is off by 0.2 % or less (as a pendulum's, 1 + a²/16).
 */
export const swung = (
  mass_kg: Uncertain,
  apart_mm: Uncertain,
  string_mm: Uncertain,
  seconds: Uncertain,
  swings: number,
): Uncertain =>
  propagate(
    (m, d, length, time) => (m * G_M_S2 * (d * MM) ** 2 * (time / swings) ** 2) / (16 * Math.PI ** 2 * length * MM),
    mass_kg,
    apart_mm,
    string_mm,
    seconds,
  );

/** The same about an axis that is parallel and `arm_mm` away (Huygens and Steiner). */
export const aboutAxis = (inertia_kgm2: Uncertain, mass_kg: Uncertain, arm_mm: Uncertain): Uncertain =>
  propagate((inertia, m, arm) => inertia + m * (arm * MM) ** 2, inertia_kgm2, mass_kg, arm_mm);

/** Stiffness of a servo whose level horn sinks by `sag_mm`, seen at `pointer_mm`, under a weight at `arm_mm` (Hooke). */
export const sagged = (weight_kg: Uncertain, arm_mm: Uncertain, sag_mm: Uncertain, pointer_mm: Uncertain): Uncertain =>
  propagate(
    (m, arm, sag, pointer) => (m * G_M_S2 * arm * MM) / Math.atan(sag / pointer),
    weight_kg,
    arm_mm,
    sag_mm,
    pointer_mm,
  );

/** Current of a stalled motor at `supply_v`, from that at `seen_v`: it stands still, so Ohm's law alone holds (no back-EMF). */
export const stalled = (current_a: Uncertain, idle_a: Uncertain, seen_v: Uncertain, supply_v: number): Uncertain =>
  propagate((current, idle, volts) => ((current - idle) * supply_v) / volts, current_a, idle_a, seen_v);

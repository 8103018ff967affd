/**
 * A rig that is not quite what its file says: a lower supply, a heavier head, friction and drag that nobody counted. Shares: 0 is the
 * file, 0.1 a tenth.
 *
 * A servo's torque-speed line moves parallel to itself with the supply's voltage (Citizen Micro, "Basic Characteristics of DC
 * Motors"): stall and no-load speed go with it alike. Drag that grows with speed, given as a share of stall torque at no-load
 * speed, tilts the line: stall·(1 - v/top) - d·stall·v/top is the line of a servo whose top is top/(1 + d).
 */
import type { Joint, Part, PointLoad, Rig, Servo } from '../rig/rig.ts';
import { rotorOf } from '../rig/rotor.ts';

export interface Change {
  /** So much less of its voltage. */
  readonly voltage: number;
  /** So much more weight of what the plate, and what other joints, carry at their end; carriers of the platform stay. */
  readonly weight: number;
  /** Dry friction, of the servo's stall torque. */
  readonly friction: number;
  /** Drag that grows with speed: of the stall torque, at no-load speed. */
  readonly damping: number;
}

export const UNCHANGED: Change = { voltage: 0, weight: 0, friction: 0, damping: 0 };

/** The servo at a lower voltage, and with drag. */
export function changedServo<S extends Servo>(servo: S, { voltage, damping }: Change): S {
  const times = (value: number | null, by: number): number | null => (value === null ? null : value * by);
  // The rotor is the same one, given or assumed: what is assumed of the changed line would be another.
  const rotor_inertia_kgm2 = servo.drive === 'linear' ? null : (rotorOf(servo)?.inertia ?? null);
  return {
    ...servo,
    rotor_inertia_kgm2,
    stall: times(servo.stall, 1 - voltage),
    no_load_speed: times(servo.no_load_speed, (1 - voltage) / (1 + damping)),
  };
}

/** What dry friction takes at the joint's coordinate, N·m or N; of the stall torque that the file gives. */
export const frictionAt = ({ servo, gear_ratio }: Joint, { friction }: Change): number =>
  friction * (servo.stall ?? 0) * gear_ratio;

const rubbing = (servo: Servo, { friction }: Change): Servo =>
  servo.drive === 'linear' || friction === 0
    ? servo
    : { ...servo, friction_nm: (servo.friction_nm ?? 0) + friction * (servo.stall ?? 0) };

/** The same rig with more weight. */
export function heavier(rig: Rig, weight: number): Rig {
  const by = (value: number | null): number | null => (value === null ? null : value * (1 + weight));
  const carriers = new Set(carriersOf(rig));
  const part = (one: Part): Part => {
    if (one.on === 'base' || one.on === 'ground' || carriers.has(one.on)) return one;
    const inertia = one.inertia_kgmm2;
    return {
      ...one,
      mass_kg: by(one.mass_kg),
      inertia_kgmm2: inertia && [by(inertia[0])!, by(inertia[1])!, by(inertia[2])!],
    };
  };
  const load = (one: PointLoad | null): PointLoad | null =>
    one && { ...one, mass_kg: by(one.mass_kg), inertia_kgm2: by(one.inertia_kgm2) };
  return { ...rig, parts: rig.parts.map(part), joints: rig.joints.map((one) => ({ ...one, load: load(one.load) })) };
}

/** Joints that carry the platform, from its base down. */
function carriersOf({ platform, joints }: Rig): string[] {
  const names: string[] = [];
  for (let on = platform?.on ?? null; on !== null && !names.includes(on);) {
    names.push(on);
    on = joints.find(({ name }) => name === on)?.axis?.on ?? null;
  }
  return names;
}

/** All of it at once, for simulated metal. */
export function changedRig(rig: Rig, change: Change): Rig {
  const other = change.weight === 0 ? rig : heavier(rig, change.weight);
  const joints = other.joints.map((joint) => ({ ...joint, servo: changedServo(rubbing(joint.servo, change), change) }));
  return { ...other, joints };
}

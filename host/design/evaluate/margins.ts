/** An ask with its margins in it: weights heavier, servos on less voltage. */
import type { Joint, Part, Platform, Rig, Servo } from '../../rig/rig.ts';
import { rotorOf } from '../../rig/rotor.ts';
import type { Ask, Margins } from './ask.ts';

/** The same ask with these margins spent: what is then asked has none. A counterweight, chosen to the gram, is no heavier. */
export function withMargins(ask: Ask): Ask {
  const { rig, classes, margins } = ask;
  return {
    ...ask,
    rig: heavierRig(rig, margins),
    classes: classes.map((choice) => ({ ...choice, servo: weaker(choice.servo, margins) })),
    margins: { weight: 1, voltage: 1 },
  };
}

/** A rig with margins in it. @param exact parts that are no heavier: counterweights that are designed */
export function heavierRig(rig: Rig, margins: Margins, exact: ReadonlySet<string> = new Set()): Rig {
  const { platform, parts, joints } = rig;
  const by = margins.weight;
  return {
    ...rig,
    platform: platform && heavierPlatform(platform, by),
    parts: parts.map((part) => (exact.has(part.name) ? part : heavier(part, by))),
    joints: joints.map((joint) => ({ ...heavierLoad(joint, by), servo: weaker(joint.servo, margins) })),
  };
}

const times = (value: number | null, by: number): number | null => (value === null ? null : value * by);

const heavierPlatform = (platform: Platform, by: number): Platform => ({
  ...platform,
  crank_kg: times(platform.crank_kg, by),
  rod_kg: times(platform.rod_kg, by),
});

function heavier(part: Part, by: number): Part {
  const { mass_kg, inertia_kgmm2: of } = part;
  return { ...part, mass_kg: times(mass_kg, by), inertia_kgmm2: of && [of[0] * by, of[1] * by, of[2] * by] };
}

function heavierLoad(joint: Joint, by: number): Joint {
  const { load } = joint;
  if (!load) return joint;
  return { ...joint, load: { ...load, mass_kg: times(load.mass_kg, by), inertia_kgm2: times(load.inertia_kgm2, by) } };
}

/**
 * A motor's stall torque, no-load speed and stall current all go with its voltage (common practice: the steady equations of a
 * brushed motor). Its rotor stays what it was, given or assumed.
 */
function weaker(servo: Servo, { voltage }: Margins): Servo {
  const { stall, no_load_speed, stall_current_a } = servo;
  return {
    ...servo,
    stall: times(stall, voltage),
    no_load_speed: times(no_load_speed, voltage),
    stall_current_a: times(stall_current_a, voltage),
    rotor_inertia_kgm2: rotorOf(servo)?.inertia ?? null,
  };
}

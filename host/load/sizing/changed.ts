/** A rig with one joint's servo, gear or weight changed. */
import { stageEfficiency } from '../../rig/gear.ts';
import type { Joint, Part, Rig, Servo, Vec3 } from '../../rig/rig.ts';

/** The rig with other figures in one joint. */
export const withJoint = (rig: Rig, i: number, change: Partial<Joint>): Rig => ({
  ...rig,
  joints: rig.joints.with(i, { ...rig.joints[i]!, ...change }),
});

export const withServo = (joint: Joint, servo: Servo): Joint => ({ ...joint, servo });

/** The joint behind another gear. */
export const geared = (joint: Joint, gear_ratio: number): Joint => ({
  ...joint,
  gear_ratio,
  gear_efficiency: stageEfficiency(joint, gear_ratio),
  us_per_unit: (joint.us_per_unit * gear_ratio) / joint.gear_ratio,
});

/** Steel, kg/m³. */
const STEEL = 7850;

/** A ball of steel about its middle, kg·mm². */
export function steelInertia_kgmm2(kg: number): number {
  const radius_mm = 1000 * Math.cbrt((3 * kg) / (4 * Math.PI * STEEL));
  return 0.4 * kg * radius_mm ** 2;
}

/** A weight on an arm: where it goes; null: opposite the joint's own load. */
export interface Arm {
  readonly arm_mm: number;
  readonly at_mm: Vec3 | null;
}

const COUNTERWEIGHT = '\u0000counterweight';

/** The rig with a compact counterweight on a joint. */
export function withCounterweight(rig: Rig, i: number, kg: number, { arm_mm, at_mm }: Arm): Rig {
  const { name, load } = rig.joints[i]!;
  const own = steelInertia_kgmm2(kg);
  if (at_mm) {
    const part: Part = {
      name: COUNTERWEIGHT,
      on: name,
      mass_kg: kg,
      at_mm,
      shape: null,
      inertia_kgmm2: [own, own, own],
      fitted: true,
    };
    return { ...rig, parts: [...rig.parts, part] };
  }
  const [mass_kg, reach_mm] = [load?.mass_kg ?? 0, load?.arm_mm ?? 0];
  const inertia = load?.inertia_kgm2 ?? (mass_kg * reach_mm ** 2) / 1e6;
  return withJoint(rig, i, {
    load: {
      mass_kg: mass_kg + kg,
      arm_mm: (mass_kg * reach_mm - kg * arm_mm) / (mass_kg + kg),
      arm_level_at_rad: load?.arm_level_at_rad ?? 0,
      inertia_kgm2: inertia + (kg * arm_mm ** 2 + own) / 1e6,
    },
  });
}

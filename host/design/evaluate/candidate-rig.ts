/** A design as a rig, for the library's own answers: what the evaluator says of it must be what they say. */
import { levelHome } from '../../rig/geometry.ts';
import { stageEfficiency } from '../../rig/gear.ts';
import { legCoordinate } from '../../rig/legs.ts';
import { HOME, type Joint, type Leg, type Part, type Platform, type Rig } from '../../rig/rig.ts';
import { ringPoints } from '../../rig/plates.ts';
import { type AxisDesign, type Design, azimuthOf } from '../design.ts';
import type { Ask } from './ask.ts';
import { counterweightPlace } from './counterweight.ts';

/** Null: there is no height at which its cranks stand level. */
export function candidateRig(ask: Ask, design: Design): Rig | null {
  const platform = candidatePlatform(ask, design);
  if (!platform) return null;
  const joints = ask.rig.joints.map((joint, i) =>
    i < 6 ? legOf(ask, design, platform, joint, i) : axisOf(ask, design, joint),
  );
  const parts = [...ask.rig.parts, ...design.axes.flatMap((axis) => counterweightOf(ask.rig, axis))];
  return { ...ask.rig, platform, joints, parts };
}

/** Of the same rig what tells whether it reaches a pose: its platform, and the limits of its legs. */
export function reachingRig({ rig, ownLimits }: Ask, design: Design, platform: Platform): Rig {
  const joints = rig.joints.map((joint, i): Joint => {
    if (i >= 6) return joint;
    const [lo, hi] = legLimits(rig, design, i, ownLimits[i]!);
    return { ...joint, lo, hi };
  });
  return { ...rig, platform, joints };
}

/** Its platform alone. */
export function candidatePlatform({ rig, keeps }: Ask, design: Design): Platform | null {
  const given = platformOf(rig);
  const bases = ringPoints(design.base_radius_mm, design.base_half_rad);
  const plates = ringPoints(design.plate_radius_mm, design.plate_half_rad);
  const legs = given.legs.map((leg, i): Leg => ({
    base_mm: keeps.base ? leg.base_mm : bases[i]!,
    moving_mm: keeps.plate ? leg.moving_mm : plates[i]!,
    azimuth_rad: keeps.azimuths || given.drive === 'linear' ? leg.azimuth_rad : azimuthOf(i, design.facing),
  }));
  const { crank_mm, rod_mm } = design;
  const stroke_mm = design.stroke_mm ?? given.stroke_mm;
  const platform = { ...given, legs, crank_mm, rod_mm, stroke_mm };
  if (given.drive === 'crank' && !(rod_mm > crank_mm)) return null;
  const home_z_mm = design.home_z_mm ?? levelHome(platform);
  return home_z_mm === null ? null : { ...platform, home_z_mm };
}

export function platformOf({ name, platform }: Rig): Platform {
  if (!platform) throw new Error(`rig ${name} has no platform`);
  return platform;
}

function legOf(ask: Ask, design: Design, platform: Platform, joint: Joint, i: number): Joint {
  const servo = ask.classes[design.servo]?.servo ?? joint.servo;
  const home = legCoordinate(platform, i, HOME) ?? NaN;
  const [lo, hi] = legLimits(ask.rig, design, i, ask.ownLimits[i]!);
  return { ...joint, servo, lo, hi, home };
}

/**
 * Soft limits of leg i: designed, or as given; behind another stroke as far inside it as they were.
 * @param isOwn its given limits are its own: of those and the designed, the narrower
 */
export function legLimits(
  rig: Rig,
  { limits, stroke_mm }: Design,
  i: number,
  isOwn: boolean,
): readonly [number, number] {
  if (limits && !isOwn) return limits;
  const { lo, hi } = rig.joints[i]!;
  const was = platformOf(rig).stroke_mm;
  const given: readonly [number, number] =
    was && stroke_mm ? [stroke_mm[0] + (lo - was[0]), stroke_mm[1] - (was[1] - hi)] : [lo, hi];
  return limits ? [Math.max(given[0], limits[0]), Math.min(given[1], limits[1])] : given;
}

function axisOf({ classes }: Ask, { axes }: Design, joint: Joint): Joint {
  const designed = axes.find((axis) => axis.joint === joint.name);
  if (!designed) return joint;
  const gear_ratio = designed.gear_ratio ?? joint.gear_ratio;
  return {
    ...joint,
    servo: classes[designed.servo]?.servo ?? joint.servo,
    gear_ratio,
    gear_efficiency: stageEfficiency(joint, gear_ratio),
    us_per_unit: (joint.us_per_unit / joint.gear_ratio) * gear_ratio,
  };
}

/** Name of the part that a counterweight becomes. */
export const counterweightName = (joint: string): string => `${joint} counterweight`;

/** A counterweight counts as a point. */
export function counterweightOf(rig: Rig, { joint, counterweight }: AxisDesign): Part[] {
  if (!counterweight || counterweight.kg === 0) return [];
  const { kg: mass_kg, at_mm } = counterweight;
  const place = counterweightPlace(rig, joint, at_mm);
  const name = counterweightName(joint);
  return [{ name, on: joint, mass_kg, at_mm: place, shape: null, inertia_kgmm2: [0, 0, 0], fitted: true }];
}

/**
 * What joints with a load of their own weigh for whatever carries them: a lid, a jaw, an ear. Such a load is no part, and its
 * torque at its own joint is worked out by itself (mechanism.ts); to its carrier it is a point where the joint sits, since the
 * file does not say which way its arm points.
 */
import type { Joint, Part, Rig } from '../../rig/rig.ts';
import { together } from '../../rig/words.ts';

type Loaded = Joint & { readonly load: NonNullable<Joint['load']> };

const loaded = ({ joints }: Rig): Loaded[] => joints.filter((joint): joint is Loaded => joint.load !== null);

/** What carries a joint that is no leg: 'moving', 'base' or a joint; null: the ground, or a joint of a rig without a platform. */
export function carrierOf({ platform }: Rig, { axis }: Joint): string | null {
  if (axis) return axis.on;
  return platform ? 'moving' : null;
}

/** The loads as points on their carriers: those whose mass is known, and that anything carries. */
export function ridersOf(rig: Rig): Part[] {
  return loaded(rig).flatMap((joint) => {
    const on = carrierOf(rig, joint);
    const { mass_kg } = joint.load;
    if (on === null || mass_kg === null || mass_kg === 0) return [];
    const at_mm = joint.axis?.at_mm ?? joint.at_mm ?? [0, 0, 0];
    return [{ name: joint.name, on, mass_kg, at_mm, shape: null, inertia_kgmm2: [0, 0, 0], fitted: true }];
  });
}

/** Where loads are taken to weigh that the file gives no place, in words without a stop. */
export function ridingWords(rig: Rig): string[] {
  const riders = new Set(ridersOf(rig).map(({ name }) => name));
  const names = loaded(rig)
    .filter(({ name, axis, at_mm }) => riders.has(name) && axis === null && at_mm === null)
    .map(({ name }) => name);
  if (names.length === 0) return [];
  const [weigh, joint] = names.length === 1 ? ['weighs', names[0]!] : ['weigh', 'NAME'];
  return [
    `${together(names)} ${weigh} at the moving plate’s origin, since the file has no joints.${joint}.at_mm (what does not ride there needs an axis)`,
  ];
}

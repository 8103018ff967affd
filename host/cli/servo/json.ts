/** What sizing answers, as the JSON document of the command: every key with its unit. */
import type { Judged, Moment } from '../../load/sizing/judge.ts';
import type { ClassVerdict, Group, Remedy, SizingAnswer } from '../../load/sizing/result.ts';
import { toDeg } from '../../rig/rig.ts';

type Document = Record<string, unknown>;

const effortKey = (unit: 'deg' | 'mm'): 'nm' | 'n' => (unit === 'deg' ? 'nm' : 'n');

/** Where the largest share is; efforts and speeds at the joint, behind its gear. */
function momentJson(at: Moment | null, unit: 'deg' | 'mm'): Document | null {
  if (!at) return null;
  const effort = { [`joint_${effortKey(unit)}`]: at.effort };
  if (at.kind === 'holding') return { holding: at.where.where, ...effort };
  return { at_s: at.t_s, ...effort, [`speed_${unit}_s`]: unit === 'deg' ? toDeg(at.rate) : at.rate };
}

function classJson({ offer, use, heat, margin, enough, short, at, worst }: ClassVerdict, group: Group): Document {
  return {
    class: offer.servo.name,
    price: offer.price,
    use,
    heat,
    margin,
    enough,
    short_of: short,
    ...(group.joints.length > 1 ? { worst } : {}),
    hardest: momentJson(at, group.unit),
  };
}

function remedyJson(remedy: Remedy): Document {
  const { use, heat, margin } = remedy.judged;
  const common = { kind: remedy.kind, class: remedy.offer.servo.name, price: remedy.offer.price, use, heat, margin };
  switch (remedy.kind) {
    case 'gear':
      return { ...common, gear_ratio: remedy.ratio, before: remedy.before };
    case 'counterweight':
      return { ...common, mass_kg: remedy.kg, arm_mm: remedy.arm_mm, at_mm: remedy.at_mm };
    case 'spring':
      return { ...common, nm_per_deg: remedy.nm_per_deg, free_deg: remedy.free_deg };
  }
}

const figuresJson = ({ use, heat, margin }: Judged): Document => ({ use, heat, margin });

const groupJson = (group: Group): Document => ({
  name: group.name,
  ...(group.joints.length > 1 ? { joints: group.joints } : {}),
  now: group.now,
  weighed: group.weighed,
  loose: group.loose,
  classes: group.classes.map((one) => classJson(one, group)),
  least: group.least?.offer.servo.name ?? null,
  [`needs_${effortKey(group.unit)}`]: group.needs,
  or: group.or.map(remedyJson),
  none_alone: group.none_alone && {
    nearest_gear: group.none_alone.gear && {
      gear_ratio: group.none_alone.gear.ratio,
      ...figuresJson(group.none_alone.gear.judged),
    },
  },
  slower: group.slower?.found ? { times: group.slower.found.times, ...figuresJson(group.slower.found.judged) } : null,
  slower_up_to_times: group.slower?.up_to ?? null,
});

export const servoJson = ({ ok, rig, stream, groups, misfits, out_of_reach, unweighed }: SizingAnswer): Document => ({
  ok,
  rig,
  stream,
  joints: groups.map(groupJson),
  fits_none: misfits.map(({ servo }) => servo.name),
  out_of_reach,
  unweighed,
});

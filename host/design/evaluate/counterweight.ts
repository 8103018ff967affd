/**
 * Where a counterweight goes: square to its axis, on the side opposite to the centre of mass of all that the axis carries in the
 * given rig at home, at the height along the axis of that centre.
 */
import { linksOf } from '../../physics/dynamics/links.ts';
import { Tree } from '../../physics/dynamics/tree.ts';
import { type Rig, type Vec3, HOME } from '../../rig/rig.ts';
import { add, dot, scale, sub } from '../../rig/rotation.ts';

const M = 1000;

/** Less than this off its axis a load has no side, m. */
const NO_SIDE_M = 1e-6;

/** In the joint's own frame, which at home is its carrier's, mm. Where there is none (hasSide) it throws. */
export function counterweightPlace(rig: Rig, name: string, at_mm: number): Vec3 {
  const side = sideOf(rig, name);
  if (!side) throw new Error(`what ${name} carries has no side for a counterweight`);
  return add(side.foot_mm, scale(side.away, at_mm));
}

/** Whether a counterweight has a place: the joint has an axis, and its load weighs beside it. */
export const hasSide = (rig: Rig, name: string): boolean => sideOf(rig, name) !== null;

interface Side {
  /** The unit vector away from the centre of mass. */
  readonly away: Vec3;
  /** The point of the axis beside that centre. */
  readonly foot_mm: Vec3;
}

function sideOf(rig: Rig, name: string): Side | null {
  const axis = rig.joints.find((joint) => joint.name === name)?.axis;
  const carried = axis && carriedCentre(rig, name);
  if (!carried) return null;
  const centre = sub(carried, scale(axis.at_mm, 1 / M));
  const along = dot(centre, axis.along);
  const off = sub(centre, scale(axis.along, along));
  const length = Math.hypot(...off);
  if (!(length > NO_SIDE_M)) return null;
  return { away: scale(off, -1 / length), foot_mm: add(axis.at_mm, scale(axis.along, along * M)) };
}

/** Centre of mass of what a joint carries, with the joint at 0 and the rest at home, in the joint's own frame, m. null: it carries nothing. */
function carriedCentre(rig: Rig, name: string): Vec3 | null {
  const still: Rig = {
    ...rig,
    joints: rig.joints.map((joint) => (joint.name === name ? { ...joint, home: 0 } : joint)),
  };
  const links = linksOf(
    still,
    still.parts.filter(({ fitted }) => fitted),
  );
  const tree = new Tree(links, still.platform);
  tree.at(
    still.joints.map(({ home }) => home),
    HOME,
  );
  const l = links.findIndex((link) => link.name === name);
  const carried = links.map((_, k) => isCarried(links, k, l));
  let mass = 0;
  let sum: Vec3 = [0, 0, 0];
  links.forEach(({ body }, k) => {
    if (!carried[k]) return;
    const at = [0, 1, 2].map((c) => tree.origin[3 * k + c]! + tree.com[3 * k + c]!) as unknown as Vec3;
    mass += body.mass_kg;
    sum = add(sum, scale(at, body.mass_kg));
  });
  if (!(mass > 0)) return null;
  const world = scale(sum, 1 / mass);
  const origin = [0, 1, 2].map((c) => tree.origin[3 * l + c]!) as unknown as Vec3;
  const from = sub(world, origin);
  const turned = (c: number): number => [0, 1, 2].reduce((all, r) => all + tree.turn[9 * l + 3 * r + c]! * from[r]!, 0);
  return [turned(0), turned(1), turned(2)];
}

/** Whether link k is link l or carried by it. */
function isCarried(links: ReturnType<typeof linksOf>, k: number, l: number): boolean {
  for (let at = k; at >= 0; at = links[at]?.parent ?? -1) if (at === l) return true;
  return false;
}

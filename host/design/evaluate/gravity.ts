/**
 * How the height of everything that weighs bends: second derivatives of its energy by the moving plate's twist and the axes, in
 * closed form. A turn δ after the turns that carry it moves a point x about p by δ×(x-p) and, to second order, ½·δ×(δ×(x-p)); of two
 * joints the one that carries the other turns what the other does: u×(w×(x-p)) (Murray, Li & Sastry, A Mathematical Introduction
 * to Robotic Manipulation, ch. 3 and 4).
 */
import { G_M_S2 } from '../../physics/dynamics/mechanism.ts';
import type { Vec3 } from '../../rig/rig.ts';
import { add, cross, dot, scale, sub } from '../../rig/rotation.ts';
import type { StandIn } from './stand-in.ts';

const UP: Vec3 = [0, 0, 1];

/** One coordinate in the world: it turns about `turn`, or shifts along `shift`, the link `link` and all that it carries. */
interface Motion {
  readonly link: number;
  readonly turn: Vec3 | null;
  /** How the centre of mass of all that goes. */
  readonly moved: Vec3;
  /** From the point that it turns about to that centre. */
  readonly arm: Vec3;
  readonly kg: number;
}

/** size × size, J per unit of two coordinates, of a stand-in that is placed. Loads of the joints' own are not in it. */
export function gravityBends(stand: StandIn): Float64Array {
  const motions = motionsOf(stand);
  const { size } = stand;
  const out = new Float64Array(size * size);
  motions.forEach((first, k) => {
    motions.forEach((second, l) => {
      const carries = first.link === second.link ? k <= l : isOver(stand, second.link, first.link);
      if (!carries) return;
      const value = first.link === second.link ? ownBend(first, second) : bend(first, second);
      out[k * size + l] = out[l * size + k] = value;
    });
  });
  return out;
}

/** The first carries the second: it turns the way of the second's centre of mass. */
const bend = (first: Motion, second: Motion): number =>
  first.turn ? second.kg * G_M_S2 * dot(cross(first.turn, second.moved), UP) : 0;

/** Two motions of one link: of two turns about one point half of each order. */
function ownBend(first: Motion, second: Motion): number {
  if (!first.turn || !second.turn) return 0;
  const [a, b, arm] = [first.turn, second.turn, first.arm];
  const both = add(cross(a, cross(b, arm)), cross(b, cross(a, arm)));
  return (first.kg * G_M_S2 * dot(both, UP)) / 2;
}

function motionsOf(stand: StandIn): Motion[] {
  const { tree, mount } = stand;
  const { links } = tree;
  const at = (flat: Float64Array, l: number): Vec3 => [flat[3 * l]!, flat[3 * l + 1]!, flat[3 * l + 2]!];
  const centres = composites(stand);
  const plate = links.findIndex(({ kind }) => kind === 'moving');
  const base = links[plate]!.parent;
  const column = (c: 0 | 1 | 2): Vec3 => {
    const inCarrier = [mount[c], mount[(c + 3) as 3], mount[(c + 6) as 6]];
    const along = (r: number): number =>
      [0, 1, 2].reduce((sum, k) => sum + tree.turn[9 * base + 3 * r + k]! * inCarrier[k]!, 0);
    return [along(0), along(1), along(2)];
  };
  const { kg, com } = centres[plate]!;
  const arm = sub(com, at(tree.origin, plate));
  const own = ([0, 1, 2] as const).map(column);
  const shifts = own.map((axis): Motion => ({ link: plate, turn: null, moved: axis, arm, kg }));
  const turns = own.map((axis): Motion => ({ link: plate, turn: axis, moved: cross(axis, arm), arm, kg }));
  const axes = links.flatMap(({ kind }, l): Motion[] => {
    if (kind !== 'axis') return [];
    const along = at(tree.along, l);
    const off = sub(centres[l]!.com, at(tree.point, l));
    return [{ link: l, turn: along, moved: cross(along, off), arm: off, kg: centres[l]!.kg }];
  });
  return [...shifts, ...turns, ...axes];
}

/** Each link with all that it carries: mass, and centre of mass in the world. */
function composites({ tree }: StandIn): { readonly kg: number; readonly com: Vec3 }[] {
  const kg = tree.links.map(({ body }) => body.mass_kg);
  const sum = tree.links.map((_, l): Vec3 => {
    const part = (c: number): number => kg[l]! * (tree.origin[3 * l + c]! + tree.com[3 * l + c]!);
    return [part(0), part(1), part(2)];
  });
  for (let l = tree.links.length - 1; l > 0; l--) {
    const { parent } = tree.links[l]!;
    kg[parent]! += kg[l]!;
    sum[parent] = add(sum[parent]!, sum[l]!);
  }
  return kg.map((mass, l) => ({ kg: mass, com: mass > 0 ? scale(sum[l]!, 1 / mass) : [0, 0, 0] }));
}

/** Whether link l is carried by another. */
export function isOver({ tree }: StandIn, l: number, below: number): boolean {
  for (let at = tree.links[l]?.parent ?? -1; at >= 0; at = tree.links[at]?.parent ?? -1) if (at === below) return true;
  return false;
}

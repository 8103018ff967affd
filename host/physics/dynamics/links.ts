/**
 * The rig as a tree of rigid links: the ground, joints with an axis, the base, the moving plate. The axes of a link and of all
 * that it carries are chosen so that mounts cost nothing later: the base's are those of its carrier, the moving plate's the same
 * turned by the pose, its origin the pivot. Lengths m, masses kg.
 */
import type { Joint, Part, Platform, Rig, Vec3 } from '../../rig/rig.ts';
import { type Mat3, IDENTITY, add, mulVec, rpyMatrix, scale } from '../../rig/rotation.ts';
import { type Body, bodyOf, movedBody, together } from './inertia.ts';
import { ridersOf } from './riders.ts';

export interface Link {
  readonly kind: 'ground' | 'axis' | 'base' | 'moving';
  /** 'ground', 'base', 'moving', or the joint's name. */
  readonly name: string;
  /** Index among the links, always lower than the own one; the ground's is -1. */
  readonly parent: number;
  /** Index among the rig's joints; -1: no axis. */
  readonly joint: number;
  /** In the parent's axes: a point of the axis, or the base's origin. */
  readonly at_m: Vec3;
  readonly along: Vec3;
  /** All that is fixed to it, in its axes: parts, and the loads of joints that ride on it. */
  readonly body: Body;
}

/** How a link's frame in the file lies in the axes used here: v becomes turn·v + shift. */
interface Placing {
  readonly turn: Mat3;
  readonly shift_m: Vec3;
}

const AS_IT_IS: Placing = { turn: IDENTITY, shift_m: [0, 0, 0] };
const MM = 1e-3;

/**
 * The links that carry something or may, parents first.
 * @param parts those that count; loads that joints have of their own always do (riders.ts).
 */
export function linksOf(rig: Rig, parts: readonly Part[]): readonly Link[] {
  const links: Link[] = [];
  const weights = [...parts, ...ridersOf(rig)];
  const placings: Placing[] = [];
  const index = new Map<string, number>();
  const put = (link: Parameters<Put>[0], carrier: string | null, placing: Placing): void => {
    const bodies = weights.filter(({ on }) => on === link.name).map((part) => bodyOf(part));
    const body = movedBody(together(bodies.filter((one) => one !== null)), placing.turn, placing.shift_m);
    index.set(link.name, links.length);
    placings.push(placing);
    links.push({ ...link, parent: carrier === null ? -1 : (index.get(carrier) ?? 0), body });
  };
  const placingOf = (name: string): Placing => placings[index.get(name) ?? 0] ?? AS_IT_IS;

  put({ kind: 'ground', name: 'ground', joint: -1, at_m: [0, 0, 0], along: [0, 0, 1] }, null, AS_IT_IS);
  for (const name of carriersFirst(rig)) {
    if (name === 'base' && rig.platform) putPlatform(rig.platform, put);
    const joint = rig.joints.findIndex((one) => one.name === name);
    const axis = rig.joints[joint]?.axis;
    if (!axis) continue;
    const on = axis.on ?? 'ground';
    const placing = placingOf(on);
    const at_m = add(mulVec(placing.turn, scale(axis.at_mm, MM)), placing.shift_m);
    put({ kind: 'axis', name, joint, at_m, along: mulVec(placing.turn, axis.along) }, on, placing);
  }
  return links;
}

type Put = (link: Omit<Link, 'body' | 'parent'>, carrier: string | null, placing: Placing) => void;

/** What carries a platform is never carried by it, so the carrier's axes are as the file has them. */
function putPlatform({ on, mount, pivot_mm }: Platform, put: Put): void {
  const turn = rpyMatrix(mount.rpy_rad);
  const none = { joint: -1, along: [0, 0, 1] } as const;
  put({ kind: 'base', name: 'base', at_m: scale(mount.at_mm, MM), ...none }, on ?? 'ground', {
    turn,
    shift_m: [0, 0, 0],
  });
  const shift_m = scale(mulVec(turn, pivot_mm), -MM);
  put({ kind: 'moving', name: 'moving', at_m: [0, 0, 0], ...none }, 'base', { turn, shift_m });
}

/** Names of axis joints and 'base', each behind what carries it. A rig file's carriers form no ring. */
function carriersFirst({ platform, joints }: Rig): string[] {
  const names: string[] = [];
  const visit = (name: string): void => {
    if (name === 'ground' || names.includes(name)) return;
    if (name === 'moving') return visit('base');
    visit(
      name === 'base' ? (platform?.on ?? 'ground') : (joints.find((one) => one.name === name)?.axis?.on ?? 'ground'),
    );
    names.push(name);
  };
  if (platform) visit('base');
  for (const joint of joints) if (joint.axis) visit(joint.name);
  return names;
}

/** Joints whose effort depends on what lies on a link: those that carry it, and the legs where it is on the moving plate. */
export function carrying(rig: Rig, on: string): readonly string[] {
  if (on === 'ground') return [];
  const legs = rig.joints.filter(({ kind }) => kind === 'leg').map(({ name }) => name);
  if (on === 'moving') return [...legs, ...carrying(rig, 'base')];
  if (on === 'base') return carrying(rig, rig.platform?.on ?? 'ground');
  const joint: Joint | undefined = rig.joints.find(({ name }) => name === on);
  return joint ? [joint.name, ...carrying(rig, joint.axis?.on ?? 'ground')] : [];
}

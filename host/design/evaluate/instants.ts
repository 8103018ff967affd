/**
 * What of an instant does not depend on the design, worked out once: how plate and carriers stand and move, and the wrench and the
 * efforts that this takes, as polynomials in the height of home and in the places of counterweights. SI, in the base's frame.
 */
import type { Joint, Pose, Rig, Vec3 } from '../../rig/rig.ts';
import { add, cross, rpyMatrix, scale, sub } from '../../rig/rotation.ts';
import { G_M_S2 } from '../../physics/dynamics/mechanism.ts';
import { rotorAt } from '../../rig/rotor.ts';
import { frictionOf, overcome, stallOf } from '../../physics/servo/servo-line.ts';
import { counterweightOf } from './candidate-rig.ts';
import { isOver } from './gravity.ts';
import { type Others, StandIn } from './stand-in.ts';

/** Heights of home, and distances of a counterweight, at which polynomials of the second degree are found, m. */
export const NODES_M = [0, 0.1, 0.2] as const;
const MM_PER_M = 1000;

/** One instant: the plate's pose and motion against the base, in the carrier's axes (mm, rad; SI), and the other joints. */
export interface Instant {
  readonly pose: Pose;
  readonly twist: Float64Array;
  readonly rate: Float64Array;
  readonly others: Others;
}

/** Arrays by instant; `axes` joints with an axis in space, `weights` free counterweights. */
export class Instants {
  readonly count: number;
  readonly turn: Float64Array;
  /** Displacement of the pivot. */
  readonly shift: Float64Array;
  /** Velocity of the pivot, turning, and the rates of both. */
  readonly plate: Float64Array;
  /** Of the base: turning, its rate, acceleration of its origin less g. */
  readonly carrier: Float64Array;
  /** Wrench on the plate at home height 0, and per m of it. */
  readonly wrench: Float64Array;
  readonly wrenchPer: Float64Array;
  /** By axis: effort as c0, c1, c2 of the height of home; then for 1 kg at a distance, by counterweight. */
  readonly effort: Float64Array;
  readonly weight: Float64Array;
  /** By axis: rate, acceleration; direction and a point from the base's origin. */
  readonly v: Float64Array;
  readonly a: Float64Array;
  readonly along: Float64Array;
  readonly point: Float64Array;
  /** Current of the joints without an axis, A. */
  readonly lone: Float64Array;
  /** By axis, the same at all instants: 1 carries the base; row-major: 1 the first carries the second, or is it. */
  readonly carries: Uint8Array;
  readonly over: Uint8Array;

  constructor(count: number, stands: StandIns) {
    const axes = stands.axes.length;
    const weights = stands.weighted.length;
    const of = (each: number): Float64Array => new Float64Array(count * each);
    this.count = count;
    [this.turn, this.shift, this.plate, this.carrier] = [of(9), of(3), of(12), of(9)];
    [this.wrench, this.wrenchPer, this.effort, this.weight] = [of(6), of(6), of(3 * axes), of(3 * axes * weights)];
    [this.v, this.a, this.along, this.point, this.lone] = [of(axes), of(axes), of(3 * axes), of(3 * axes), of(1)];
    [this.carries, this.over] = [stands.carries, stands.over];
  }

  /** Some of them, in this order. */
  pick(which: readonly number[], stands: StandIns): Instants {
    const out = new Instants(which.length, stands);
    const keys = [
      'turn',
      'shift',
      'plate',
      'carrier',
      'wrench',
      'wrenchPer',
      'effort',
      'weight',
      'v',
      'a',
      'along',
      'point',
      'lone',
    ] as const;
    for (const key of keys) {
      const each = this[key].length / this.count;
      which.forEach((n, k) => out[key].set(this[key].subarray(n * each, (n + 1) * each), k * each));
    }
    return out;
  }
}

/** The stand-ins of a rig at the nodes, and with a kilogram on each free counterweight's arm. */
export class StandIns {
  readonly rig: Rig;
  readonly plain: readonly StandIn[];
  /** By counterweight, at the nodes; home height 0. */
  readonly weighted: readonly (readonly StandIn[])[];
  readonly axes: readonly number[];
  /** See Instants. */
  readonly carries: Uint8Array;
  readonly over: Uint8Array;

  /** @param weights joints with a free counterweight. */
  constructor(rig: Rig, weights: readonly string[]) {
    this.rig = rig;
    this.plain = NODES_M.map((z_m) => new StandIn(rig, z_m * MM_PER_M));
    this.weighted = weights.map((joint) =>
      NODES_M.map((at_m) => {
        const counterweight = { kg: 1, at_mm: at_m * MM_PER_M };
        const part = counterweightOf(rig, { joint, gear_ratio: null, servo: -1, counterweight });
        return new StandIn({ ...rig, parts: [...rig.parts, ...part] }, 0);
      }),
    );
    const [stand] = this.plain as [StandIn, ...StandIn[]];
    this.axes = stand.axes;
    const { links } = stand.tree;
    const base = links.findIndex(({ kind }) => kind === 'base');
    const axisLinks = links.flatMap(({ kind }, l) => (kind === 'axis' ? [l] : []));
    this.carries = Uint8Array.from(axisLinks, (l) => Number(isOver(stand, base, l)));
    this.over = Uint8Array.from(axisLinks.flatMap((l) => axisLinks.map((m) => Number(m === l || isOver(stand, m, l)))));
  }

  /** Places all of them. */
  at(pose: Pose, others: ArrayLike<number>): void {
    for (const stand of this.all()) stand.at(pose, others);
  }

  *all(): Generator<StandIn> {
    yield* this.plain;
    for (const stands of this.weighted) yield* stands;
  }
}

/** Coefficients of the parabola through three values at the nodes. */
export function parabola(values: readonly [number, number, number], out: Float64Array, at: number): void {
  const h = NODES_M[1];
  const [p, q, r] = values;
  const bent = (r - 2 * q + p) / (2 * h * h);
  out[at] = p;
  out[at + 1] = (q - p) / h - bent * h;
  out[at + 2] = bent;
}

/** Works out instant n. */
export function putInstant(stands: StandIns, instant: Instant, out: Instants, n: number): void {
  const { pose, twist, rate, others } = instant;
  const { rig, plain, weighted, axes } = stands;
  stands.at(pose, others.q);
  const [stand] = plain;
  if (!stand) return;
  const found = plain.map((one) => one.forces(twist, rate, others));
  for (let k = 0; k < 6; k++) {
    out.wrench[6 * n + k] = found[0]![k]!;
    out.wrenchPer[6 * n + k] = (found[2]![k]! - found[0]![k]!) / NODES_M[2];
  }
  axes.forEach((joint, k) => {
    const at = n * axes.length + k;
    parabola([found[0]![6 + k]!, found[1]![6 + k]!, found[2]![6 + k]!], out.effort, 3 * at);
    out.effort[3 * at]! += ownEffort(rig.joints[joint]!, others.q[joint]!, others.a[joint]!);
    out.v[at] = others.v[joint]!;
    out.a[at] = others.a[joint]!;
  });
  weighted.forEach((some, w) => {
    const with1kg = some.map((one) => one.forces(twist, rate, others));
    axes.forEach((_, k) => {
      const value = (i: 0 | 1 | 2): number => with1kg[i]![6 + k]! - found[0]![6 + k]!;
      parabola([value(0), value(1), value(2)], out.weight, 3 * ((n * weighted.length + w) * axes.length + k));
    });
  });
  putPlate(stand, instant, out, n);
  putCarrier(stand, others, out, n);
  out.lone[n] = loneCurrent(rig, axes, others);
}

function putPlate(stand: StandIn, { pose, twist, rate }: Instant, out: Instants, n: number): void {
  const turn = rpyMatrix([pose[3], pose[4], pose[5]]);
  // Rmᵀ·R·Rm, column by column.
  for (let c = 0; c < 3; c++) {
    const axis = [0, 1, 2].map((r) => stand.mount[3 * r + c]!);
    const turned = [0, 1, 2].map(
      (r) => turn[3 * r]! * axis[0]! + turn[3 * r + 1]! * axis[1]! + turn[3 * r + 2]! * axis[2]!,
    );
    stand.inBase(turned).forEach((value, r) => (out.turn[9 * n + 3 * r + c] = value));
  }
  out.shift.set(stand.inBase([pose[0] / MM_PER_M, pose[1] / MM_PER_M, pose[2] / MM_PER_M]), 3 * n);
  const parts = [stand.inBase(twist, 0), stand.inBase(twist, 3), stand.inBase(rate, 0), stand.inBase(rate, 3)];
  out.plate.set(parts.flat(), 12 * n);
}

/** How the base's carriers go, from the ground up; and where all axes stand, from the base. */
function putCarrier({ tree, mount }: StandIn, { v, a }: Others, out: Instants, n: number): void {
  const { links } = tree;
  const base = links.findIndex(({ kind }) => kind === 'base');
  const at = (flat: Float64Array, l: number): Vec3 => [flat[3 * l]!, flat[3 * l + 1]!, flat[3 * l + 2]!];
  const seen = (w: Vec3): Vec3 => {
    const inCarrier = [0, 1, 2].map((c) =>
      [0, 1, 2].reduce((sum, r) => sum + tree.turn[9 * base + 3 * r + c]! * w[r]!, 0),
    );
    const inBase = (c: number): number => [0, 1, 2].reduce((sum, r) => sum + mount[3 * r + c]! * inCarrier[r]!, 0);
    return [inBase(0), inBase(1), inBase(2)];
  };
  let [turning, spin, acc, from]: Vec3[] = [
    [0, 0, 0],
    [0, 0, 0],
    [0, 0, G_M_S2],
    [0, 0, 0],
  ];
  const chain: number[] = [];
  for (let l = base; l > 0; l = links[l]!.parent) chain.unshift(l);
  for (const l of chain) {
    const point = l === base ? at(tree.origin, l) : at(tree.point, l);
    const off = sub(point, from!);
    acc = add(acc!, add(cross(spin!, off), cross(turning!, cross(turning!, off))));
    from = point;
    if (l === base) continue;
    const along = at(tree.along, l);
    const { joint } = links[l]!;
    spin = add(spin!, add(cross(turning!, scale(along, v[joint]!)), scale(along, a[joint]!)));
    turning = add(turning!, scale(along, v[joint]!));
  }
  out.carrier.set([...seen(turning!), ...seen(spin!), ...seen(acc!)], 9 * n);
  const axes = links.flatMap(({ kind }, l) => (kind === 'axis' ? [l] : []));
  axes.forEach((l, k) => {
    out.along.set(seen(at(tree.along, l)), 3 * (n * axes.length + k));
    out.point.set(seen(sub(at(tree.point, l), at(tree.origin, base))), 3 * (n * axes.length + k));
  });
}

const inertiaOf = ({ load }: Joint): number =>
  load ? (load.inertia_kgm2 ?? ((load.mass_kg ?? 0) * (load.arm_mm ?? 0) ** 2) / 1e6) : 0;

/** m·g·arm of a joint's own load, N·m. */
export const pullOf = ({ load }: Joint): number => ((load?.mass_kg ?? 0) * G_M_S2 * (load?.arm_mm ?? 0)) / MM_PER_M;

/** Inertia of a joint's own load, kg·m². */
export const loadInertia = inertiaOf;

/** Of a joint's own load, as dynamics/mechanism.ts has it: rotors apart. */
function ownEffort(joint: Joint, q: number, a: number): number {
  return inertiaOf(joint) * a + pullOf(joint) * Math.cos(q - (joint.load?.arm_level_at_rad ?? 0));
}

/** Current of what no design touches, A. */
function loneCurrent({ joints }: Rig, axes: readonly number[], { q, v, a }: Others): number {
  let sum = 0;
  joints.forEach((joint, i) => {
    const stall = stallOf(joint);
    const amps = joint.servo.stall_current_a;
    if (i < 6 || axes.includes(i) || stall === null || amps === null) return;
    const effort = ownEffort(joint, q[i]!, a[i]!) + rotorAt(joint) * a[i]! + overcome(frictionOf(joint), v[i]!);
    sum += amps * Math.min(1, Math.abs(effort) / stall);
  });
  return sum;
}

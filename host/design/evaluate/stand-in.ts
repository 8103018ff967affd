/**
 * What a prescribed motion of the moving plate takes, whatever legs hold it. A stand-in platform of six actuators, wide enough to be
 * nowhere near singular, moves the plate as told; the library's tree of links does the dynamics. Rods and cranks weigh nothing here.
 * SI; wrenches, twists and rows of matrices in the base's own frame (z off the base plate), about the pivot.
 */
import { linksOf } from '../../physics/dynamics/links.ts';
import { MassMatrix } from '../../physics/dynamics/mass-matrix.ts';
import { G_M_S2 } from '../../physics/dynamics/mechanism.ts';
import { Tree } from '../../physics/dynamics/tree.ts';
import { invert6 } from '../../physics/kinematics/invert6.ts';
import type { Leg, Platform, Pose, Rig } from '../../rig/rig.ts';
import { toRad } from '../../rig/rig.ts';
import { type Mat3, rpyMatrix } from '../../rig/rotation.ts';
import { inverse } from '../../physics/kinematics/inverse.ts';
import { ringPoints } from '../../rig/plates.ts';
import { platformOf } from './candidate-rig.ts';

/** Of the stand-in: plates and the height between them, mm. */
const WIDE = { base_mm: 300, plate_mm: 200, height_mm: 300 } as const;

function standIn(platform: Platform, home_z_mm: number): Platform {
  const bases = ringPoints(WIDE.base_mm, toRad(10));
  const plates = ringPoints(WIDE.plate_mm, toRad(50));
  const legs = bases.map(([x, y], i): Leg => ({
    base_mm: [x, y, home_z_mm - WIDE.height_mm],
    moving_mm: plates[i]!,
    azimuth_rad: 0,
  }));
  const none = { crank_mm: 0, rod_mm: 0, crank_kg: null, rod_kg: null, rod_end_rad: null, branch: 'near' } as const;
  return { ...platform, ...none, drive: 'linear', legs, stroke_mm: [0, 1e6], home_z_mm };
}

/** Where all joints but the legs stand, and how they go: by index among the rig's joints; what stands for legs is not read. */
export interface Others {
  readonly q: ArrayLike<number>;
  readonly v: ArrayLike<number>;
  readonly a: ArrayLike<number>;
}

export class StandIn {
  /** Joints with an axis in space, by their index among the rig's: the coordinates behind the plate's six. */
  readonly axes: readonly number[];
  /** Coordinates: the plate's twist in the base's frame, then the axes. */
  readonly size: number;
  /** After `at`: the tree. */
  readonly tree: Tree;
  /** From the base's frame to its carrier's axes. */
  readonly mount: Mat3;
  private readonly platform: Platform;
  private readonly mass: MassMatrix;
  private readonly joints: number;
  /** Rates of the stand-in's legs per twist of the plate, in the carrier's axes. */
  private readonly rates = new Float64Array(36);

  constructor(rig: Rig, home_z_mm: number) {
    this.platform = standIn(platformOf(rig), home_z_mm);
    const stood: Rig = { ...rig, platform: this.platform };
    const links = linksOf(
      stood,
      rig.parts.filter(({ fitted }) => fitted),
    );
    this.axes = links.filter(({ kind }) => kind === 'axis').map(({ joint }) => joint);
    this.size = 6 + this.axes.length;
    this.tree = new Tree(links, this.platform);
    this.joints = rig.joints.length;
    this.mass = new MassMatrix(this.tree, this.joints, { crank_kg: 0, rod_kg: 0 });
    this.mount = rpyMatrix(this.platform.mount.rpy_rad);
  }

  /** Places it. @param pose of the plate in the carrier's axes, mm and rad. */
  at(pose: Pose, others: ArrayLike<number>): void {
    const legs = inverse(this.platform, pose);
    if (!legs) throw new Error('the stand-in does not reach a pose');
    const q = Float64Array.from({ length: this.joints }, (_, i) => (i < 6 ? legs[i]! : others[i]!));
    if (!this.tree.at(q, pose)) throw new Error('the stand-in is singular');
    invert6(this.tree.legs!.twists, this.rates);
  }

  /**
   * Wrench that the legs must give the plate, about the pivot, in the base's frame; then the efforts of the axes.
   * @param twist, rate of the plate against the base: velocity of the pivot, then turning, in the carrier's axes.
   */
  forces(twist: ArrayLike<number>, rate: ArrayLike<number>, others: Others): Float64Array {
    const { tree, rates, joints } = this;
    const v = Float64Array.from({ length: joints }, (_, i) => (i < 6 ? row(rates, i, twist) : others.v[i]!));
    const a = Float64Array.from({ length: joints }, (_, i) => (i < 6 ? 0 : others.a[i]!));
    const [now, drift] = [new Float64Array(6), new Float64Array(6)];
    tree.legs!.motion(v, a, now, drift);
    const more = Float64Array.from(drift, (value, k) => rate[k]! - value);
    for (let i = 0; i < 6; i++) a[i] = row(rates, i, more);
    const effort = new Float64Array(joints);
    tree.addEfforts(v, a, G_M_S2, effort);
    const wrench = [0, 1, 2, 3, 4, 5].map((k) =>
      [0, 1, 2, 3, 4, 5].reduce((sum, i) => sum + rates[6 * i + k]! * effort[i]!, 0),
    );
    return Float64Array.from([
      ...this.inBase(wrench, 0),
      ...this.inBase(wrench, 3),
      ...this.axes.map((i) => effort[i]!),
    ]);
  }

  /** Mass matrix of the plate's twist in the base's frame and the axes: size × size. Rotors do not count. */
  massMatrix(): Float64Array {
    const { size, joints, axes, rates } = this;
    const full = new Float64Array(joints * joints);
    this.mass.addTo(full);
    // By joint, how it goes with each coordinate.
    const basis = new Float64Array(joints * size);
    for (let i = 0; i < 6; i++)
      for (let k = 0; k < 6; k++) {
        const at = k < 3 ? 0 : 3;
        for (let c = 0; c < 3; c++) basis[i * size + k]! += rates[6 * i + at + c]! * this.mount[3 * c + (k - at)]!;
      }
    axes.forEach((joint, k) => (basis[joint * size + 6 + k] = 1));
    const half = new Float64Array(joints * size);
    for (let i = 0; i < joints; i++)
      for (let k = 0; k < size; k++)
        for (let j = 0; j < joints; j++) half[i * size + k]! += full[i * joints + j]! * basis[j * size + k]!;
    const out = new Float64Array(size * size);
    for (let k = 0; k < size; k++)
      for (let l = 0; l < size; l++)
        for (let i = 0; i < joints; i++) out[k * size + l]! += basis[i * size + k]! * half[i * size + l]!;
    return out;
  }

  /** A vector of the carrier's axes in the base's frame. */
  inBase(v: ArrayLike<number>, at = 0): [number, number, number] {
    const m = this.mount;
    const part = (c: 0 | 1 | 2): number =>
      m[c] * v[at]! + m[(c + 3) as 3 | 4 | 5] * v[at + 1]! + m[(c + 6) as 6 | 7 | 8] * v[at + 2]!;
    return [part(0), part(1), part(2)];
  }
}

/** Row i of a 6×6 matrix times a vector. */
function row(m: Float64Array, i: number, v: ArrayLike<number>): number {
  let sum = 0;
  for (let k = 0; k < 6; k++) sum += m[6 * i + k]! * v[k]!;
  return sum;
}

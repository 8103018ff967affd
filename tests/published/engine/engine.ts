/**
 * A rig in MuJoCo: the engine gives kinematics, the mass matrix, gravity and centrifugal terms of the open tree; the closed legs are
 * written here as constraints on its sites, with N from the actuated rates to all rates: q̇ = N·u̇, M_u = Nᵀ·M·N, effort = Nᵀ·f
 * (velocity projection: R. Featherstone, Rigid Body Dynamics Algorithms, Springer 2008, chapter 8; from memory).
 */
import { Matrix, solve } from 'ml-matrix';
import loadMujoco from 'mujoco-js';
import type { Pose, Rig } from '../../../host/rig/rig.ts';
import { rpyMatrix } from '../../../host/rig/rotation.ts';
import { mjcfOf, rotorOf } from './mjcf.ts';

const mujoco = await loadMujoco();
const [JOINT, SITE] = [3, 6];
const NEWTON = 40;
const CLOSED_M = 1e-14;
/** The longest step from one place to the next, rad or mm. */
const STEP = 0.15;

export class Engine {
  /** Names of the actuated joints, in the order of u. */
  readonly names: readonly string[];
  private readonly model: ReturnType<typeof mujoco.MjModel.loadFromXML>;
  private readonly data: InstanceType<typeof mujoco.MjData>;
  private readonly rig: Rig;
  /** Where it stands; null: at home, as the model was built. */
  private here: readonly number[] | null = null;
  /** Rates that the constraints decide. */
  private readonly bound: readonly number[];
  private readonly jacobian: InstanceType<typeof mujoco.DoubleBuffer>;
  private readonly turning: InstanceType<typeof mujoco.DoubleBuffer>;

  constructor(rig: Rig, isLocked = false) {
    mujoco.FS.writeFile('/rig.xml', mjcfOf(rig, isLocked));
    this.rig = rig;
    this.model = mujoco.MjModel.loadFromXML('/rig.xml');
    this.data = new mujoco.MjData(this.model);
    this.jacobian = new mujoco.DoubleBuffer(3 * this.model.nv);
    this.turning = new mujoco.DoubleBuffer(3 * this.model.nv);
    const closed = rig.platform !== null && !isLocked;
    this.names = rig.joints
      .filter(({ kind, axis }) => (kind === 'leg' ? closed : axis !== null))
      .map(({ name }) => name);
    const rods =
      closed && rig.platform?.rod_kg ? rig.platform.legs.flatMap((_, i) => [`rod${i + 1}x`, `rod${i + 1}y`]) : [];
    const plate = closed ? ['plate0', 'plate1', 'plate2'].map((name) => this.rate(name)) : [];
    const ball = closed ? [0, 1, 2].map((k) => this.rate('plate') + k) : [];
    this.bound = [...plate, ...ball, ...rods.map((name) => this.rate(name))];
    if (rods.length > 0) this.aimRods();
  }

  /** Places it at u (rad or mm), on a straight way from where it is, so that it stays on this side of its singular poses; the plate's pose then, mm and rad. */
  at(u: readonly number[]): Pose | null {
    const from = this.here ?? u;
    const steps = Math.ceil(Math.max(...u.map((value, k) => Math.abs(value - from[k]!))) / STEP) || 1;
    for (let step = 1; step <= steps; step++)
      this.close(u.map((value, k) => from[k]! + ((value - from[k]!) * step) / steps));
    this.here = u;
    return this.bound.length === 0 ? null : this.pose();
  }

  /** Newton's method on the closed legs. */
  private close(u: readonly number[]): void {
    this.place(u);
    for (let k = 0; k < NEWTON && this.bound.length > 0; k++) {
      const { gap, constraint } = this.constraints(u);
      if (gap.norm() < CLOSED_M) break;
      this.shift(this.bound, solve(constraint.subMatrixColumn([...this.bound]), gap.mul(-1)).to1DArray());
    }
  }

  /** Efforts that move it at u with rates v and accelerations a; N·m or N. */
  efforts(u: readonly number[], v: readonly number[], a: readonly number[]): number[] {
    this.at(u);
    const map = this.map(u);
    const rates = map.mmul(Matrix.columnVector(this.si(v)));
    // q̈ = N·ü + Ṅ·u̇, by a central difference along the motion.
    const h = 1e-6;
    const moved = (sign: number): Matrix => {
      const w = u.map((value, k) => value + sign * h * v[k]!);
      this.at(w);
      return this.map(w).mmul(Matrix.columnVector(this.si(v)));
    };
    const bending = moved(1)
      .sub(moved(-1))
      .mul(1 / (2 * h));
    this.at(u);
    const changes = map.mmul(Matrix.columnVector(this.si(a))).add(bending);
    const { qvel, qfrc_bias } = this.data;
    rates.to1DArray().forEach((value, k) => (qvel[k] = value));
    mujoco.mj_forward(this.model, this.data);
    const force = this.fullMass()
      .mmul(changes)
      .add(Matrix.columnVector(Array.from(qfrc_bias as Float64Array)));
    qvel.fill(0);
    const efforts = map.transpose().mmul(force).to1DArray();
    const own = this.ownMass();
    return this.si(a).map((change, k) => efforts[k]! + own[k]! * change);
  }

  /** Efforts that hold it. */
  hold(u: readonly number[]): number[] {
    this.at(u);
    mujoco.mj_forward(this.model, this.data);
    const force = Matrix.columnVector(Array.from(this.data.qfrc_bias as Float64Array));
    return this.map(u).transpose().mmul(force).to1DArray();
  }

  /** Mass matrix in the actuated rates, SI. */
  mass(u: readonly number[]): Matrix {
    this.at(u);
    mujoco.mj_forward(this.model, this.data);
    const map = this.map(u);
    return map.transpose().mmul(this.fullMass()).mmul(map).add(Matrix.diag(this.ownMass()));
  }

  /** What actuators weigh along themselves, kg: they are lengths here and no bodies. Hinges have their rotors in the model. */
  private ownMass(): number[] {
    return this.names.map((name) =>
      this.isLinearLeg(name) ? rotorOf(this.rig.joints.find((joint) => joint.name === name)!) : 0,
    );
  }

  /** One step of a tree without closed legs, under efforts at its joints. */
  step(effort: readonly number[], step_s: number): void {
    this.model.opt.timestep = step_s;
    this.names.forEach((name, k) => (this.data.qfrc_applied[this.rate(name)] = effort[k]!));
    mujoco.mj_step(this.model, this.data);
  }

  /** Coordinates and rates of the actuated joints, SI. */
  state(): { readonly q: number[]; readonly v: number[] } {
    const q = this.names.map((name) => this.data.qpos[this.coordinate(name)] as number);
    return { q, v: this.names.map((name) => this.data.qvel[this.rate(name)] as number) };
  }

  private id(kind: number, name: string): number {
    const id = mujoco.mj_name2id(this.model, kind, name);
    if (id < 0) throw new Error(`the engine has no ${name}`);
    return id;
  }
  private rate(name: string): number {
    return this.model.jnt_dofadr[this.id(JOINT, name)] as number;
  }
  private coordinate(name: string): number {
    return this.model.jnt_qposadr[this.id(JOINT, name)] as number;
  }
  private isLinearLeg(name: string): boolean {
    return this.rig.platform?.drive === 'linear' && name.startsWith('leg');
  }
  /** To SI: mm are metres. */
  private si(values: readonly number[]): number[] {
    return values.map((value, k) => (this.isLinearLeg(this.names[k]!) ? value / 1000 : value));
  }

  private place(u: readonly number[]): void {
    this.names.forEach((name, k) => {
      if (!this.isLinearLeg(name)) this.data.qpos[this.coordinate(name)] = u[k]!;
    });
    this.renew();
  }
  private renew(): void {
    mujoco.mj_kinematics(this.model, this.data);
    mujoco.mj_comPos(this.model, this.data);
  }
  private shift(rates: readonly number[], by: readonly number[]): void {
    const all = new Array<number>(this.model.nv).fill(0);
    rates.forEach((rate, k) => (all[rate] = by[k]!));
    mujoco.mj_integratePos(this.model, this.data.qpos, all, 1);
    this.renew();
  }

  /** Massless rods would hang upright: they are turned toward the plate first, or Newton would find the other closure. */
  private aimRods(): void {
    this.renew();
    this.rig.platform!.legs.forEach((_, i) => {
      const [from, to] = [this.site(`from${i + 1}`), this.site(`to${i + 1}`)];
      const away = to.map((value, k) => value - from[k]!);
      // The hinges' frame is the base's.
      const turn = this.baseTurn();
      const [x, y, z] = [0, 1, 2].map(
        (k) => turn[k]! * away[0]! + turn[3 + k]! * away[1]! + turn[6 + k]! * away[2]!,
      ) as [number, number, number];
      const about_y = Math.asin(x / Math.hypot(x, y, z));
      this.data.qpos[this.coordinate(`rod${i + 1}y`)] = about_y;
      this.data.qpos[this.coordinate(`rod${i + 1}x`)] = Math.atan2(-y, z);
    });
    this.renew();
  }
  /** At coordinates 0 carriers stand along the world's axes. */
  private baseTurn(): readonly number[] {
    return rpyMatrix(this.rig.platform!.mount.rpy_rad);
  }

  private site(name: string): number[] {
    const at = 3 * this.id(SITE, name);
    return Array.from((this.data.site_xpos as Float64Array).slice(at, at + 3));
  }
  private siteJacobian(name: string): Matrix {
    mujoco.mj_jacSite(this.model, this.data, this.jacobian, this.turning, this.id(SITE, name));
    return Matrix.from1DArray(3, this.model.nv, Array.from(this.jacobian.GetView() as Float64Array));
  }

  /** How far each leg is from closed, m, and its derivative to all rates. */
  private constraints(u: readonly number[]): { gap: Matrix; constraint: Matrix } {
    const { platform } = this.rig;
    const rows: number[][] = [];
    const gaps: number[] = [];
    platform!.legs.forEach((_, i) => {
      const isHeavy = Boolean(platform!.rod_kg);
      const [from, to] = [`${isHeavy ? 'end' : 'from'}${i + 1}`, `to${i + 1}`];
      const away = this.site(to).map((value, k) => value - this.site(from)[k]!);
      const change = this.siteJacobian(to).sub(this.siteJacobian(from));
      if (isHeavy) {
        rows.push(...change.to2DArray());
        gaps.push(...away);
        return;
      }
      const length = Math.hypot(...away);
      const wanted =
        platform!.drive === 'linear' ? u[this.names.indexOf(`leg${i + 1}`)]! / 1000 : platform!.rod_mm / 1000;
      rows.push(new Matrix([away.map((value) => value / length)]).mmul(change).to1DArray());
      gaps.push(length - wanted);
    });
    return { gap: Matrix.columnVector(gaps), constraint: new Matrix(rows) };
  }

  /** N: from the actuated rates to all rates, SI. */
  private map(u: readonly number[]): Matrix {
    const map = Matrix.zeros(this.model.nv, this.names.length);
    this.names.forEach((name, k) => {
      if (!this.isLinearLeg(name)) map.set(this.rate(name), k, 1);
    });
    if (this.bound.length === 0) return map;
    const { constraint } = this.constraints(u);
    const wanted = constraint.mmul(map).mul(-1);
    this.names.forEach((name, k) => {
      if (this.isLinearLeg(name))
        wanted.set(Number(name.slice(3)) - 1, k, wanted.get(Number(name.slice(3)) - 1, k) + 1);
    });
    const found = solve(constraint.subMatrixColumn([...this.bound]), wanted);
    this.bound.forEach((rate, row) => map.setRow(rate, found.getRow(row)));
    return map;
  }

  private fullMass(): Matrix {
    const { nv } = this.model;
    const full = new mujoco.DoubleBuffer(nv * nv);
    mujoco.mj_fullM(this.model, full, this.data.qM);
    const mass = Matrix.from1DArray(nv, nv, Array.from(full.GetView() as Float64Array));
    full.delete();
    return mass;
  }

  private pose(): Pose {
    const slide = (k: number): number => 1000 * (this.data.qpos[this.coordinate(`plate${k}`)] as number);
    const at = this.coordinate('plate');
    const [w, x, y, z] = Array.from((this.data.qpos as Float64Array).slice(at, at + 4)) as [
      number,
      number,
      number,
      number,
    ];
    // Roll, pitch and yaw of R = Rz·Ry·Rx from its quaternion.
    const roll = Math.atan2(2 * (w * x + y * z), 1 - 2 * (x * x + y * y));
    const pitch = Math.asin(2 * (w * y - z * x));
    const yaw = Math.atan2(2 * (w * z + x * y), 1 - 2 * (y * y + z * z));
    return [slide(0), slide(1), slide(2), roll, pitch, yaw];
  }
}

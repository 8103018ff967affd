/**
 * How the moving plate and the rods go when the legs go, and what the legs feel of forces on plate, rods and cranks. All in the
 * axes of what carries the platform, origin the base's; SI: m, rad, N, N·m; a leg's coordinate is rad or, linear, m. A twist
 * is the velocity of the pivot, then the angular velocity; a wrench the force, then the moment about the pivot.
 */
import type { Platform, Pose } from '../../rig/rig.ts';
import { rpyInto } from '../../rig/rotation.ts';
import { type Flat, addCross, addScaled, copyAt, crossInto, dotAt, turnInto } from './flat.ts';
import { type LegGeometry, geometryOf } from '../kinematics/geometry.ts';
import { invert6 } from '../kinematics/invert6.ts';

const MM = 1e-3;
/** Lever over crank times rod, below which the two are in line as far as f64 can tell. */
const IN_LINE = 1e-12;
/** Condition of the inverse Jacobian, lengths over those of the legs, beyond which the platform counts as singular. */
const WORST_CONDITION = 1e9;

export class LegMotion {
  /** The pose's rotation, and the pivot's place. */
  readonly turn = new Float64Array(9);
  readonly pivot = new Float64Array(3);
  /** Twist per rate of each leg: 6×6, row-major, a column a leg. */
  readonly twists = new Float64Array(36);
  /** From crank's axis to its tip; how the tip goes per rad; from pivot to rod's end; the rod: 3 a leg. */
  readonly crank = new Float64Array(18);
  readonly tangent = new Float64Array(18);
  readonly arm = new Float64Array(18);
  readonly rod = new Float64Array(18);
  /**
   * Sign of the inverse Jacobian's determinant. Where it changes on a way that the legs reach all along, the plate hangs loose.
   */
  side = 0;
  /** The cranks' axes, at their middle. */
  readonly base: Flat;

  private readonly linear: boolean;
  private readonly crank_m: number;
  private readonly home: Flat;
  /** From pivot to rod's end in the plate's own axes. */
  readonly arms: Flat;
  private readonly u: Flat;
  private readonly k: Flat;
  private readonly rates = new Float64Array(36);
  /** d·∂start/∂α, or |d|. */
  private readonly per = new Float64Array(6);
  private readonly size_m: number;
  private readonly bend = new Float64Array(6);
  private readonly scratch = new Float64Array(3);

  constructor(platform: Platform) {
    const geometry = geometryOf(platform);
    const flat = (of: (leg: LegGeometry) => readonly number[], by = 1): Flat =>
      Float64Array.from(geometry.legs.flatMap((leg) => of(leg).map((value) => value * by)));
    this.linear = platform.drive === 'linear';
    this.crank_m = platform.crank_mm * MM;
    this.home = Float64Array.from(geometry.pivot_mm, (value) => value * MM);
    this.base = flat((leg) => leg.base_mm, MM);
    this.arms = flat((leg) => leg.arm_mm, MM);
    this.u = flat((leg) => leg.u);
    this.k = flat((leg) => leg.k);
    this.size_m = (platform.rod_mm || (platform.stroke_mm?.[1] ?? 1)) * MM;
  }

  /** Places it; the pose (mm, rad) fits the coordinates q (cranks in rad). False: singular there. */
  at(q: ArrayLike<number>, pose: Pose): boolean {
    rpyInto(pose[3], pose[4], pose[5], this.turn);
    for (let k = 0; k < 3; k++) this.pivot[k] = this.home[k]! + pose[k]! * MM;
    let regular = true;
    for (let i = 0; i < 6; i++) regular = this.placeLeg(i, q[i]!) && regular;
    if (!regular) return false;
    const size = this.conditionSide(this.rates);
    this.side = Math.sign(invert6(this.rates, this.twists));
    return this.side !== 0 && size * this.conditionSide(this.twists, true) < WORST_CONDITION;
  }

  /** Row i of the inverse Jacobian: [d, r×d]/per, see jacobian.ts. */
  private placeLeg(i: number, angle: number): boolean {
    const j = 3 * i;
    const { crank, tangent, arm, rod, base, pivot, rates } = this;
    if (!this.linear) this.placeCrank(j, angle);
    turnInto(arm, j, this.turn, 0, this.arms, j);
    for (let k = 0; k < 3; k++) rod[j + k] = pivot[k]! + arm[j + k]! - base[j + k]! - crank[j + k]!;
    const length = Math.sqrt(dotAt(rod, j, rod, j));
    const per = this.linear ? length : dotAt(rod, j, tangent, j);
    this.per[i] = per;
    copyAt(rates, 6 * i, rod, j);
    crossInto(rates, 6 * i + 3, arm, j, rod, j);
    for (let k = 0; k < 6; k++) rates[6 * i + k]! /= per;
    return this.linear ? length > 0 : Math.abs(per) > IN_LINE * this.crank_m * length;
  }

  private placeCrank(j: number, angle: number): void {
    const c = this.crank_m * Math.cos(angle);
    const s = this.crank_m * Math.sin(angle);
    for (let k = 0; k < 3; k++) {
      this.crank[j + k] = c * this.u[j + k]! + s * this.k[j + k]!;
      this.tangent[j + k] = c * this.k[j + k]! - s * this.u[j + k]!;
    }
  }

  /** Largest entry with angles taken as lengths at the legs' own. */
  private conditionSide(m: Flat, inverse = false): number {
    let length = 0;
    let angle = 0;
    const [row, column] = inverse ? [1, 6] : [6, 1];
    for (let r = 0; r < 6 * row; r += row)
      for (let k = r; k < r + 3 * column; k += column) {
        length = Math.max(length, Math.abs(m[k]!));
        angle = Math.max(angle, Math.abs(m[k + 3 * column]!));
      }
    return Math.max(length, inverse ? angle * this.size_m : angle / this.size_m);
  }

  /**
   * The plate's twist and its rate for leg rates v and accelerations a, from d·ẍ_end = a·per - |ḋ|² - v²·d·crank (a crank),
   * d·ẍ_end = L·a + v² - |ẋ_end|² (an actuator).
   * @param twist, rate 6 each.
   */
  motion(v: Flat, a: Flat, twist: Flat, rate: Flat): void {
    const { twists, bend } = this;
    times6(twists, v, twist);
    for (let i = 0; i < 6; i++) bend[i] = a[i]! - this.drift(i, v[i]!, twist);
    times6(twists, bend, rate);
  }

  /** Acceleration of leg i while the plate's twist stays the same. */
  private drift(i: number, v: number, twist: Flat): number {
    const { arm, rod, scratch: s } = this;
    const j = 3 * i;
    copyAt(s, 0, twist, 0);
    addCross(s, 0, twist, 3, arm, j);
    // d·(w×(w×arm)).
    const turning =
      dotAt(rod, j, twist, 3) * dotAt(arm, j, twist, 3) - dotAt(rod, j, arm, j) * dotAt(twist, 3, twist, 3);
    if (this.linear) return (dotAt(s, 0, s, 0) - v * v + turning) / this.per[i]!;
    addScaled(s, 0, this.tangent, j, -v);
    return (dotAt(s, 0, s, 0) + turning + v * v * dotAt(rod, j, this.crank, j)) / this.per[i]!;
  }

  /** Adds to the legs' efforts what moves a wrench: out += Jᵀ-wise, by virtual work. */
  addEfforts(wrench: Flat, out: Flat): void {
    const { twists } = this;
    for (let i = 0; i < 6; i++) {
      let sum = 0;
      for (let k = 0; k < 6; k++) sum += twists[6 * k + i]! * wrench[k]!;
      out[i]! += sum;
    }
  }
}

function times6(m: Flat, v: Flat, out: Flat): void {
  for (let r = 0, k = 0; r < 6; r++, k += 6)
    out[r] =
      m[k]! * v[0]! + m[k + 1]! * v[1]! + m[k + 2]! * v[2]! + m[k + 3]! * v[3]! + m[k + 4]! * v[4]! + m[k + 5]! * v[5]!;
}

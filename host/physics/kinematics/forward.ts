/**
 * Forward kinematics, f64: the pose in which six given leg coordinates hold the moving plate, by Newton's method on
 * |end - start|² = s² for every leg. It knows nothing of the controller.
 */
import type { Platform, Pose } from '../../rig/rig.ts';
import { HOME } from '../../rig/rig.ts';
import { rpyInto, rpyOfInto } from '../../rig/rotation.ts';
import { LEG_FIGURES, type Geometry, geometryOf } from './geometry.ts';
import { inverse, inverseInto } from './inverse.ts';
import { solve6 } from './solve6.ts';

/** A pose to write into. */
export type MutablePose = [number, number, number, number, number, number];

/** Newton's method doubles the digits a step: from a nearby start 3 steps do; what takes more than these goes nowhere. */
const MAX_ITERATIONS = 30;
/** Solved when no leg is off by more than this share of the longest; rounding leaves some 1e-16 of it. */
const TOLERANCE = 1e-12;

/**
 * Finds poses one after another without allocating. What it says of a solve holds until the next.
 * A solve from the pose 20 ms earlier takes 3 steps and 2.5 to 3 us (Node 20, one shared core).
 */
export class ForwardSolver {
  /** Largest error of a rod's or actuator's length at the last pose, mm. */
  residual_mm = NaN;
  /** Newton steps the last solve took. */
  iterations = 0;
  /**
   * The last pose lies beyond a singular one, seen from home: the same legs put together another way, where the plate
   * gets only by force or by coming apart. Known from the sign of the Jacobian's determinant.
   */
  flipped = false;

  private readonly platform: Platform;
  private readonly geometry: Geometry;
  private readonly home: number;
  private readonly arm_mm: Float64Array;
  private readonly start_mm = new Float64Array(18);
  private readonly length_mm = new Float64Array(6);
  private readonly matrix = new Float64Array(36);
  private readonly rhs = new Float64Array(6);
  private readonly turn = new Float64Array(9);
  private readonly centre_mm = new Float64Array(3);
  private tolerance_mm = 0;
  /** What was asked last, legs and start, and the pose found: the same again is known. NaN: none was found. */
  private readonly asked = new Float64Array(12).fill(NaN);
  private readonly found: MutablePose = [...HOME];

  constructor(platform: Platform) {
    this.platform = platform;
    this.geometry = geometryOf(platform);
    this.arm_mm = Float64Array.from(this.geometry.legs.flatMap((leg) => leg.arm_mm));
    const coordinates = inverse(platform, HOME);
    this.home = coordinates ? this.determinantAt(coordinates, HOME) : 0;
  }

  /**
   * The pose nearest to `start` (as Newton's method goes) that fits the legs.
   * @param coordinates leg1 … leg6, rad or mm.
   * @param start a pose nearby: the last one, or the one asked for.
   * @param out receives the pose; may be `start` itself. Left alone on failure.
   * @returns false when Newton's method finds no pose from there: the legs fit none, or only one far away.
   */
  solve(coordinates: ArrayLike<number>, start: Pose, out: MutablePose): boolean {
    if (this.isAskedAgain(coordinates, start)) {
      for (let k = 0; k < 6; k++) out[k] = this.found[k]!;
      return true;
    }
    this.asked.fill(NaN);
    this.placeLegs(coordinates);
    this.placePlate(start);
    this.iterations = 0;
    this.residual_mm = this.linearise();
    while (!(this.residual_mm <= this.tolerance_mm)) {
      if (this.iterations === MAX_ITERATIONS || !(Math.abs(solve6(this.matrix, this.rhs)) > 0)) return false;
      this.step();
      this.iterations++;
      this.residual_mm = this.linearise();
    }
    this.flipped = solve6(this.matrix, this.rhs) * this.home < 0;
    this.readPose(this.found);
    for (let k = 0; k < 6; k++) {
      this.asked[k] = coordinates[k]!;
      this.asked[6 + k] = start[k]!;
    }
    for (let k = 0; k < 6; k++) out[k] = this.found[k]!;
    return true;
  }

  private isAskedAgain(coordinates: ArrayLike<number>, start: Pose): boolean {
    const { asked } = this;
    for (let k = 0; k < 6; k++) if (asked[k] !== coordinates[k] || asked[6 + k] !== start[k]) return false;
    return true;
  }

  private determinantAt(coordinates: ArrayLike<number>, pose: Pose): number {
    this.placeLegs(coordinates);
    this.placePlate(pose);
    this.linearise();
    return Math.sign(solve6(this.matrix, this.rhs));
  }

  private placeLegs(coordinates: ArrayLike<number>): void {
    const { platform, start_mm, length_mm } = this;
    const { flat } = this.geometry;
    const isCrank = platform.drive === 'crank';
    let longest = 0;
    for (let i = 0, g = 0; i < 6; i++, g += LEG_FIGURES) {
      const at = coordinates[i]!;
      const c = isCrank ? platform.crank_mm * Math.cos(at) : 0;
      const s = isCrank ? platform.crank_mm * Math.sin(at) : 0;
      for (let k = 0; k < 3; k++) start_mm[3 * i + k] = flat[g + k]! + c * flat[g + 6 + k]! + s * flat[g + 12 + k]!;
      const length = isCrank ? platform.rod_mm : at > 0 && at < Infinity ? at : NaN;
      length_mm[i] = length;
      longest = Math.max(longest, length);
    }
    this.tolerance_mm = TOLERANCE * longest;
  }

  private placePlate(pose: Pose): void {
    const { pivot_mm } = this.geometry;
    rpyInto(pose[3], pose[4], pose[5], this.turn);
    for (let k = 0; k < 3; k++) this.centre_mm[k] = pivot_mm[k]! + pose[k]!;
  }

  /** Fills matrix and right-hand side: [d, r×d]·twist = (s² - d²)/2. Returns the largest length error, mm. */
  private linearise(): number {
    const { start_mm, length_mm, arm_mm, matrix, rhs } = this;
    const { turn, centre_mm } = this;
    let worst = 0;
    for (let i = 0, j = 0, m = 0; i < 6; i++, j += 3, m += 6) {
      const ax = arm_mm[j]!;
      const ay = arm_mm[j + 1]!;
      const az = arm_mm[j + 2]!;
      const rx = turn[0]! * ax + turn[1]! * ay + turn[2]! * az;
      const ry = turn[3]! * ax + turn[4]! * ay + turn[5]! * az;
      const rz = turn[6]! * ax + turn[7]! * ay + turn[8]! * az;
      const dx = centre_mm[0]! + rx - start_mm[j]!;
      const dy = centre_mm[1]! + ry - start_mm[j + 1]!;
      const dz = centre_mm[2]! + rz - start_mm[j + 2]!;
      matrix[m] = dx;
      matrix[m + 1] = dy;
      matrix[m + 2] = dz;
      matrix[m + 3] = ry * dz - rz * dy;
      matrix[m + 4] = rz * dx - rx * dz;
      matrix[m + 5] = rx * dy - ry * dx;
      const s = length_mm[i]!;
      const half = (s * s - dx * dx - dy * dy - dz * dz) / 2;
      rhs[i] = half;
      worst = Math.max(worst, Math.abs(half) / s);
    }
    return worst;
  }

  /**
   * Moves the plate by the twist found: R ← exp(ω)·R, as the unit quaternion of (1, ω/2): right to ω³/12, always a rotation,
   * no trigonometry, and never more than half a turn however wild the step.
   */
  private step(): void {
    const { rhs, turn: R, centre_mm: c } = this;
    for (let k = 0; k < 3; k++) c[k]! += rhs[k]!;
    const x = rhs[3]! / 2;
    const y = rhs[4]! / 2;
    const z = rhs[5]! / 2;
    const k = 2 / (1 + x * x + y * y + z * z);
    for (let j = 0; j < 3; j++) {
      const vx = R[j]!;
      const vy = R[j + 3]!;
      const vz = R[j + 6]!;
      // v + k·(q×v + q×(q×v)), q = (x, y, z)
      const tx = y * vz - z * vy;
      const ty = z * vx - x * vz;
      const tz = x * vy - y * vx;
      R[j] = vx + k * (tx + y * tz - z * ty);
      R[j + 3] = vy + k * (ty + z * tx - x * tz);
      R[j + 6] = vz + k * (tz + x * ty - y * tx);
    }
  }

  private readPose(out: MutablePose): void {
    const { pivot_mm } = this.geometry;
    for (let k = 0; k < 3; k++) out[k] = this.centre_mm[k]! - pivot_mm[k]!;
    rpyOfInto(this.turn, out, 3);
  }
}

/** Share of the way from home that `poseFromHome` tries at a time, and where it gives up. */
const STRIDE = 1 / 16;
const SMALLEST_STRIDE = 1 / 2048;

/**
 * The pose the plate gets to when the legs go from home to these coordinates, all together and evenly: of the poses that
 * fit the same legs (up to 40) the one it can really move to.
 * @returns null when the legs cannot go there without coming apart or passing a singular pose.
 */
export function poseFromHome(
  platform: Platform,
  coordinates: ArrayLike<number>,
): { readonly pose: Pose; readonly residual_mm: number } | null {
  const solver = new ForwardSolver(platform);
  const from = new Float64Array(6);
  if (!inverseInto(platform, HOME, from)) return null;
  const between = new Float64Array(6);
  const pose: MutablePose = [...HOME];
  let done = 0;
  let stride = STRIDE;
  while (done < 1) {
    const next = Math.min(1, done + stride);
    for (let i = 0; i < 6; i++) between[i] = from[i]! + next * (coordinates[i]! - from[i]!);
    const before: Pose = [...pose];
    if (solver.solve(between, before, pose) && !solver.flipped) {
      done = next;
      continue;
    }
    pose.splice(0, 6, ...before);
    stride /= 2;
    if (stride < SMALLEST_STRIDE) return null;
  }
  return { pose, residual_mm: solver.residual_mm };
}

/** The efforts that a motion asks of its joints, from places that come one after another: weight, inertia and friction. */
import { HOME, type Rig } from '../../rig/rig.ts';
import { ForwardSolver, type MutablePose } from '../kinematics/forward.ts';
import { frictionOf, overcome } from '../servo/servo-line.ts';
import { Mechanism } from './mechanism.ts';

export interface DemandState {
  readonly pose: readonly number[];
  readonly past: readonly Float64Array[];
}

/** What it says is of the place before the last one that came: its rates come from the places around it. */
export class Demand {
  readonly mechanism: Mechanism;
  /** By joint: N·m or N, and rad/s or mm/s. */
  readonly effort: Float64Array;
  readonly rate: Float64Array;
  private readonly rig: Rig;
  private readonly solver: ForwardSolver | null;
  private readonly accel: Float64Array;
  private readonly pose: MutablePose = [...HOME];
  /** The last two places, newest last. */
  private readonly past: Float64Array[] = [];

  constructor(rig: Rig) {
    const n = rig.joints.length;
    this.rig = rig;
    this.mechanism = new Mechanism(rig);
    this.solver = rig.platform ? new ForwardSolver(rig.platform) : null;
    [this.effort, this.rate, this.accel] = [new Float64Array(n), new Float64Array(n), new Float64Array(n)];
  }

  /** Where it is: the last two places, and the plate's pose at the one before the last. */
  state(): DemandState {
    return { pose: [...this.pose], past: this.past.map((place) => place.slice()) };
  }

  /** Goes on from there, of the same rig. */
  resume({ pose, past }: DemandState): void {
    pose.forEach((value, k) => (this.pose[k] = value));
    this.past.splice(0, this.past.length, ...past.map((place) => place.slice()));
  }

  /**
   * The next place of the joints (rad or mm), frame_s after the last.
   * @returns false: too few have come, or the legs do not stand there; then efforts and rates are of before.
   */
  push(place: ArrayLike<number>, frame_s: number): boolean {
    const now = Float64Array.from({ length: this.rig.joints.length }, (_, i) => place[i]!);
    const isKnown = frame_s > 0 && this.work(now, frame_s);
    this.past.push(now);
    if (this.past.length > 2) this.past.shift();
    return isKnown;
  }

  private work(now: Float64Array, frame_s: number): boolean {
    const { rate, accel, effort } = this;
    const [before, middle] = this.past;
    if (!before || !middle || !this.stand(middle)) return false;
    for (let i = 0; i < now.length; i++) {
      rate[i] = (now[i]! - before[i]!) / (2 * frame_s);
      accel[i] = (now[i]! - 2 * middle[i]! + before[i]!) / frame_s ** 2;
    }
    this.mechanism.efforts(rate, accel, effort);
    this.rig.joints.forEach((joint, i) => (effort[i]! += overcome(frictionOf(joint), rate[i]!)));
    return true;
  }

  private stand(place: Float64Array): boolean {
    if (this.solver && !(this.solver.solve(place, this.pose, this.pose) && !this.solver.flipped)) return false;
    return this.mechanism.at(place, this.pose);
  }
}

/** What a stream asks of every joint at an instant, and half way since the instant before. Poses in mm and rad; joints rad or mm. */
import type { MutablePose } from '../physics/kinematics/forward.ts';
import { type Stop, inverseInto, whatStops } from '../physics/kinematics/inverse.ts';
import { type Rig, HOME } from '../rig/rig.ts';
import type { Interpolant } from '../stream/interpolate.ts';

/** What is asked, at times that never decrease. */
type Curve = Pick<Interpolant, 'size' | 'evaluate'>;

export class Asked {
  readonly pose: MutablePose = [...HOME];
  /** What is asked of every joint, in the rig's order; NaN: nothing, or what cannot be reached. */
  readonly joints: Float64Array;
  /** The same half way since the look before. */
  readonly between: Float64Array;
  private readonly rig: Rig;
  private readonly stream: Curve;
  private readonly values: Float64Array;
  private readonly legs = new Float64Array(6);
  private looked_s = NaN;
  /** Whether `legs` are those of `pose`, and whether all of them reach it. */
  private isSolved = false;
  private isReached = true;

  constructor(rig: Rig, stream: Curve) {
    this.rig = rig;
    this.stream = stream;
    this.values = new Float64Array(stream.size);
    this.joints = new Float64Array(rig.joints.length);
    this.between = new Float64Array(rig.joints.length);
  }

  /**
   * At that time of the stream, which never decreases. @param isStopped whether the controller found it out of reach. Returns what
   * stops the pose; null: it is within reach.
   */
  look(stream_s: number, isStopped: boolean): Stop | null {
    const half_s = Number.isNaN(this.looked_s) ? stream_s : (this.looked_s + stream_s) / 2;
    this.looked_s = stream_s;
    this.evaluate(half_s, this.between);
    const isReached = this.evaluate(stream_s, this.joints);
    const stop = this.rig.platform && (isStopped || !isReached) ? whatStops(this.rig, this.pose) : null;
    if (stop) this.joints.fill(NaN, 0, 6);
    return stop;
  }

  /** False: no leg reaches the pose. */
  private evaluate(stream_s: number, joints: Float64Array): boolean {
    const { values, pose, legs } = this;
    this.stream.evaluate(stream_s, values);
    for (let k = 0; k < 6; k++) {
      if (values[k] === pose[k]) continue;
      pose[k] = values[k]!;
      this.isSolved = false;
    }
    const { platform } = this.rig;
    const first = platform ? 6 : 0;
    for (let k = 6; k < values.length; k++) joints[first + k - 6] = values[k]!;
    if (!platform) return true;
    // While the plate is asked to stand, the legs are known.
    if (!this.isSolved) this.isReached = inverseInto(platform, pose, legs);
    this.isSolved = true;
    for (let i = 0; i < 6; i++) joints[i] = this.isReached ? legs[i]! : NaN;
    return this.isReached;
  }
}

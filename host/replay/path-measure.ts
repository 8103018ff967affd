/** The moving plate's path in a replay: where it was asked to be and where its legs put it, at each look. */
import type { Telemetry } from '../controller/messages.ts';
import { ForwardSolver, type MutablePose } from '../physics/kinematics/forward.ts';
import { poseDistance } from '../physics/kinematics/pose-distance.ts';
import { HOME, POSE_KEYS, type Platform, type Pose, toDeg } from '../rig/rig.ts';
import type { Breaches } from './breaches.ts';
import { Envelope } from './envelope.ts';
import type { Answer, Traces } from './result.ts';
import type { Tolerance } from './tolerance.ts';

/** Nearer to what was asked than this, the asked pose is the better start for the forward kinematics. */
const FOLLOWS_MM = 0.1;
const FOLLOWS_RAD = 0.002;

const shown = (k: number, value: number): number => (k < 3 ? value : toDeg(value));

export class PathMeasure {
  /** The pose last delivered. */
  readonly delivered: MutablePose = [...HOME];
  private readonly tolerance: Tolerance;
  private readonly solver: ForwardSolver;
  private readonly legs = new Float64Array(6);
  private readonly poseAsked = POSE_KEYS.map(() => new Envelope());
  private readonly poseDelivered = POSE_KEYS.map(() => new Envelope());
  private readonly peak = { mm: 0, deg: 0, at_s: 0, score: 0 };
  private follows = false;
  /** Whether a pose fits the legs last seen. */
  found = true;

  constructor(platform: Platform, tolerance: Tolerance) {
    this.solver = new ForwardSolver(platform);
    this.tolerance = tolerance;
  }

  /** Path error at this instant; returns how bad it is, 1 at the tolerance. */
  look(t: Telemetry, at_s: number, asked: Pose, breaches: Breaches): number {
    const { delivered, legs } = this;
    const found = this.solve(t, asked);
    for (let k = 0; k < 6; k++) this.poseAsked[k]!.add(at_s, shown(k, asked[k]!));
    if (!found) {
      breaches.assembly(at_s);
      return Infinity;
    }
    breaches.rodEnds(at_s, delivered, legs);
    for (let k = 0; k < 6; k++) this.poseDelivered[k]!.add(at_s, shown(k, delivered[k]!));
    return this.compare(at_s, asked);
  }

  /** The pose that the legs deliver, into `delivered`; false: none fits. */
  solve(t: Telemetry, asked: Pose): boolean {
    const { solver, delivered, legs } = this;
    for (let i = 0; i < 6; i++) legs[i] = t.position[i]!;
    // A prop that follows is where it was asked to be, all but rounding: the nearer start.
    this.found = solver.solve(legs, this.follows ? asked : delivered, delivered) && !solver.flipped;
    return this.found;
  }

  private compare(at_s: number, asked: Pose): number {
    const { peak, tolerance } = this;
    const { mm, rad } = poseDistance(asked, this.delivered);
    this.follows = mm < FOLLOWS_MM && rad < FOLLOWS_RAD;
    const deg = toDeg(rad);
    const score = Math.max(mm / tolerance.mm, deg / tolerance.deg);
    if (mm > peak.mm) peak.mm = mm;
    if (deg > peak.deg) peak.deg = deg;
    if (score > peak.score) {
      peak.score = score;
      peak.at_s = at_s;
    }
    return score;
  }

  answer(): Answer['path'] {
    return { peak_mm: this.peak.mm, peak_deg: this.peak.deg, at_s: this.peak.at_s };
  }

  traces(): Traces['pose'] {
    return POSE_KEYS.map((key, k) => ({
      key,
      asked: this.poseAsked[k]!.data(),
      delivered: this.poseDelivered[k]!.data(),
    }));
  }
}

/** The moving plate's path in a replay: where it was asked to be and where its legs put it, at each look. */
import type { Telemetry } from '../controller/messages.ts';
import { ForwardSolver, type MutablePose } from '../physics/kinematics/forward.ts';
import { poseDistance } from '../physics/kinematics/pose-distance.ts';
import { HOME, POSE_KEYS, type Platform, type Pose, toDeg } from '../rig/rig.ts';
import type { Breaches } from './breaches.ts';
import { Envelopes } from './envelope.ts';
import type { Answer, Traces } from './result.ts';
import type { Tolerance } from './tolerance.ts';

/** Nearer to what was asked than this, the asked pose is the better start for the forward kinematics. */
const FOLLOWS_MM = 0.1;
const FOLLOWS_RAD = 0.002;

/** Of a component of the pose, in the envelopes. */
const ASKED = 0;
const DELIVERED = 1;
const SIGNALS = 2;

export class PathMeasure {
  /** The pose last delivered. */
  readonly delivered: MutablePose = [...HOME];
  private readonly tolerance: Tolerance;
  private readonly solver: ForwardSolver;
  private readonly legs = new Float64Array(6);
  private readonly envelopes = new Envelopes(SIGNALS * POSE_KEYS.length);
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
    const { delivered, legs, envelopes } = this;
    const found = this.solve(t, asked);
    envelopes.at(at_s);
    for (let k = 0; k < 6; k++) envelopes.add(SIGNALS * k + ASKED, asked[k]!, asked[k]!);
    if (!found) {
      breaches.assembly(at_s);
      return Infinity;
    }
    breaches.rodEnds(at_s, delivered, legs);
    for (let k = 0; k < 6; k++) envelopes.add(SIGNALS * k + DELIVERED, delivered[k]!, delivered[k]!);
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
    return POSE_KEYS.map((key, k) => {
      const shown = (value: number): number => (k < 3 ? value : toDeg(value));
      const own = SIGNALS * k;
      return {
        key,
        asked: this.envelopes.data(own + ASKED, shown),
        delivered: this.envelopes.data(own + DELIVERED, shown),
      };
    });
  }
}

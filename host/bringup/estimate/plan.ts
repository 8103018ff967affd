/**
 * Which poses to measure: those that together tell the geometry best. Candidates are spread over what the platform reaches; each next
 * one is that which makes the determinant of the information largest, what is known before included (greedy D-optimal design,
 * V. V. Fedorov, Theory of Optimal Experiments, 1972). The same rig gives the same plan.
 */
import { Matrix, determinant, inverse as inverted } from 'ml-matrix';
import { inverse, whatStops } from '../../physics/kinematics/inverse.ts';
import { travelAlong, type PoseAxis } from '../../physics/kinematics/travel.ts';
import { pulseAt } from '../../rig/pulse.ts';
import { HOME, type Joint, type Platform, type Pose, type Rig } from '../../rig/rig.ts';
import { type Wanted, geometryFigures } from './figures.ts';
import { scaledJacobian } from './least-squares.ts';
import { Poses, READINGS, type ReadingName, readingOf } from './readings.ts';

export interface PlannedPose {
  readonly pose: Pose;
  /** leg1 … leg6, whole µs. */
  readonly pulses_us: readonly number[];
}

/** What is read at each: what the bring-up asks for. */
const READ: readonly ReadingName[] = ['height_mm', 'tilt_x_deg', 'tilt_y_deg'];
const CANDIDATES = 300;
/** Of the travel along each axis alone: poses that shift and turn at once reach less. */
const SHARE = 0.9;
/** Of the soft limits' span, kept clear at both ends: the true prop may stand otherwise than the rig says. */
const CLEAR = 0.05;
/** Bases of the Halton sequence (J. H. Halton, Numer. Math. 2, 1960, 84-90), one a pose component. */
const BASES = [2, 3, 5, 7, 11, 13] as const;

export const DEFAULT_POSES = 14;

/**
 * Poses worth measuring, in an order that moves little from one to the next, home first.
 * @param rig with a platform. @returns fewer than asked for where it does not reach so many.
 */
export function plan(rig: Rig, n: number = DEFAULT_POSES, wanted: Wanted = {}): PlannedPose[] {
  const { platform } = rig;
  if (!platform) throw new Error(`rig ${rig.name} has no platform`);
  const legs = rig.joints.slice(0, 6);
  const candidates = reachable(rig, platform, legs);
  const information = candidates.map((candidate) => informationOf(rig, platform, legs, candidate, wanted));
  const chosen = chooseBest(information, Math.min(n, candidates.length));
  return shortWay(chosen.map((k) => candidates[k]!));
}

function reachable(rig: Rig, platform: Platform, legs: readonly Joint[]): PlannedPose[] {
  const narrow = narrowed(rig);
  const spans = HOME.map((_, k) =>
    ([-1, 1] as const).map((sign) => SHARE * sign * travelAlong(narrow, HOME, k as PoseAxis, sign).by),
  );
  const found: PlannedPose[] = [];
  for (let n = 0; n < 40 * CANDIDATES && found.length < CANDIDATES; n++) {
    const pose = spans.map(([lo = 0, hi = 0], k) => lo + halton(n, BASES[k]!) * (hi - lo)) as unknown as Pose;
    const at = n === 0 ? HOME : pose;
    const coordinates = whatStops(narrow, at) === null ? inverse(platform, at) : null;
    if (!coordinates) continue;
    found.push({ pose: at, pulses_us: legs.map((leg, i) => Math.round(pulseAt(leg, coordinates[i]!))) });
  }
  return found;
}

const narrowed = (rig: Rig): Rig => ({
  ...rig,
  joints: rig.joints.map((joint) => {
    const clear = CLEAR * (joint.hi - joint.lo);
    return joint.kind === 'leg' ? { ...joint, lo: joint.lo + clear, hi: joint.hi - clear } : joint;
  }),
});

/** The digits of n in a base, mirrored behind the point. */
function halton(n: number, base: number): number {
  let value = 0;
  for (let [rest, share] = [n, 1 / base]; rest > 0; rest = Math.floor(rest / base), share /= base)
    value += (rest % base) * share;
  return value;
}

/** Scaled rows of the Jacobian that measuring there adds. */
function informationOf(rig: Rig, platform: Platform, legs: readonly Joint[], { pulses_us }: PlannedPose, wanted: Wanted): Matrix {
  const { figures, guess } = geometryFigures(rig, platform, wanted);
  const poses = new Poses(platform, legs, [pulses_us]);
  const model = (values: readonly number[]): number[] => {
    const at = guess(values);
    const [pose] = poses.at(at);
    return READ.map((name) => (pose ? readingOf(name, at, pose, {}) : NaN));
  };
  const at = figures.map((figure) => figure.at);
  const typical = figures.map((figure) => figure.typical);
  const sigma = READ.map((name) => READINGS[name]);
  const jacobian = scaledJacobian({ model, sigma, typical, start: at, readings: [] }, at);
  return jacobian.to1DArray().every(Number.isFinite) ? jacobian : Matrix.zeros(READ.length, at.length);
}

/** Indices of the chosen, one after another: each multiplies the determinant by that of 1 + J·M⁻¹·Jᵀ. */
function chooseBest(rows: readonly Matrix[], n: number): number[] {
  const chosen: number[] = [];
  let known = Matrix.eye(rows[0]?.columns ?? 0);
  while (chosen.length < n) {
    const spread = inverted(known);
    const gains = rows.map((row, k) =>
      chosen.includes(k) ? 0 : determinant(Matrix.eye(row.rows).add(row.mmul(spread).mmul(row.transpose()))),
    );
    const best = gains.indexOf(Math.max(...gains));
    chosen.push(best);
    known = Matrix.add(known, rows[best]!.transpose().mmul(rows[best]!));
  }
  return chosen;
}

/** From home always to the nearest that is left, by the pulse that has furthest to go. */
function shortWay(poses: readonly PlannedPose[]): PlannedPose[] {
  const left = [...poses].sort((a, b) => Math.hypot(...a.pose) - Math.hypot(...b.pose));
  const way = left.splice(0, 1);
  while (left.length > 0) {
    const here = way.at(-1)!.pulses_us;
    const far = left.map(({ pulses_us }) => Math.max(...pulses_us.map((pulse_us, i) => Math.abs(pulse_us - here[i]!))));
    way.push(...left.splice(far.indexOf(Math.min(...far)), 1));
  }
  return way;
}

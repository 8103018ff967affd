/**
 * Which poses to measure: those that together tell the geometry best. Candidates are spread over what the platform reaches; each next
 * one is that which leaves the figures least uncertain, by the sum of their variances in units of what they may typically be off by, with
 * what is known before included (greedy A-optimal design; F. Pukelsheim, Optimal Design of Experiments, 1993, 6). The largest determinant,
 * D-optimal, was tried: it left the radii a tenth more uncertain. The same rig gives the same plan.
 */
import { Matrix, inverse as inverted } from 'ml-matrix';
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
/** Of the soft limits' span, kept clear at both ends: the true prop may stand otherwise than the rig says (ours). */
const CLEAR = 0.05;
/** Bases of the Halton sequence (J. H. Halton, Numer. Math. 2, 1960, 84-90), one a pose component. */
const BASES = [2, 3, 5, 7, 11, 13] as const;

export const DEFAULT_POSES = 16;

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
    ([-1, 1] as const).map((sign) => sign * travelAlong(narrow, HOME, k as PoseAxis, sign).by),
  );
  const found = [HOME, ...Array.from({ length: CANDIDATES }, (_, n) => outermost(narrow, ray(spans, n + 1)))];
  return found.flatMap((pose) => {
    const coordinates = pose && whatStops(narrow, pose) === null ? inverse(platform, pose) : null;
    return pose && coordinates
      ? [{ pose, pulses_us: legs.map((leg, i) => Math.round(pulseAt(leg, coordinates[i]!))) }]
      : [];
  });
}

/** A pose in the box of travels. */
const ray = (spans: readonly (readonly number[])[], n: number): Pose =>
  spans.map(([lo = 0, hi = 0], k) => lo + halton(n, BASES[k]!) * (hi - lo)) as unknown as Pose;

/** So much of the way to a pose is tried at first, and each next time so much of the last: what is far out tells most. */
const FIRST = 1.4;
const EACH = 0.93;

/** The furthest of these that it reaches on the way to a pose; null: none. */
function outermost(rig: Rig, to: Pose): Pose | null {
  for (let share = FIRST; share > 0.1; share *= EACH) {
    const pose = to.map((value) => share * value) as unknown as Pose;
    if (whatStops(rig, pose) === null) return pose;
  }
  return null;
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
function informationOf(
  rig: Rig,
  platform: Platform,
  legs: readonly Joint[],
  { pulses_us }: PlannedPose,
  wanted: Wanted,
): Matrix {
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

/** Indices of the chosen, one after another: each takes J·M⁻¹ᵀ·(1 + J·M⁻¹·Jᵀ)⁻¹·J·M⁻¹ off the covariance M⁻¹ (Woodbury). */
function chooseBest(rows: readonly Matrix[], n: number): number[] {
  const chosen: number[] = [];
  let known = Matrix.eye(rows[0]?.columns ?? 0);
  while (chosen.length < n) {
    const spread = inverted(known);
    const left = rows.map((row, k) => {
      if (chosen.includes(k)) return Infinity;
      const seen = row.mmul(spread);
      const own = inverted(Matrix.eye(row.rows).add(seen.mmul(row.transpose())));
      return spread.trace() - own.mmul(seen).mmul(seen.transpose()).trace();
    });
    const best = left.indexOf(Math.min(...left));
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

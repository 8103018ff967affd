/**
 * Our kinematics against the literature on parallel platforms. Sources, where they were read, and what is derived from them stand
 * beside the values in values/parallel-kinematics.json and values/dietmaier.json.
 */
import fc from 'fast-check';
import { Matrix, SVD, determinant } from 'ml-matrix';
import { Matrix4, Quaternion } from 'three';
import { describe, expect, test } from 'vitest';
import { ForwardSolver, type MutablePose } from '../../host/physics/kinematics/forward.ts';
import { inverse } from '../../host/physics/kinematics/inverse.ts';
import { jacobianInto } from '../../host/physics/kinematics/jacobian.ts';
import { poseDistance } from '../../host/physics/kinematics/pose-distance.ts';
import { crankAngle } from '../../host/rig/legs.ts';
import { type Platform, type Pose, type Vec3, toRad } from '../../host/rig/rig.ts';
import { type Mat3, axisMatrix, rpyOf } from '../../host/rig/rotation.ts';
import { crankPlatform, pointsPlatform } from '../host/physics/platforms.ts';
import dietmaier from './values/dietmaier.json' with { type: 'json' };
import values from './values/parallel-kinematics.json' with { type: 'json' };

const SEED = 1998;
const geometry = dietmaier.published;

/** The Jacobian's rows at a pose, for ml-matrix. */
function jacobian(platform: Platform, pose: Pose): number[][] {
  const lengths = inverse(platform, pose);
  if (!lengths) throw new Error('out of reach');
  const flat = new Float64Array(36);
  expect(jacobianInto(platform, pose, lengths, flat)).toBe(true);
  return [0, 1, 2, 3, 4, 5].map((i) => [...flat.subarray(6 * i, 6 * i + 6)]);
}

const det = (platform: Platform, pose: Pose): number => determinant(new Matrix(jacobian(platform, pose)));

const singularValues = (platform: Platform, pose: Pose): number[] =>
  new SVD(new Matrix(jacobian(platform, pose))).diagonal;

const turned = (at: readonly number[], turn: Mat3): Pose => [at[0]!, at[1]!, at[2]!, ...rpyOf(turn)];

/** A quaternion's rotation, by three. */
function quaternionMatrix([w, x, y, z]: readonly number[]): Mat3 {
  const e = new Matrix4().makeRotationFromQuaternion(new Quaternion(x, y, z, w)).elements;
  return [e[0], e[4], e[8], e[1], e[5], e[9], e[2], e[6], e[10]];
}

describe('a platform of general geometry with 40 real postures (Dietmaier 1998)', () => {
  const platform = pointsPlatform(geometry.base, geometry.moving);
  const postures = dietmaier.derived.poses.map((p, i) => ({
    ...p,
    nr: i + 1,
    pose: turned(p.p, quaternionMatrix(p.q_wxyz)),
  }));

  test.each(postures)('posture $nr gives the six published lengths', ({ pose }) => {
    const lengths = inverse(platform, pose);
    expect(lengths).not.toBeNull();
    geometry.lengths.forEach((length, i) => expect(lengths![i]).toBeCloseTo(length, 12));
  });

  test.each(postures)('posture $nr has the determinant and smallest singular value derived for it', (posture) => {
    expect(det(platform, posture.pose)).toBeCloseTo(posture.det, 10);
    expect(Math.min(...singularValues(platform, posture.pose))).toBeCloseTo(posture.sigma_min, 10);
  });

  // Where sigma_min is small, rounding in the lengths alone moves the pose by more than what is asserted here.
  const regular = postures.filter(({ sigma_min }) => sigma_min > 1e-2);
  const OFF = 1e-3;

  test.each(regular)(`posture $nr is found again from starts up to ${OFF} away (seed ${SEED})`, ({ pose }) => {
    const solver = new ForwardSolver(platform);
    const off = fc.double({ min: -OFF, max: OFF, noNaN: true });
    const anyOffset = fc.tuple(off, off, off, off, off, off);
    fc.assert(
      fc.property(anyOffset, (offset) => {
        const found: MutablePose = [0, 0, 0, 0, 0, 0];
        expect(solver.solve(geometry.lengths, pose.map((v, k) => v + offset[k]!) as MutablePose, found)).toBe(true);
        const { mm, rad } = poseDistance(found, pose);
        expect(mm).toBeLessThan(1e-9);
        expect(rad).toBeLessThan(1e-9);
      }),
      { seed: SEED, numRuns: 20 },
    );
  });

  test('most of the listed postures are regular, so the rule above leaves enough to test', () => {
    expect(regular.length).toBeGreaterThanOrEqual(15);
  });
});

test('Jacobian rows are [u, (R·b)×u] (Lynch & Park, Modern Robotics, ch. 7)', () => {
  const { inputs, derived } = values['pk-jacobian-row'];
  const platform = pointsPlatform(geometry.base, geometry.moving);
  const angle = Math.hypot(...inputs.rotvec);
  const axis = inputs.rotvec.map((v) => v / angle) as [number, number, number];
  const pose = turned(inputs.p, axisMatrix(axis, angle));
  inverse(platform, pose)!.forEach((length, i) => expect(length).toBeCloseTo(derived.lengths[i]!, 12));
  jacobian(platform, pose).forEach((row, i) =>
    row.forEach((value, k) => expect(value).toBeCloseTo(derived.J[i]![k]!, 12)),
  );
});

describe('both roots of a crank leg (trigonometric identity)', () => {
  const { inputs, derived } = values['pk-crank-ik'];
  const cases = inputs.cases_B_betaDeg_r_l_P.map((c, i) => {
    const [base, beta_deg, crank_mm, rod_mm, end] = c as [number[], number, number, number, number[]];
    const leg = [0, 1, 2].map((k) => end[k]! - base[k]!) as unknown as Vec3;
    return { nr: i + 1, leg, azimuth_rad: toRad(beta_deg), crank_mm, rod_mm, roots: derived.roots_rad[i]! };
  });
  test.each(cases)('leg $nr', ({ leg, azimuth_rad, crank_mm, rod_mm, roots }) => {
    const [near, other] = [...roots].sort((a, b) => Math.abs(a) - Math.abs(b));
    const angle = (branch: 'near' | 'other'): number | null =>
      crankAngle(crankPlatform({ crank_mm, rod_mm, branch }), azimuth_rad, leg);
    expect(angle('near')).toBeCloseTo(near!, 12);
    expect(angle('other')).toBeCloseTo(other!, 12);
  });
});

/** Triangles of sides a (moving) and b (base), the moving one turned by 60 degrees; every corner carries two legs. */
function octahedron(a: number, b: number, pivot_mm?: Vec3): Platform {
  const corner = (side: number, deg: number): number[] => {
    const radius = side / Math.sqrt(3);
    return [radius * Math.cos(toRad(deg)), radius * Math.sin(toRad(deg)), 0];
  };
  const base = [0, 120, 120, 240, 240, 360].map((deg) => corner(b, deg));
  const moving = [60, 60, 180, 180, 300, 300].map((deg) => corner(a, deg));
  return pointsPlatform(base, moving, pivot_mm);
}

describe('octahedral platform (Lee, Duffy & Hunt 1998)', () => {
  const { inputs, published, derived } = values['pk-octahedral-det'];
  const cases = inputs['a,b,h'].map((abh, i) => ({ abh, a: abh[0]!, b: abh[1]!, h: abh[2]!, size: derived.det[i]! }));
  test.each(cases)('|det J| for a, b, h = $abh', ({ a, b, h, size }) => {
    const found = Math.abs(det(octahedron(a, b), [0, 0, h, 0, 0, 0]));
    expect(Math.abs(found / size - 1)).toBeLessThan(1e-10);
  });

  test('the largest |det J| is at b = 2a, h = a', () => {
    const at = (b: number, h: number): number => Math.abs(det(octahedron(1, b), [0, 0, h, 0, 0, 0]));
    const best = at(published.best_b_over_a, published.best_h_over_a);
    expect(best).toBeCloseTo(derived.max_det_a1, 12);
    for (const [b, h] of [
      [2.01, 1],
      [1.99, 1],
      [2, 1.01],
      [2, 0.99],
    ] as const)
      expect(at(b, h)).toBeLessThan(best);
  });
});

describe('singular poses', () => {
  test('a semi-regular platform is singular when it yaws by 90 degrees (Fichter 1986)', () => {
    const { inputs, derived } = values['pk-fichter-yaw90'];
    const platform = pointsPlatform(inputs.base, inputs.platform);
    expect(Math.abs(det(platform, [0, 0, inputs.z, 0, 0, 0]))).toBeCloseTo(derived.det_yaw0, 12);
    for (const yaw of [Math.PI / 2, -Math.PI / 2]) {
      expect(Math.abs(det(platform, [0, 0, inputs.z, 0, 0, yaw]))).toBeLessThan(1e-12);
      expect(Math.abs(det(platform, [0.1, -0.2, 0.8, 0, 0, yaw]))).toBeLessThan(1e-12);
    }
  });

  test('a triangle tilted about one side into the plane of the far corner’s legs is singular (Hunt 1978)', () => {
    const { derived } = values['pk-hunt-singularity'];
    // The side opposite the corner at 60 degrees: through its middle, along azimuth -30 degrees, so that a negative tilt
    // lowers that corner.
    const middle: Vec3 = [-Math.cos(toRad(60)) / (2 * Math.sqrt(3)), -Math.sin(toRad(60)) / (2 * Math.sqrt(3)), 0];
    const platform = octahedron(1, 2, middle);
    const along: Vec3 = [Math.cos(toRad(-30)), Math.sin(toRad(-30)), 0];
    const at = (tilt: number): number => Math.abs(det(platform, turned([0, 0, 1], axisMatrix(along, tilt))));
    expect(at(0)).toBeCloseTo(derived.det_at_zero_tilt, 12);
    for (const tilt of derived.tilt_rad) expect(at(tilt)).toBeLessThan(1e-10);
  });

  test(`two similar hexagons on a conic are singular everywhere (Ma & Angeles 1991; seed ${SEED})`, () => {
    const { inputs } = values['pk-architecture-singularity'];
    const platform = pointsPlatform(
      inputs.base_conic,
      inputs.base_conic.map((p) => p.map((v) => v / 2)),
    );
    const some = fc.double({ min: -0.4, max: 0.4, noNaN: true });
    fc.assert(
      fc.property(fc.tuple(some, some, some, some, some, some), ([x, y, z, roll, pitch, yaw]) => {
        const sizes = singularValues(platform, [x, y, 1.2 + z, roll, pitch, yaw]);
        expect(Math.min(...sizes) / Math.max(...sizes)).toBeLessThan(1e-12);
      }),
      { seed: SEED, numRuns: 50 },
    );
  });
});

/**
 * Our rotations against published examples (sources in values/rotations.json) and against two libraries that are not ours.
 * All of ours are active: R·v turns v, R = Rz(yaw)·Ry(pitch)·Rx(roll).
 */
import fc from 'fast-check';
import { glMatrix, mat4 } from 'gl-matrix';
import { Euler, Matrix4, Quaternion } from 'three';
import { describe, expect, test } from 'vitest';
import { poseDistance } from '../../host/physics/kinematics/pose-distance.ts';
import { HOME, type Vec3, toRad } from '../../host/rig/rig.ts';
import { type Mat3, axisMatrix, mulMat, rpyMatrix, rpyOf } from '../../host/rig/rotation.ts';
import values from './values/rotations.json' with { type: 'json' };

const SEED = 8855;

const flat = (rows: readonly (readonly number[])[]): Mat3 => rows.flat() as unknown as Mat3;

function expectClose(found: ArrayLike<number>, wanted: ArrayLike<number>, tolerance: number): void {
  expect(found.length).toBe(wanted.length);
  for (let i = 0; i < wanted.length; i++) expect(Math.abs(found[i]! - wanted[i]!)).toBeLessThanOrEqual(tolerance);
}

/** roll, pitch, yaw in rad from the published order yaw, pitch, roll in degrees. */
const fromYpr = ([yaw, pitch, roll]: readonly number[]): Vec3 => [toRad(roll!), toRad(pitch!), toRad(yaw!)];

describe('published examples', () => {
  test('elementary rotations (IAU SOFA); theirs turn the frame, so ours take the negative angle', () => {
    const { inputs, published } = values['ro-sofa-rx-ry-rz'];
    const m = flat(inputs.M);
    expectClose(mulMat(rpyMatrix([-inputs.angle, 0, 0]), m), flat(published.Rx), 1e-12);
    expectClose(mulMat(rpyMatrix([0, -inputs.angle, 0]), m), flat(published.Ry), 1e-12);
    expectClose(mulMat(rpyMatrix([0, 0, -inputs.angle]), m), flat(published.Rz), 1e-12);
  });

  test('rotation about (1, 2, 3) by its length (Lynch & Park, Modern Robotics, 3.2.3)', () => {
    const { inputs, published } = values['ro-mr-exp3'];
    const angle = Math.hypot(...inputs);
    const axis = inputs.map((v) => v / angle) as [number, number, number];
    expectClose(axisMatrix(axis, angle), flat(published), 5e-9);
  });

  test('30 degrees about (0, 0.866, 0.5) (Lynch & Park, Modern Robotics, example 3.12)', () => {
    const { inputs, published } = values['ro-mr-ex3.12'];
    expectClose(axisMatrix(inputs.axis as [number, number, number], toRad(inputs.deg)), flat(published), 6e-4);
  });

  test('the angle between home and a cyclic permutation of the axes (Lynch & Park, Modern Robotics, 3.2.3)', () => {
    const { inputs, published, derived } = values['ro-mr-log3'];
    const { mm, rad } = poseDistance(HOME, [3, 4, 12, ...rpyOf(flat(inputs))]);
    expect(rad).toBeCloseTo(Math.hypot(published[2]![1]!, published[0]![2]!, published[1]![0]!), 7);
    expect(rad).toBeCloseTo(derived.entry * Math.sqrt(3), 14);
    expect(mm).toBe(13);
  });

  test('roll, then yaw, of 90 degrees is a third of a turn about (1, 1, 1) (Kuipers 1999, chapters 5 and 7)', () => {
    const { inputs, derived } = values['ro-third-of-a-turn'];
    const matrix = rpyMatrix(fromYpr([inputs.yaw_deg, inputs.pitch_deg, inputs.roll_deg]));
    expectClose(matrix, flat(derived.R), 1e-15);
    expectClose(quaternionOf(matrix), derived.q_wxyz, 1e-15);
  });

  test('yaw, pitch, roll of 30, 20, 10 degrees (ISO 8855, Diebel 2006, 5.6)', () => {
    const { inputs, derived } = values['ro-zyx-30-20-10'];
    const matrix = rpyMatrix(fromYpr(inputs.ypr_deg));
    expectClose(matrix, flat(derived.R), 1e-12);
    expectClose(quaternionOf(matrix), derived.q_wxyz, 1e-12);
    expectClose(rpyOf(matrix), fromYpr(inputs.ypr_deg), 1e-12);
  });

  test('at pitch 90 degrees only roll - yaw counts (Diebel 2006, 5.8), and the angles read back give the same rotation', () => {
    const { inputs } = values['ro-gimbal'];
    const matrix = rpyMatrix(fromYpr(inputs.ypr_a));
    expectClose(matrix, rpyMatrix(fromYpr(inputs.ypr_b)), 1e-12);
    expectClose(rpyMatrix(rpyOf(matrix)), matrix, 1e-12);
  });
});

/** w, x, y, z, by three. */
function quaternionOf(m: Mat3): number[] {
  const matrix = new Matrix4().set(m[0], m[1], m[2], 0, m[3], m[4], m[5], 0, m[6], m[7], m[8], 0, 0, 0, 0, 1);
  const q = new Quaternion().setFromRotationMatrix(matrix);
  return [q.w, q.x, q.y, q.z];
}

/** The 3×3 part of a 4×4 column-major matrix, row-major. */
const rowMajor = (e: ArrayLike<number>): number[] => [0, 4, 8, 1, 5, 9, 2, 6, 10].map((k) => e[k]!);

describe(`against libraries, seed ${SEED}`, () => {
  const angle = fc.double({ min: -Math.PI, max: Math.PI, noNaN: true });
  const angles = fc.tuple(angle, angle, angle);

  test('rpyMatrix against three (Euler order ZYX)', () => {
    fc.assert(
      fc.property(angles, ([roll, pitch, yaw]) => {
        const { elements } = new Matrix4().makeRotationFromEuler(new Euler(roll, pitch, yaw, 'ZYX'));
        expectClose(rpyMatrix([roll, pitch, yaw]), rowMajor(elements), 1e-14);
      }),
      { seed: SEED, numRuns: 500 },
    );
  });

  test('rpyMatrix against gl-matrix (rotate about z, then y, then x)', () => {
    glMatrix.setMatrixArrayType(Array);
    fc.assert(
      fc.property(angles, ([roll, pitch, yaw]) => {
        const m = mat4.create();
        mat4.rotateZ(m, m, yaw);
        mat4.rotateY(m, m, pitch);
        mat4.rotateX(m, m, roll);
        expectClose(rpyMatrix([roll, pitch, yaw]), rowMajor(m), 1e-14);
      }),
      { seed: SEED, numRuns: 500 },
    );
  });

  test('the angle between two poses against three’s quaternions', () => {
    fc.assert(
      fc.property(angles, angles, (a, b) => {
        const q = ([roll, pitch, yaw]: Vec3): Quaternion =>
          new Quaternion().setFromEuler(new Euler(roll, pitch, yaw, 'ZYX'));
        const { rad } = poseDistance([0, 0, 0, ...a], [0, 0, 0, ...b]);
        // Theirs is an arc cosine: near 0 it keeps half the digits only.
        expect(Math.abs(rad - q(a).angleTo(q(b)))).toBeLessThan(1e-7);
      }),
      { seed: SEED, numRuns: 500 },
    );
  });

  test('small angles between poses keep their digits', () => {
    for (const tiny of [1e-3, 1e-6, 1e-9, 1e-12]) {
      const { rad } = poseDistance([0, 0, 0, 0.3, 0.2, 0.1], [0, 0, 0, 0.3 + tiny, 0.2, 0.1]);
      expect(Math.abs(rad - tiny)).toBeLessThan(1e-15);
    }
  });
});

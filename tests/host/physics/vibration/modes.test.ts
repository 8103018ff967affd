import { EigenvalueDecomposition, Matrix, inverse as inverseOf } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { inverse } from '../../../../host/physics/kinematics/inverse.ts';
import { jacobianInto } from '../../../../host/physics/kinematics/jacobian.ts';
import { Mechanism } from '../../../../host/physics/dynamics/mechanism.ts';
import { modesAt, solveModes, systemAt } from '../../../../host/physics/vibration/modes.ts';
import { stiffnessOf } from '../../../../host/physics/servo/stiffness.ts';
import {
  HOME,
  type Joint,
  type Part,
  type Platform,
  type Pose,
  type Rig,
  type Vec3,
  toRad,
} from '../../../../host/rig/rig.ts';
import { crankPlatform, linearPlatform, rigOf } from '../platforms.ts';

const part = (on: string, mass_kg: number, at_mm: Vec3, more: Partial<Part> = {}): Part => ({
  name: `${on}-${mass_kg}`,
  on,
  mass_kg,
  at_mm,
  shape: null,
  inertia_kgmm2: [0, 0, 0],
  fitted: true,
  ...more,
});

/** Servos of 8 N·m/rad whose rotors weigh nothing. */
function rigWith(platform: Platform, parts: readonly Part[], ...more: Joint[]): Rig {
  const rig = rigOf(platform, -1, 1);
  const joints = rig.joints.map((joint) => ({
    ...joint,
    servo: { ...joint.servo, stiffness_nm_rad: 8, rotor_inertia_kgm2: 0 },
  }));
  return { ...rig, joints: [...joints, ...more], parts };
}

const nodOf = (rig: Rig, more: Partial<Joint> = {}): Joint => ({
  ...rig.joints[0]!,
  name: 'nod',
  kind: 'axis',
  unit: 'deg',
  gear_ratio: 3,
  gear_efficiency: 0.9,
  axis: { on: null, at_mm: [0, 0, 0], along: [0, -1, 0] },
  ...more,
});

/** On its side, on a nod, with weight off its middle. */
function owl(): Rig {
  const platform = crankPlatform({
    on: 'nod',
    mount: { at_mm: [30, 0, 55], rpy_rad: [0, Math.PI / 2, 0] },
    pivot_mm: [0, 0, 40],
  });
  const plain = rigWith(platform, [
    part('moving', 0.6, [5, 3, 40], { inertia_kgmm2: [900, 800, 1000] }),
    part('nod', 0.9, [60, 0, 40], { inertia_kgmm2: [2000, 1500, 1800] }),
  ]);
  return { ...plain, joints: [...plain.joints, nodOf(plain)] };
}

const POSE: Pose = [1, 2, -3, 0.05, -0.04, 0.08];

describe('against other eigen solvers', () => {
  const rig = owl();
  const q = [...inverse(rig.platform!, POSE)!, 0.3];
  const { M, K } = systemAt(rig, new Mechanism(rig), q, POSE)!;
  const found = solveModes(M, K);

  it('the general one of ml-matrix on M⁻¹·K (Hessenberg and QR): to 1e-6', () => {
    const { realEigenvalues, imaginaryEigenvalues } = new EigenvalueDecomposition(inverseOf(M).mmul(K));
    for (const value of imaginaryEigenvalues) expect(value).toBe(0);
    const wanted = [...realEigenvalues].sort((a, b) => a - b);
    expect(found).toHaveLength(7);
    found.forEach(({ lambda }, k) => expect(Math.abs(lambda / wanted[k]! - 1)).toBeLessThan(1e-6));
  });

  it('counts of negative pivots (Sylvester): so many lie below each, give or take 1e-6', () => {
    const below = (lambda: number): number => {
      const A = Matrix.sub(K, Matrix.mul(M, lambda)).to2DArray();
      let negative = 0;
      for (let j = 0; j < A.length; j++) {
        if (A[j]![j]! < 0) negative++;
        for (let i = j + 1; i < A.length; i++) {
          const f = A[i]![j]! / A[j]![j]!;
          for (let k = j; k < A.length; k++) A[i]![k]! -= f * A[j]![k]!;
        }
      }
      return negative;
    };
    found.forEach(({ lambda }, k) =>
      expect([below(lambda * (1 - 1e-6)), below(lambda * (1 + 1e-6))]).toEqual([k, k + 1]),
    );
  });

  it('shapes solve the equation', () => {
    for (const { lambda, x } of found) {
      const column = Matrix.columnVector([...x]);
      const rest = Matrix.sub(K.mmul(column), M.mmul(column).mul(lambda));
      expect(rest.norm() / K.mmul(column).norm()).toBeLessThan(1e-9);
    }
  });

  it('the stiffness matrix is symmetric by itself: gravity has an energy', () => {
    const mechanism = new Mechanism(rig);
    const height = (a: number, b: number, i: number, j: number): number => {
      const there = [...q];
      there[i]! += a;
      there[j]! += b;
      mechanism.at(there, POSE);
      return mechanism.potential_j();
    };
    // The nod twice: its own second difference of the energy, with the legs at rest.
    const h = 1e-3;
    const second = (height(h, 0, 6, 6) - 2 * height(0, 0, 6, 6) + height(-h, 0, 6, 6)) / (h * h);
    expect(K.get(6, 6) - 9 * 8).toBeCloseTo(second, 6);
  });
});

describe('by hand', () => {
  const plain = rigWith(crankPlatform(), []);
  const alone = (joint: Joint, ...parts: Part[]): Rig => ({ ...plain, platform: null, joints: [joint], parts });
  const hz = (rig: Rig, at = 0): number | null | undefined => modesAt(rig, [at], HOME)?.modes[0]?.hz;

  it('a geared axis: servo stiffness times ratio squared, and gravity’s', () => {
    const head = part('nod', 0.9, [50, 0, 0]);
    // Level, what hangs in front neither helps nor hurts; straight down (-90 deg) it helps with m·g·d.
    const J = 0.9 * 0.05 ** 2;
    expect(hz(alone(nodOf(plain), head))).toBeCloseTo(Math.sqrt((9 * 8) / J) / (2 * Math.PI), 6);
    const helped = 9 * 8 + 0.9 * 9.80665 * 0.05;
    expect(hz(alone(nodOf(plain), head), -Math.PI / 2)).toBeCloseTo(Math.sqrt(helped / J) / (2 * Math.PI), 6);
  });

  it('unknown stiffness: all its torque for 3 degrees, said', () => {
    const servo = { ...plain.joints[0]!.servo, stiffness_nm_rad: null, stall: 1.5 };
    const found = modesAt(alone(nodOf(plain, { servo }), part('nod', 0.9, [50, 0, 0])), [0], HOME)!;
    const stiffness = (1.5 / toRad(3)) * 9;
    expect(found.assumed).toEqual(['nod']);
    expect(found.modes[0]!.hz).toBeCloseTo(Math.sqrt(stiffness / (0.9 * 0.0025)) / (2 * Math.PI), 6);
    expect(found.modes[0]!.mostly).toEqual(['nod']);
  });

  it('a head that its servo cannot hold up: unstable, no number', () => {
    const servo = { ...plain.joints[0]!.servo, stiffness_nm_rad: 0.3 };
    const direct = nodOf(plain, { servo, gear_ratio: 1, gear_efficiency: 1 });
    // 0.3 N·m/rad against 5 kg, 100 mm above the axis: 4.9 N·m/rad.
    const [mode] = modesAt(alone(direct, part('nod', 5, [0, 0, 100])), [0], HOME)!.modes;
    expect(mode).toMatchObject({ hz: null, unstable: true, mostly: ['nod'] });
  });

  it('a level platform with its weight at its pivot: up and down, round about, and the rest in pairs', () => {
    const inertia = [600, 600, 900] as const;
    // Gravity’s share is tiny at 1 g.
    const rig = rigWith(crankPlatform({ pivot_mm: [0, 0, 20] }), [
      part('moving', 0.001, [0, 0, 20], { inertia_kgmm2: [...inertia] }),
    ]);
    const q = inverse(rig.platform!, HOME)!;
    const { modes } = modesAt(rig, q, HOME)!;
    const J = new Float64Array(36);
    jacobianInto(rig.platform!, HOME, q, J);
    const held = (c: number): number => [0, 1, 2, 3, 4, 5].reduce((sum, i) => sum + 8 * J[6 * i + c]! ** 2, 0);
    const z = Math.sqrt((held(2) * 1e6) / 0.001) / (2 * Math.PI);
    const yaw = Math.sqrt(held(5) / 900e-6) / (2 * Math.PI);
    const of = (name: string): number[] => modes.filter(({ mostly }) => mostly[0] === name).map((mode) => mode.hz!);
    expect(of('z')[0]! / z).toBeCloseTo(1, 5);
    expect(of('yaw')[0]! / yaw).toBeCloseTo(1, 3);
    const shaken = modes.find(({ mostly }) => mostly[0] === 'z')!;
    expect(new Set(shaken.shape.map((value) => Math.round(value * 1e6)))).toEqual(new Set([1e6]));
    expect(shaken.plate![2]).toBeGreaterThan(0);
    const rest = modes.filter(({ mostly }) => !['z', 'yaw'].includes(mostly[0]!)).map((mode) => mode.hz!);
    expect(rest).toHaveLength(4);
    expect(rest[1]! / rest[0]!).toBeCloseTo(1, 4);
    expect(rest[3]! / rest[2]!).toBeCloseTo(1, 4);
  });
});

it('gravity shifts the modes of a platform by a few hundredths at most', () => {
  const rig = owl();
  const q = [...inverse(rig.platform!, POSE)!, 0.3];
  const { M, K } = systemAt(rig, new Mechanism(rig), q, POSE)!;
  const without = Matrix.diag([8, 8, 8, 8, 8, 8, 72]);
  const found = solveModes(M, K);
  solveModes(M, without).forEach(({ lambda }, k) => {
    expect(Math.abs(Math.sqrt(found[k]!.lambda / lambda) - 1)).toBeLessThan(0.05);
  });
});

it('actuators: N/mm, assumed; joints of unknown servos are taken as rigid, and said', () => {
  const platform = linearPlatform();
  const rig = rigOf(platform, 135, 195);
  const linear = {
    ...rig.joints[0]!.servo,
    drive: 'linear',
    stall: 60,
    stiffness_nm_rad: null,
    friction_nm: null,
    rotor_inertia_kgm2: 0,
  } as const;
  const legs = rig.joints.map((joint) => ({ ...joint, servo: linear }));
  const loose = { ...nodOf(rig), servo: { ...rig.joints[0]!.servo, stall: null } };
  const found = modesAt(
    { ...rig, joints: [...legs, loose], parts: [part('moving', 0.8, [0, 0, 10], { inertia_kgmm2: [900, 900, 900] })] },
    [...inverse(platform, HOME)!, 0],
    HOME,
  )!;
  expect(stiffnessOf(legs[0]!)).toEqual({ stiffness: 60, assumed: true });
  expect(found.rigid).toEqual(['nod']);
  expect(found.assumed).toHaveLength(6);
  expect(found.modes).toHaveLength(6);
  for (const { hz, mostly } of found.modes) {
    expect(hz).toBeGreaterThan(5);
    expect(mostly.length).toBeGreaterThan(0);
  }
});

it('a point on the plate, and rotors without inertia: three ways to shake, as fast as with a little inertia', () => {
  const at: Vec3 = [5, 3, 40];
  const rig = rigWith(crankPlatform(), [part('moving', 0.6, at)]);
  const near = rigWith(crankPlatform(), [part('moving', 0.6, at, { inertia_kgmm2: [1e-3, 1e-3, 1e-3] })]);
  const q = inverse(rig.platform!, HOME)!;
  const found = modesAt(rig, q, HOME)!.modes;
  const wanted = modesAt(near, q, HOME)!.modes;
  expect(found).toHaveLength(3);
  found.forEach(({ hz }, k) => expect(hz! / wanted[k]!.hz!).toBeCloseTo(1, 5));
});

it('a singular place has no modes', () => {
  const legs = crankPlatform().legs.map((leg) => ({
    ...leg,
    base_mm: [leg.moving_mm[0] * 1.5, leg.moving_mm[1] * 1.5, 0] as Vec3,
  }));
  const platform = linearPlatform({ legs });
  expect(modesAt(rigOf(platform, 0, 300), inverse(platform, HOME)!, HOME)).toBeNull();
});

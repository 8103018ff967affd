/**
 * The rig's physics against MuJoCo (E. Todorov, T. Erez, Y. Tassa, "MuJoCo: A physics engine for model-based control", IROS 2012;
 * npm package mujoco-js), an independent rigid-body engine: the two share the rig file's figures and nothing else.
 */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { EigenvalueDecomposition, Matrix, inverse as inverted } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { whatStops, inverse } from '../../host/physics/kinematics/inverse.ts';
import { Mechanism } from '../../host/physics/dynamics/mechanism.ts';
import { modesAt } from '../../host/physics/vibration/modes.ts';
import { available } from '../../host/physics/servo/servo-line.ts';
import { stiffnessOf } from '../../host/physics/servo/stiffness.ts';
import { type Joint, type Pose, type Rig, HOME, toRad } from '../../host/rig/rig.ts';
import { eachOf, planLimits, posturesOf } from '../../host/tune/plan.ts';
import { KINDS, LEGS, OWL, edit, rigOf } from '../host/why/rigs.ts';
import { Engine } from './engine/engine.ts';

/** Beside a largest figure of the same kind; the engine's shell of an ellipsoid is approximate, 2e-4 (its documentation). */
const CLOSE = 1e-5;
const SHELL = 3e-4;

const solid = (text: string): string => text.replaceAll('ellipsoid_shell', 'ellipsoid');
const HEAVY_RODS = { rod_kg: 0.03, crank_kg: 0.02 };
const weighing = (text: string): Rig => {
  const rig = rigOf(text);
  return { ...rig, platform: rig.platform && { ...rig.platform, ...HEAVY_RODS } };
};
const plain = (text: string): Rig => {
  const rig = rigOf(text);
  return rig.platform?.drive === 'crank'
    ? { ...rig, platform: { ...rig.platform, rod_kg: null, crank_kg: null } }
    : rig;
};

const RIGS: Readonly<Record<string, readonly [Rig, close: number]>> = {
  'the demo': [plain(OWL), SHELL],
  'the demo with a solid shell': [plain(solid(OWL)), CLOSE],
  'the demo with rods and cranks that weigh': [weighing(solid(OWL)), CLOSE],
  'legs on the ground': [plain(solid(LEGS)), CLOSE],
  'upside down': [plain(solid(KINDS['upside down']!)), CLOSE],
  'on its side, rods and cranks that weigh': [weighing(solid(KINDS['on its side']!)), CLOSE],
  'a linear drive': [plain(solid(KINDS['a linear drive']!)), CLOSE],
  'a tilt axis alone': [plain(solid(KINDS['joints only']!)), CLOSE],
  'no shape and no rotor': [
    plain(solid(edit(LEGS, [/, shape: \{[^\n]*\} \}/g, ' }'], [/ {4}rotor_inertia_kgm2: \{ value: 2[^\n]*\n/, '']))),
    CLOSE,
  ],
};

interface Place {
  readonly pose: Pose;
  /** By joint of the rig. */
  readonly q: number[];
}

/** Seeded places within reach and soft limits. */
function placesOf(rig: Rig, count: number, seed: number): Place[] {
  const random = xoroshiro128plus(seed);
  const between = (lo: number, hi: number): number => lo + (hi - lo) * uniformFloat64(random);
  const found: Place[] = [];
  for (let tries = 0; found.length < count && tries < 5000; tries++) {
    const turn = (deg: number): number => toRad(between(-deg, deg));
    const pose: Pose = rig.platform
      ? [between(-6, 6), between(-6, 6), between(-6, 6), turn(9), turn(9), turn(6)]
      : HOME;
    if (rig.platform && whatStops(rig, pose)) continue;
    const legs = rig.platform ? Array.from(inverse(rig.platform, pose)!) : [];
    const others = rig.joints.slice(legs.length).map(({ axis, lo, hi, home }) => (axis ? between(lo, hi) : home));
    found.push({ pose, q: [...legs, ...others] });
  }
  expect(found).toHaveLength(count);
  return found;
}

/** The largest difference, as a share of the largest figure. */
function apart(ours: readonly number[], theirs: readonly number[]): number {
  expect(theirs).toHaveLength(ours.length);
  const size = Math.max(...theirs.map(Math.abs));
  return Math.max(...ours.map((value, k) => Math.abs(value - theirs[k]!))) / size;
}

describe.each(Object.entries(RIGS))('%s', (_, [rig, close]) => {
  const engine = new Engine(rig);
  const mechanism = new Mechanism(rig);
  const actuated = rig.joints.flatMap(({ name }, i) => (engine.names.includes(name) ? [i] : []));
  const pick = (values: ArrayLike<number>): number[] => actuated.map((i) => values[i]!);
  const n = rig.joints.length;

  it('stands where inverse kinematics puts it', () => {
    for (const { pose, q } of placesOf(rig, 6, 1)) {
      const stood = engine.at(pick(q));
      stood?.forEach((value, k) => {
        expect(Math.abs(value - pose[k]!)).toBeLessThan(1e-9);
      });
    }
  });

  it('holds with the same efforts', () => {
    for (const { pose, q } of placesOf(rig, 6, 2)) {
      expect(mechanism.at(q, pose)).toBe(true);
      expect(apart(pick(mechanism.gravity), engine.hold(pick(q)))).toBeLessThan(close);
    }
  });

  it('has the same mass matrix', () => {
    for (const { pose, q } of placesOf(rig, 4, 3)) {
      mechanism.at(q, pose);
      const ours = actuated.flatMap((i) =>
        actuated.map((j) => mechanism.mass[n * i + j]! * (rig.joints[j]!.unit === 'mm' ? 1000 : 1)),
      );
      expect(apart(ours, engine.mass(pick(q)).to1DArray())).toBeLessThan(close);
    }
  });

  it('moves with the same efforts, centrifugal terms and gravity included', () => {
    const random = xoroshiro128plus(4);
    const either = (size: number): number => size * (2 * uniformFloat64(random) - 1);
    const efforts = new Float64Array(n);
    for (const { pose, q } of placesOf(rig, 4, 4)) {
      mechanism.at(q, pose);
      const rates = rig.joints.map(({ speed }, i) => (actuated.includes(i) ? either(speed) : 0));
      const changes = rig.joints.map(({ plus }, i) => (actuated.includes(i) ? either(plus) : 0));
      mechanism.efforts(rates, changes, efforts);
      expect(apart(pick(efforts), engine.efforts(pick(q), pick(rates), pick(changes)))).toBeLessThan(close);
    }
  });

  it('swings at the same natural frequencies, with the stiffness that gravity adds', () => {
    for (const { pose, q } of placesOf(rig, 2, 5)) {
      const u = pick(q);
      const step = (k: number, sign: number): number[] =>
        engine.hold(u.map((value, i) => (i === k ? value + sign * stepOf(rig, actuated[k]!) : value)));
      const stiffness = Matrix.zeros(u.length, u.length);
      actuated.forEach((i, k) => {
        const si = rig.joints[i]!.unit === 'mm' ? 1e-3 : 1;
        const [up, down] = [step(k, 1), step(k, -1)];
        up.forEach((value, row) => stiffness.set(row, k, (value - down[row]!) / (2 * stepOf(rig, i) * si)));
        stiffness.set(k, k, stiffness.get(k, k) + stiffnessOf(rig.joints[i]!)!.stiffness / si);
      });
      const squares = new EigenvalueDecomposition(inverted(engine.mass(u)).mmul(stiffness)).realEigenvalues;
      const theirs = squares.map((square) => Math.sqrt(square) / (2 * Math.PI));
      const ours = modesAt(rig, q, pose)!.modes.map(({ hz }) => hz!);
      for (const hz of theirs)
        expect(Math.min(...ours.map((value) => Math.abs(value / hz - 1)))).toBeLessThan(Math.max(close, 5e-5));
    }
  });
});

/** A step for central differences, rad or mm. */
const stepOf = (rig: Rig, i: number): number => (rig.joints[i]!.unit === 'mm' ? 1e-2 : 1e-4);

describe('a full-range move with tuned limits, in the engine', () => {
  const STEP_S = 1e-4;

  /** The most that the nod's servo is asked for, as a share of what it has at that speed, from one soft limit to the other and back. */
  function mostUsed(
    rig: Rig,
    limits: Pick<Joint, 'speed' | 'plus' | 'minus' | 'plus_gone' | 'minus_gone'>,
  ): { use: number; reached: number } {
    const i = rig.joints.findIndex(({ name }) => name === 'nod');
    const joint = rig.joints[i]!;
    const engine = new Engine(rig, true);
    let [use, q, v] = [0, joint.lo, 0];
    for (const to of [joint.hi, joint.lo]) {
      const sign = Math.sign(to - q);
      const { plus, minus, plus_gone, minus_gone } = limits;
      const [push, brake, gone] = sign > 0 ? [plus, minus, plus_gone] : [minus, plus, minus_gone];
      // From one limit to the other as quickly as the limits let it: push, keep the speed, brake.
      while ((to - q) * sign > 1e-4) {
        const away = Math.abs(to - q);
        const braking = (v * v) / (2 * brake) >= away;
        const a = braking ? -brake : v * sign < limits.speed ? push * Math.max(0, 1 - (v * sign) / gone) : 0;
        if (braking && v * sign <= 0) break;
        const effort = engine.efforts([q], [v], [a * sign])[0]!;
        const avail = available(joint, v, effort < 0 ? -1 : 1)!;
        use = Math.max(use, Math.abs(effort) / avail);
        v += a * sign * STEP_S;
        q += v * STEP_S;
      }
      v = 0;
    }
    return { use, reached: q };
  }

  it('asks the demo’s nod for no more than peak_use; the limits in the file ask for more torque than there is', () => {
    const rig = rigOf(OWL);
    const nod = rig.joints.find(({ name }) => name === 'nod')!;
    const plan = planLimits(rig, posturesOf(rig, null), false).find(({ name }) => name === 'nod')!;
    // Limits are in degrees, as a rig file has them.
    const tuned = mostUsed(rig, eachOf(plan.limits, toRad));
    expect(tuned.use).toBeLessThan(nod.servo.peak_use * 1.01);
    expect(tuned.use).toBeGreaterThan(nod.servo.peak_use * 0.75);
    expect(mostUsed(rig, nod).use).toBeGreaterThan(1);
  });
});

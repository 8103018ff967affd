/**
 * The plant of a whole prop against another integrator: the demo's ten joints as twenty first-order equations, with weight and mass
 * matrix taken anew wherever the integrator looks.
 */
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { ForwardSolver, type MutablePose } from '../../../../host/physics/kinematics/forward.ts';
import { Mechanism } from '../../../../host/physics/dynamics/mechanism.ts';
import { plantServo, springOf } from '../../../../host/physics/plant/servo.ts';
import { Plant } from '../../../../host/physics/plant/plant.ts';
import { available } from '../../../../host/physics/servo/servo-line.ts';
import { HOME, type Rig, toDeg } from '../../../../host/rig/rig.ts';
import { integrate } from '../../odex.ts';
import { rigFrom } from '../sick.ts';

const FRAME_S = 0.02;
const text = readFileSync(new URL('../../../../host/demo/night-owl.yaml', import.meta.url), 'utf8');
const shipped = rigFrom(text);
/** Smooth: no dead band, no play, no dry friction. */
const rig: Rig = {
  ...shipped,
  joints: shipped.joints.map((joint) => ({
    ...joint,
    servo: { ...joint.servo, deadband_us: 0, friction_nm: 0 },
    gear_play_rad: 0,
  })),
};
const n = rig.joints.length;
const homes = rig.joints.map(({ home }) => home);

/** A swing that all joints take part in. */
const commands = (frame: number): number[] =>
  rig.joints.map(
    ({ home, lo, hi }, i) =>
      home +
      0.06 * (hi - lo) * (1 - Math.cos(2 * Math.PI * 1.5 * frame * FRAME_S + i / 9)) -
      0.06 * (hi - lo) * (1 - Math.cos(i / 9)),
  );

class Prop {
  private readonly mechanism = new Mechanism(rig);
  private readonly solver = new ForwardSolver(rig.platform!);
  private readonly pose: MutablePose = [...HOME];
  private readonly servos;

  constructor() {
    this.mechanism.at(homes, HOME);
    const { mass } = this.mechanism;
    this.servos = rig.joints.map((joint, i) => plantServo(joint, mass[n * i + i]!)!);
  }

  /** d/dt of places and rates while commands ramp: from so much, at such rates, since from_s. */
  slope(from: readonly number[], rates: readonly number[], from_s: number, x: number, y: readonly number[]): number[] {
    const [q, v] = [y.slice(0, n), y.slice(n)];
    if (!this.solver.solve(q, this.pose, this.pose)) throw new Error('no pose');
    this.mechanism.at(q, this.pose);
    const efforts = rig.joints.map((joint, i) => {
      const command = from[i]! + rates[i]! * (x - from_s);
      const servo = this.servos[i]!;
      const asked = springOf(servo, command - q[i]!) + servo.damping * (rates[i]! - v[i]!);
      const most = available(joint, v[i]!, asked < 0 ? -1 : 1)!;
      return Math.max(-most, Math.min(most, asked));
    });
    const out = new Float64Array(n);
    this.mechanism.accelerations(v, efforts, out);
    return [...v, ...out];
  }
}

test('ten joints at once stand where odex has them, within 0.001 deg, and half as far off at half the step', () => {
  const frames = 12;
  const begin = new Plant(rig);
  begin.start(homes);
  let y = [...begin.joints.map(({ position }) => position), ...homes.map(() => 0)];
  const prop = new Prop();
  for (let k = 1; k <= frames; k++) {
    const from = k === 1 ? homes : commands(k - 1);
    const rates = commands(k).map((to, i) => (to - from[i]!) / FRAME_S);
    const from_s = (k - 1) * FRAME_S;
    y = integrate((x, at) => prop.slope(from, rates, from_s, x, at), from_s, y, k * FRAME_S, 1e-8);
  }
  const errors = (step_s: number): number[] => {
    const plant = new Plant(rig, { step_s, refresh_s: step_s });
    plant.start(homes);
    for (let k = 1; k <= frames; k++) plant.frame(commands(k), FRAME_S);
    return plant.joints.map(({ position }, i) => Math.abs(toDeg(position - y[i]!)));
  };
  const [coarse, fine] = [errors(0.25e-3), errors(0.125e-3)];
  expect(Math.max(...y.slice(0, n).map((at, i) => Math.abs(toDeg(at - homes[i]!))))).toBeGreaterThan(5);
  coarse.forEach((error, i) => {
    expect(error, rig.joints[i]!.name).toBeLessThan(0.001);
    expect(error / fine[i]!, rig.joints[i]!.name).toBeGreaterThan(1.7);
    expect(error / fine[i]!, rig.joints[i]!.name).toBeLessThan(2.3);
  });
});

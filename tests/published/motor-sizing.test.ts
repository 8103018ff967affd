/**
 * Choosing a servo by the rules of motor sizing: torque to accelerate J·α, at the speed reached by then within the torque-speed
 * line, and the root of the mean square √(Σ T²t / Σt) against what the motor may give for long (Celera Motion, TN-2003 Motor
 * Sizing 101; Oriental Motor, Motor Sizing Basics part 3: acceleration torque and RMS torque). The move is a trapezoid in thirds,
 * by plain kinematics: top speed 1.5·θ/t, acceleration 4.5·θ/t².
 */
import { expect, it } from 'vitest';
import { sizing } from '../../host/load/sizing/sizing.ts';
import { toRad } from '../../host/rig/rig.ts';
import { TILT, rigFrom, streamOf } from '../host/load/rigs.ts';

/** 40 deg in 0.6 s, then as long at rest, there and back; the load's inertia alone counts, its weight is balanced. */
const [TURN_DEG, MOVE_S] = [40, 0.6];
const [J, RATIO, EFFICIENCY] = [4e-3, 3, 0.9];

function thirds(t_s: number): number {
  const u = Math.min(1, Math.max(0, t_s / MOVE_S));
  if (u < 1 / 3) return 2.25 * u * u;
  return u < 2 / 3 ? 1.5 * u - 0.25 : 1 - 2.25 * (1 - u) ** 2;
}

const rig = rigFrom(
  TILT,
  [
    'mass_kg: 0.9, at_mm: [50, 0, 0], inertia_kgmm2: [600, 600, 600]',
    `mass_kg: 0.9, at_mm: [0, 0, 0], inertia_kgmm2: [0, ${J * 1e6}, 0]`,
  ],
  ['rotor_inertia_kgm2: 2.0e-4', 'rotor_inertia_kgm2: 0'],
);
const stream = streamOf(rig, 2.4, (t) => ({
  joints: [TURN_DEG * (thirds(t - 0.3) - thirds(t - 1.5)) - 20],
}));

it('peak torque, its share at the speed reached, root mean square: by hand', () => {
  const [alpha, omega] = [(4.5 * toRad(TURN_DEG)) / MOVE_S ** 2, (1.5 * toRad(TURN_DEG)) / MOVE_S];
  // At the servo.
  const torque = (J * alpha) / (RATIO * EFFICIENCY);
  const speed = omega * RATIO;
  const [stall, noLoad] = [1.5, toRad(360)];
  // A third lasts 40 ticks of 5 ms: at the last one before the corner it still accelerates in full.
  const use = torque / (stall * (1 - (speed * (1 - 1 / 40)) / noLoad));
  // Two moves of two thirds accelerating or braking, in 2.4 s.
  const average = torque * Math.sqrt((2 * (2 / 3) * MOVE_S) / 2.4);
  const { groups } = sizing(rig, {
    stream: { name: 'thirds', stored: stream },
    offers: [{ servo: rig.joints[0]!.servo, price: null }],
    arm_mm: 100,
  });
  const [verdict] = groups[0]!.classes;
  expect(verdict!.use! / use).toBeCloseTo(1, 3);
  // At each corner a tick has half of it.
  expect(Math.abs((verdict!.heat! * 0.5 * stall) / average - 1)).toBeLessThan(0.015);
});

it('a servo of just the torque that is named is enough, of 3 % less is not', () => {
  const weak = { ...rig.joints[0]!.servo, stall: 0.02 };
  const all = { ...rig, joints: rig.joints.map((joint, i) => (i === 0 ? { ...joint, servo: weak } : joint)) };
  const ask = (stall: number) =>
    sizing(all, {
      stream: { name: 'thirds', stored: stream },
      offers: [{ servo: { ...weak, stall }, price: null }],
      arm_mm: 100,
    }).groups[0]!;
  const { needs } = ask(0.02);
  expect(needs).not.toBeNull();
  expect([ask(needs! * 1.0001).classes[0]!.enough, ask(needs! * 0.97).classes[0]!.enough]).toEqual([true, false]);
});

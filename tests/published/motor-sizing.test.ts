/**
 * Choosing a servo by the rules of motor sizing: torque to accelerate J·α, at the speed reached by then within the torque-speed
 * line, and the root of the mean square √(Σ T²t / Σt) against what the motor may give for long (Celera Motion, TN-2003 Motor
 * Sizing 101; Oriental Motor, Motor Sizing Basics part 3: acceleration torque and RMS torque). The move is a trapezoid in thirds,
 * by plain kinematics: top speed 1.5·θ/t, acceleration 4.5·θ/t².
 */
import { expect, it } from 'vitest';
import { sizing } from '../../host/load/sizing/sizing.ts';
import { toRad } from '../../host/rig/rig.ts';
import { LIFT, TILT, rigFrom, streamOf } from '../host/load/rigs.ts';

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

/**
 * Statics by virtual work: under a weight W in the middle all six legs of a symmetric platform do the same. Six actuators of length
 * L at a height h share it along themselves, W·L / (6·h); six level cranks of length a move their rod ends straight up or down as far
 * as the plate goes, so that each holds W·a / 6 whatever the rods.
 */
const heldBy = (text: string, ...changes: readonly (readonly [string, string])[]): number => {
  const level = rigFrom(text, ...changes);
  const { servo } = level.joints[0]!;
  const { groups } = sizing(level, { stream: null, offers: [{ servo, price: null }], arm_mm: 100 });
  const [legs] = groups;
  expect([legs!.name, legs!.joints.length]).toEqual(['legs', 6]);
  return legs!.classes[0]!.heat! * servo.continuous_use * servo.stall!;
};

it('six actuators under a weight share it by their slope', () => {
  const [height, weight] = [150, 3 * 9.80665];
  const at = (radius: number, deg: number): readonly [number, number] => [
    radius * Math.cos(toRad(deg)),
    radius * Math.sin(toRad(deg)),
  ];
  const [base, plate] = [at(90, 14), at(60, 46)];
  const length = Math.hypot(base[0] - plate[0], base[1] - plate[1], height);
  expect(heldBy(LIFT)).toBeCloseTo((weight * length) / (6 * height), 6);
});

it('six level cranks under a weight hold a sixth of it each, at their length', () => {
  const cranks: readonly (readonly [string, string])[] = [
    ['drive: linear', 'drive: crank'],
    ['stroke_mm: [130, 200]', 'crank_mm: 25\n  rod_mm: 140\n  crank_azimuth_deg: outward'],
    ['home_z_mm: 150', 'home_z_mm: level'],
    ['limit_mm: [150, 170]', 'limit_deg: [-40, 40]'],
    ['force_n: 60, speed_mm_s: 40', 'stall_torque_nm: 1.2, no_load_speed_deg_s: 300'],
    ['us_per_mm: 14', 'us_per_deg: 10'],
    ['speed_mm_s: 15, accel_mm_s2: 100', 'speed_deg_s: 60, accel_deg_s2: 500'],
  ];
  expect(heldBy(LIFT, ...cranks)).toBeCloseTo((3 * 9.80665 * 0.025) / 6, 6);
});

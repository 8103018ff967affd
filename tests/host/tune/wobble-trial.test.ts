/** A wobble cure on simulated metal: what is left after the worst look, without the cure and with it. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../host/rig/rig.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { swingAfter, worstDistance } from '../../../host/tune/swing-moves.ts';
import { type Tried, leftWords, tryWobble } from '../../../host/tune/wobble-trial.ts';
import { WASM } from '../../assembly/prop.ts';
import { rigIn } from './axes.ts';

const target = simTarget({ wasm: WASM });
/** A sideways arm: no weight to hang by. */
const ARM = `rig: arm
servos:
  s: { stall_torque_nm: 2, no_load_speed_deg_s: 400, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400], rotor_inertia_kgm2: 2.0e-5 }
parts:
  - { name: lamp, on: sway, mass_kg: 0.3, at_mm: [120, 0, 0] }
joints:
  sway: { servo: s, axis: { at_mm: [0, 0, 0], along: [0, 0, 1] }, limit_deg: [-60, 60], speed_deg_s: 90, accel_deg_s2: 400 }
motion: { tick_hz: 200 }
rest: on_stop
`;
const arm = rigIn(ARM);

async function tried(rig: Rig, cure: 'exact' | 'tolerant' | 'broad', hz: number, damping = 0.02): Promise<Tried> {
  const found = await tryWobble(rig, { cure, hz, damping }, target);
  if ('untried' in found) expect.fail(found.untried);
  return found;
}

describe('how far it swings on after a move', () => {
  const bounds = { speed: 2, accel: 5, gone: Infinity, brake: 8 };
  const fading = { ...bounds, gone: 2.5 };

  it.each([
    [0.4, 3, bounds],
    [1.5, 2, bounds],
    [0.1, 0.7, bounds],
    [0.4, 3, fading],
    [2.5, 2, fading],
  ] as const)('%s at %s Hz is that of an oscillator integrated step by step', (distance, hz, phases) => {
    const w = 2 * Math.PI * hz;
    const h = 2e-6;
    let [z, v, x, speed, braking] = [0, 0, 0, 0, false];
    // Speeds up, as its limits let it, until what is left is its braking distance.
    while (!braking || speed > 0) {
      braking ||= distance - x <= (speed * speed) / (2 * phases.brake);
      const faster = Math.min(phases.accel * (1 - speed / phases.gone), (phases.speed - speed) / h);
      const a = braking ? -phases.brake : faster;
      speed += a * h;
      x += speed * h;
      v += (-a - w * w * z) * h;
      z += v * h;
    }
    expect(swingAfter(distance, phases, hz)).toBeCloseTo(Math.hypot(z, v / w), 4);
  });

  it('is worst where no other distance is worse', () => {
    const worst = worstDistance(1.5, bounds, 2);
    for (let k = 1; k <= 60; k++)
      expect(swingAfter((1.5 * k) / 60, bounds, 2)).toBeLessThan(swingAfter(worst, bounds, 2) * 1.01);
  });
});

describe('an arm that swings sideways', () => {
  it('goes on by degrees without a cure, as the oscillator says', async () => {
    const { trial, traces } = await tried(arm, 'exact', 3);
    const { speed, plus, minus } = arm.joints[0]!;
    const bounds = { speed, accel: plus, gone: Infinity, brake: minus };
    const expected = (swingAfter(worstDistance(Math.PI / 3, bounds, 3), bounds, 3) * 180) / Math.PI;
    expect(trial).toMatchObject({ joint: 'sway', unit: 'deg', moves: 2 });
    // The plant dies away a little before it is looked at, and takes its command frame by frame.
    expect(trial.before / expected).toBeGreaterThan(0.8);
    expect(trial.before / expected).toBeLessThan(1.05);
    expect(Math.max(...traces.before.hi.filter(Number.isFinite))).toBeGreaterThan(0.8 * trial.before);
  });

  it.each(['exact', 'tolerant'] as const)('%s at the measured frequency leaves less than a twentieth', async (cure) => {
    const { trial } = await tried(arm, cure, 3);
    expect(trial.after).toBeLessThan(0.05 * trial.before);
    expect(trial.before).toBeGreaterThan(1);
  });

  it('says both with their unit, and the share', async () => {
    const found = await tried(arm, 'tolerant', 3);
    const { before, after } = found.trial;
    expect(leftWords(found)).toBe(
      `in a simulation made soft enough to swing at that frequency, sway keeps swinging by ±${before.toFixed(2)} deg after the worst of 2 moves, ${found.trial.move}; with the cure by ±${after.toFixed(2)} deg, ${((100 * after) / before).toFixed(0)} % of that`,
    );
  });
});

it('the demo’s owl, its platform and the nod that carries it', async () => {
  const owl = rigIn(readFileSync('host/demo/night-owl.yaml', 'utf8'));
  const { trial } = await tried(owl, 'tolerant', 3.2, 0.03);
  expect(trial).toMatchObject({ joint: 'nod', moves: 8 });
  expect(trial.before).toBeGreaterThan(1);
  expect(trial.after).toBeLessThan(0.05 * trial.before);
}, 60_000);

describe('what cannot be tried is words', () => {
  it.each([
    [
      'nothing that weighs',
      ARM.replace('mass_kg: 0.3', 'mass_kg: unknown').replace('rotor_inertia_kgm2: 2.0e-5', 'rotor_inertia_kgm2: 0'),
      3,
      /unknown/,
    ],
    ['a servo of unknown torque', ARM.replace('stall_torque_nm: 2', 'stall_torque_nm: unknown'), 3, /unknown/],
  ])('%s', async (_, text, hz, words) => {
    const found = await tryWobble(rigIn(text), { cure: 'exact', hz, damping: 0.02 }, target);
    expect(found).toEqual({ untried: expect.stringMatching(words) });
    expect(leftWords(found)).toMatch(/^the cure could not be tried in simulation: /);
  });
});

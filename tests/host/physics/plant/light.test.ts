/**
 * What is light on strong servos: small heads, points, light rotors, down to a mass matrix that is singular. No real prop falls for
 * being light, so the plant must not either; it is held against itself at a quarter of the step.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { behind } from '../../../../host/physics/plant/joint.ts';
import { Plant, REFRESH_S, STEP_S } from '../../../../host/physics/plant/plant.ts';
import { type Rig, toDeg } from '../../../../host/rig/rig.ts';
import { sickRig, rigFrom, SICK } from '../sick.ts';

const SEED = 20261128;
const FRAME_S = 0.02;
const STORK = readFileSync(new URL('../../../data/stork.yaml', import.meta.url), 'utf8');

/** The stork with a head that turns so hard, kg·mm², and rotors of so many kg·m² in its strong servos. */
const stork = (mass_kg: number, inertia_kgmm2: number, rotor_kgm2: number): Rig =>
  rigFrom(
    STORK.replace(
      'mass_kg: 0.9, at_mm: [40, 0, 60]',
      `mass_kg: ${mass_kg}, at_mm: [40, 0, 60], inertia_kgmm2: [${[1, 1, 1].map(() => inertia_kgmm2).join(', ')}]`,
    ).replace('stall_torque_kgcm: 21,', `stall_torque_kgcm: 21, rotor_inertia_kgm2: ${rotor_kgm2},`),
  );

/** A small generator of numbers from 0 to 1 (mulberry32, by T. Ettinger, public domain, from memory). */
function random(seed: number): () => number {
  let a = seed;
  return () => {
    a = (a + 0x6d2b79f5) | 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

interface Seen {
  readonly fallen: string | null;
  readonly lost: string | null;
  readonly saturated_s: number;
  readonly most_deg: number;
  readonly end_deg: readonly number[];
}

/** Legs and neck swing by a share of their ranges, the whole way a joint's own. */
function played(rig: Rig, share: number, hz: number, finer: number): Seen {
  const plant = new Plant(rig, { step_s: STEP_S / finer, refresh_s: REFRESH_S / finer });
  plant.start(rig.joints.map(({ home }) => home));
  let most_deg = 0;
  for (let k = 1; k <= 10 && plant.pose; k++) {
    const to = rig.joints.map(
      ({ home, lo, hi }, i) =>
        home + share * (hi - lo) * 0.5 * (1 - Math.cos(2 * Math.PI * hz * k * FRAME_S)) * (i === 6 ? 0.3 : 1),
    );
    plant.frame(to, FRAME_S, () => {
      for (const joint of plant.joints) most_deg = Math.max(most_deg, Math.abs(behind(joint)));
    });
  }
  return {
    fallen: plant.fallen,
    lost: plant.lost,
    saturated_s: Math.max(...plant.joints.map(({ saturated_s }) => saturated_s)),
    most_deg,
    end_deg: plant.joints.map(({ position }) => toDeg(position)),
  };
}

test(`forty light props do the same at a quarter of the step (seed ${SEED})`, () => {
  const next = random(SEED);
  let short = 0;
  for (let n = 0; n < 40; n++) {
    const [mass_kg, small] = [0.2 + 0.8 * next(), next()];
    // Of a ball, from none to 80 mm of radius; rotors from none to likely ones.
    const radius_mm = small < 0.2 ? 0 : 80 * small;
    const rotor = next() < 0.3 ? 0 : 10 ** (-6 + 3.5 * next());
    const rig = stork(mass_kg, 0.4 * mass_kg * radius_mm ** 2, rotor);
    const [share, hz] = [0.1 + 0.3 * next(), 1 + 3 * next()];
    const [coarse, fine] = [played(rig, share, hz, 1), played(rig, share, hz, 4)];
    const words = `variant ${n}: ${mass_kg.toFixed(2)} kg, ${radius_mm.toFixed(0)} mm, rotor ${rotor.toExponential(1)}, ${share.toFixed(2)} at ${hz.toFixed(1)} Hz`;
    expect([coarse.fallen, coarse.lost], words).toEqual([fine.fallen, fine.lost]);
    expect(Math.abs(coarse.saturated_s - fine.saturated_s), words).toBeLessThan(0.004 + 0.05 * fine.saturated_s);
    expect(Math.abs(coarse.most_deg - fine.most_deg), words).toBeLessThan(0.02 + 0.05 * fine.most_deg);
    coarse.end_deg.forEach((deg, i) => expect(Math.abs(deg - fine.end_deg[i]!), words).toBeLessThan(0.15));
    if (fine.saturated_s > 0) short++;
  }
  // Some of them do run out of torque: what is compared is not all zeros.
  expect(short).toBeGreaterThan(5);
}, 60_000);

describe('a point of a head on servos without rotors: the mass matrix is singular', () => {
  const rig = stork(0.9, 0, 0);

  test.each([10, 5, 1, 0.25])('stands still on steps of %f ms', (step_ms) => {
    const plant = new Plant(rig, { step_s: step_ms / 1000, refresh_s: step_ms / 1000 });
    const homes = rig.joints.map(({ home }) => home);
    plant.start(homes);
    const began = plant.joints.map(({ position }) => position);
    for (let k = 0; k < 50; k++) plant.frame(homes, FRAME_S);
    expect([plant.fallen, plant.lost]).toEqual([null, null]);
    plant.joints.forEach(({ position }, i) => expect(Math.abs(toDeg(position - began[i]!))).toBeLessThan(0.2));
  });
});

test('what is too heavy still falls', () => {
  const rig = sickRig({ ...SICK[0]!, mass_kg: 12 });
  const plant = new Plant(rig);
  plant.start([0]);
  for (let k = 0; k < 100 && plant.pose; k++) plant.frame([0], FRAME_S);
  expect(plant.fallen).toBe('nod');
  expect(plant.lost).toBeNull();
});

/** Actuators along a stream, on the ground and carried by a geared axis: the evaluator against the library's reach and load. */
import { expect, it } from 'vitest';
import type { Design } from '../../../host/design/design.ts';
import { type Ask, sampleStream } from '../../../host/design/evaluate/ask.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import type { StoredStream } from '../../../host/stream/stored.ts';
import { LIFT, rigFrom, streamOf } from '../load/rigs.ts';
import { agreementOf } from './agreement.ts';
import { askOf, randomDesigns } from './candidates.ts';

/** The lift leaning forward, under a third of its weight and on stronger actuators, carried by an axis that has a counterpoise. */
const carried = (): Rig =>
  rigFrom(
    LIFT,
    ['  drive: linear\n', '  drive: linear\n  on: nod\n  mount: { at_mm: [20, 5, 40], rpy_deg: [0, 30, 0] }\n'],
    ['mass_kg: 3', 'mass_kg: 1'],
    ['force_n: 60', 'force_n: 300'],
    [
      'parts:\n',
      'parts:\n  - { name: frame, on: nod, mass_kg: 1.5, at_mm: [-90, 4, 20], inertia_kgmm2: [900, 800, 700] }\n',
    ],
    [
      'motion:\n',
      `  neck: { stall_torque_nm: 9, no_load_speed_deg_s: 300, stall_current_a: 4, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400], rotor_inertia_kgm2: 2.0e-4 }
joints:
  nod: { servo: neck, axis: { at_mm: [0, 0, 10], along: [0, -1, 0] }, gear_ratio: 3, gear_efficiency: 0.9, limit_deg: [-25, 25], speed_deg_s: 100, accel_deg_s2: 1500 }
motion:
`,
    ],
  );

const designs = randomDesigns(60, 6).map((design): Design => ({
  ...design,
  ...{ crank_mm: 0, rod_mm: 0, stroke_mm: [130, 200], home_z_mm: 120 + design.crank_mm },
}));

const SECONDS = 2;
const swing = (t_s: number, hz: number): number => Math.sin(2 * Math.PI * hz * t_s);
const moves = (rig: Rig, by: number): StoredStream =>
  streamOf(rig, SECONDS, (t) => ({
    pose: [by * swing(t, 0.5), by * swing(t, 0.9), by * swing(t, 1.3), by * swing(t, 0.7), by * swing(t, 1.1), by],
    joints: [10 * swing(t, 0.5)],
  }));

const wanted = Float64Array.from([5, 5, 5, 5, 6, 6, 0.04, 0.04, 0.04, 0.04, 0.06, 0.06]);

it('another stroke has its soft limits as far inside as the given one', () => {
  const ask = { ...askOf(rigFrom(LIFT)), must: { ...askOf(rigFrom(LIFT)).must, travels: wanted } };
  const longer = designs.map((design): Design => ({
    ...design,
    ...{ stroke_mm: [150, 240], home_z_mm: (design.home_z_mm ?? 0) + 30 },
  }));
  const found = agreementOf(ask, prepare(ask), longer, null);
  expect(found.travels).toBeGreaterThan(120);
  expect(found.otherStops).toBe(0);
  expect(found.travel).toBeLessThan(1e-5);
});

it.each([
  ['on the ground', rigFrom(LIFT)],
  ['on a geared axis', carried()],
] as const)('%s: travels, hold, frequency, use and current agree', (_, rig) => {
  for (const by of [0.8, 3]) {
    const stored = moves(rig, by);
    const ask: Ask = {
      ...askOf(rig, { stream: sampleStream('swing', rig, stored), samples: designs.slice(0, 20) }),
      must: { ...askOf(rig).must, travels: wanted },
    };
    const found = agreementOf(ask, prepare(ask), designs, stored);
    expect(found.travels).toBeGreaterThan(120);
    expect(found.holds).toBeGreaterThan(20);
    expect(found).toMatchObject({ otherStops: 0, otherStable: 0, otherReach: 0 });
    expect(found.travel).toBeLessThan(1e-5);
    expect(found.hold).toBeLessThan(1e-9);
    expect(found.hz).toBeLessThan(1e-4);
    if (by < 1) expect(found.streams).toBeGreaterThan(5);
    expect(found.use).toBeLessThan(0.01);
    expect(found.current).toBeLessThan(0.01);
  }
});

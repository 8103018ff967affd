/** Which joints a wobble cure shapes, whether the controller can look back so far, and what is said when it cannot. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { wobbleDelay_ms, wobbleFilter } from '../../../host/rig/wobble.ts';

const OWL = readFileSync('host/demo/night-owl.yaml', 'utf8');
/** The owl with a cure, and what else is exchanged. */
const read = (cure: string, ...changes: [string, string][]) =>
  readRig([['{ cure: none }', cure] as const, ...changes].reduce((text, [from, to]) => text.replace(from, to), OWL));
const names = (rig: Rig): string[] => wobbleFilter(rig)!.joints.map((i) => rig.joints[i]!.name);
const errors = (cure: string, ...changes: [string, string][]): string[] =>
  read(cure, ...changes)
    .problems.filter(({ severity }) => severity === 'error')
    .map(({ path, message }) => `${path}: ${message}`);

const ARM = `rig: arm
servos: { s: { stall_torque_nm: 1, no_load_speed_deg_s: 400, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400] } }
joints:
  sway: { servo: s, pin: 2, axis: { at_mm: [0, 0, 0], along: [0, 0, 1] }, limit_deg: [-60, 60], speed_deg_s: 90, accel_deg_s2: 900 }
  nod: { servo: s, pin: 3, axis: { on: sway, at_mm: [0, 0, 0], along: [0, 1, 0] }, limit_deg: [-30, 30], speed_deg_s: 90, accel_deg_s2: 900 }
  beak: { servo: s, pin: 4, limit_deg: [0, 30], speed_deg_s: 90, accel_deg_s2: 900 }
parts: []
motion: { tick_hz: 100, wobble: { cure: exact, hz: 2, damping: 0 } }
rest: on_stop
audience: bench
`;

describe('which joints', () => {
  it('with a platform: the legs and what carries it', () => {
    const { rig } = read('{ cure: tolerant, hz: 3, damping: 0.02 }');
    expect(names(rig!)).toEqual(['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6', 'nod']);
  });

  it('without: what carries joints or parts, else all', () => {
    const { rig, problems } = readRig(ARM);
    expect(problems).toEqual([]);
    expect(names(rig!)).toEqual(['sway']);
    const parts = 'parts: [{ name: shell, on: nod, mass_kg: 1, at_mm: [50, 0, 0] }]';
    expect(names(readRig(ARM.replace('parts: []', parts)).rig!)).toEqual(['sway', 'nod']);
    expect(names(readRig(ARM.replace('on: sway, ', '')).rig!)).toEqual(['sway', 'nod', 'beak']);
  });

  it('none without a cure', () => {
    const { rig } = readRig(OWL);
    expect(wobbleFilter(rig!)).toBeNull();
    expect(wobbleDelay_ms(rig!)).toBe(0);
  });
});

describe('what does not fit', () => {
  it('a wobble too slow to look back for: what would do instead', () => {
    const [message, ...others] = errors('{ cure: tolerant, hz: 1.2, damping: 0.02 }');
    expect(others).toEqual([]);
    expect(message).toMatch(
      /^motion\.wobble\.hz: found 1\.2 Hz: at 200 ticks a second .* 7 joints and wait with 3 more; /,
    );
    const [, hz, ticks] = /hz from ([\d.]+) up; or cure: exact, .*; or tick_hz: (\d+)$/.exec(message!)!;
    expect(errors(`{ cure: tolerant, hz: ${hz!}, damping: 0.02 }`)).toEqual([]);
    expect(errors(`{ cure: tolerant, hz: ${String(Number(hz) - 0.03)}, damping: 0.02 }`)).toHaveLength(1);
    expect(errors('{ cure: exact, hz: 1.2, damping: 0.02 }')).toEqual([]);
    expect(errors('{ cure: tolerant, hz: 1.2, damping: 0.02 }', ['tick_hz: 200', `tick_hz: ${ticks!}`])).toEqual([]);
  });

  it('nothing is promised that would not do', () => {
    const [message] = errors('{ cure: tolerant, hz: 0.1, damping: 0.02 }');
    expect(message).not.toMatch(/cure: exact/);
    expect(message).not.toMatch(/tick_hz: /);
  });

  it('a wobble faster than the ticks can show', () => {
    expect(errors('{ cure: broad, hz: 60, damping: 0.02 }')).toEqual([
      'motion.wobble.hz: found 60 Hz; allowed: up to 50 Hz, a quarter of tick_hz',
    ]);
  });

  it('broad with more damping than it is known for', () => {
    expect(errors('{ cure: broad, hz: 3, damping: 0.4 }')).toEqual([
      'motion.wobble.damping: found 0.4; broad is known up to 0.3: allowed with so much: exact or tolerant',
    ]);
  });

  it('a wobble near the pulse rate of its servos is cured, and warned of', () => {
    const { rig, problems } = read('{ cure: exact, hz: 20, damping: 0.02 }');
    expect(rig).not.toBeNull();
    expect(problems.filter(({ path }) => path === 'motion.wobble.hz').map(({ message }) => message)).toEqual([
      'found 20 Hz: servos neck get fewer than 4 pulses in a period of it, so the cure will be coarse',
    ]);
  });
});

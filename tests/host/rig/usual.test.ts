/** Figures in another unit: refused where nothing can have them, told with the likely one where no such prop does. */
import { describe, expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { OWL, swap } from './owl.ts';

const told = (from: string, to: string, severity: 'error' | 'warning'): string[] =>
  readRig(swap(OWL, [from, to]))
    .problems.filter((problem) => problem.severity === severity)
    .map(({ path, message }) => `${path}: ${message}`);

describe('another unit', () => {
  it.each([
    ['mass_kg: 0.62', 'mass_kg: 62', /^parts\.shell\.mass_kg: found 62 kg, .* is it in g\? Then write 0\.062$/],
    ['{ radius_mm: 70', '{ radius_mm: 8', /^platform\.base\.radius_mm: found 8 mm.* in cm\? Then write 80$/],
    ['stall_torque_nm: 1.9', 'stall_torque_nm: 900', /stall_torque_nm: found 900 N·m.* in N·mm\? Then write 0\.9$/],
    ['no_load_speed_deg_s: 380', 'no_load_speed_deg_s: 6.6', /in rad\? Then write 378$/],
    ['speed_deg_s: 220', 'speed_deg_s: 1.57', /motion\.leg\.speed_deg_s: .*Then write 90$/],
    ['limit_deg: [-30, 25]', 'limit_deg: [-0.52, 0.44]', /joints\.nod\.limit_deg: .*write \[-29\.8, 25\.2\]$/],
    ['us_per_deg: 10', 'us_per_deg: 573', /in us per radian\? Then write 10$/],
    ['rod_end_deg: 28', 'rod_end_deg: 0.49', /rod_end_deg: .*in rad\? Then write 28\.1$/],
  ])('%s → %s', (from, to, words) => {
    expect(told(from, to, 'warning')).toContainEqual(expect.stringMatching(words));
  });

  it('what such props have is told nothing', () => {
    expect(told('rig: test-owl', 'rig: owl', 'warning')).toEqual([]);
  });
});

describe('what nothing can have', () => {
  it.each([
    [
      'mass_kg: 0.62',
      'mass_kg: 900',
      /^parts\.shell\.mass_kg: found 900; allowed: a mass in kg, 0 or from 1e-9 to 500/,
    ],
    ['mass_kg: 0.62', 'mass_kg: 1e-320', /^parts\.shell\.mass_kg: found 1e-320; allowed/],
    ['at_mm: [0, 0, 38]', 'at_mm: [0, 0, 1e9]', /found 1000000000; allowed: in mm, from -10000 to 10000/],
    ['stall_torque_nm: 1.9', 'rotor_inertia_kgm2: 1000\n    stall_torque_nm: 1.9', /found 1000; allowed: an inertia/],
    ['crank_mm: 22', 'crank_mm: 1e-9', /found 1e-9; allowed: a length in mm/],
  ])('%s → %s', (from, to, words) => {
    expect(told(from, to, 'error')).toContainEqual(expect.stringMatching(words));
  });

  it.each([
    ['in one place', Array<string>(6).fill('[1, 2, 3]')],
    ['on one line', [0, 1, 2, 3, 4, 5].map((n) => `[${String(20 * n)}, 0, 0]`)],
  ])('six joints %s', (_, points) => {
    const plate = `base: { points_mm: [${points.join(', ')}] }`;
    expect(told('base: { radius_mm: 70, half_angle_deg: 14 }', plate, 'error')).toContainEqual(
      expect.stringMatching(/^platform\.base: found six joints in one place or on one line/),
    );
  });
});

describe('what is taken otherwise than it stands', () => {
  it('a look-ahead that ends within a tick', () => {
    expect(told('tick_hz: 200', 'tick_hz: 200\n  look_ahead_ms: 58', 'warning')).toContainEqual(
      'motion.look_ahead_ms: found 58 ms; the controller looks ahead whole ticks of 5 ms, so that 55 ms are taken',
    );
  });

  it('a voltage to settle at, on mains, of an empty battery, and without a board', () => {
    expect(told('kind: mains,', 'kind: mains, low_v: 5,', 'warning')).toContainEqual(
      expect.stringMatching(/^supply\.low_v: found 5 on mains: it is for a battery/),
    );
    const battery = 'kind: battery, cells: 2, fuse_a: 10, low_v: 1.2,';
    expect(told('kind: mains,', battery, 'warning')).toContainEqual(
      expect.stringMatching(/^supply\.low_v: found 1\.2 V, 20 % of voltage_v/),
    );
    const { problems } = readRig(swap(OWL, ['kind: mains,', battery], [/^board:.*$/m.exec(OWL)?.[0] ?? 'board', '']));
    expect(problems.map(({ message }) => message)).toContainEqual(expect.stringMatching(/the file names no board/));
  });
});

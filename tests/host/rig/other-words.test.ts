/** What makers write in place of a key, and which key they are told. The words are ours: common in hobby prose, from memory. */
import { describe, expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { OWL, swap } from './owl.ts';

/** The message at `path` once `from` is replaced by `to`. */
function message(from: string, to: string, path: string): string {
  return readRig(swap(OWL, [from, to])).problems.find((problem) => problem.path === path)?.message ?? '';
}

describe('a word of makers', () => {
  it.each([
    ['stall_torque_nm: 1.9', 'torque: 1.9', 'servos.neck.torque', 'stall_torque_nm, stall_torque_kgcm'],
    ['stall_torque_nm: 1.9', 'servo_torque: 1.9', 'servos.neck.servo_torque', 'stall_torque_nm'],
    ['stall_torque_kgcm: 2.4', 'torque_kgcm: 2.4', 'servos.face.torque_kgcm', 'stall_torque_kgcm'],
    ['stall_torque_kgcm: 2.4', 'stall_torque_kg_cm: 2.4', 'servos.face.stall_torque_kg_cm', 'stall_torque_kgcm'],
    ['no_load_speed_deg_s: 380', 'speed: 380', 'servos.neck.speed', 'no_load_s_per_60deg, no_load_speed_deg_s'],
    ['speed_deg_s: 70', 'speed: 70', 'joints.nod.speed', 'speed_deg_s'],
    ['stall_current_a: 1\n', 'amps: 1\n', 'servos.neck.amps', 'stall_current_a'],
    ['mass_kg: 0.62', 'weight: 0.62', 'parts.shell.weight', 'mass_kg'],
    ['mass_kg: 0.62', 'mass: 0.62', 'parts.shell.mass', 'mass_kg'],
    ['home_z_mm: level', 'height: 100', 'platform.height', 'home_z_mm'],
    ['{ radius_mm: 70,', '{ radius: 70,', 'platform.base.radius', 'radius_mm'],
    ['{ radius_mm: 70,', '{ diameter: 140,', 'platform.base.diameter', 'radius_mm, half the diameter'],
    ['crank_mm: 22', 'horn: 22', 'platform.horn', 'crank_mm'],
    ['crank_mm: 22', 'arm: 22', 'platform.arm', 'crank_mm'],
    ['rod_mm: 120', 'link: 120', 'platform.link', 'rod_mm'],
    ['power_pin: 21', 'estop: 21', 'board.estop', 'stop'],
    ['lid: { servo: face,', 'lid: { pins: 9, servo: face,', 'joints.lid.pins', 'pin'],
    ['voltage_v: 6', 'volts: 6', 'supply.volts', 'voltage_v'],
    ['tick_hz: 200', 'fps: 200', 'motion.fps', 'tick_hz'],
    ['gear_ratio: 3', 'gear: 3', 'joints.nod.gear', 'gear_ratio'],
    ['gear_ratio: 3', 'ratio: 3', 'joints.nod.ratio', 'gear_ratio'],
    ['leg1: { centre_us: 1512, sense: -1 }', 'leg1: { reverse: true }', 'joints.leg1.reverse', 'sense'],
    ['range_us: [600, 2400]\n    stiff', 'min_us: 600\n    stiff', 'servos.neck.min_us', 'range_us'],
  ])('%s → %s', (from, to, path, wanted) => {
    expect(message(from, to, path)).toMatch(new RegExp(`; likely meant: ${wanted}\\b`));
  });

  it.each([
    [
      'shaking: 4',
      'shaking',
      /^unknown key shaking; likely meant: wobble, a key of motion, as wobble: \{ cure: tolerant/,
    ],
    ['gears: 3\nbacklash: 1', 'backlash', /likely meant: gear_play_deg, a key of joints\.NAME$/],
    ['torque: 3', 'torque', /likely meant: stall_torque_nm, a key of servos\.NAME$/],
  ])('%s at the top of the file names the place', (line, path, wanted) => {
    expect(message('audience: bench', `audience: bench\n${line}`, path)).toMatch(wanted);
  });

  it('names a key of its own group first', () => {
    expect(message('tick_hz: 200', 'tick_hz: 200\n  shaking: 4', 'motion.shaking')).toMatch(/likely meant: wobble$/);
  });
});

it.each(['crank', 'linear'])('a platform that is only its drive: %s', (drive) => {
  const platform = /platform:\n(?: {2}.*\n)+/.exec(OWL)?.[0] ?? '';
  expect(message(platform, `platform: ${drive}\n`, 'platform')).toBe(
    `found "${drive}"; allowed: a group of keys, { drive: ${drive}, base: …, moving: … }`,
  );
});

/** What a new folder holds: the rig by its answers, a stream within reach, and where linear legs must not go. */
import { describe, expect, it } from 'vitest';
import { type Answered, readAnswers } from '../../../host/new/answers.ts';
import { newFolder } from '../../../host/new/new.ts';
import { QUESTIONS } from '../../../host/new/questions.ts';
import { whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { firmnessAt } from '../../../host/physics/kinematics/firmness.ts';
import { readRig } from '../../../host/rig/read.ts';
import { type Pose, type Rig, toRad } from '../../../host/rig/rig.ts';

function answered(given: Record<string, unknown>): Answered {
  const read = readAnswers(given);
  if ('faults' in read) throw new Error(JSON.stringify(read.faults));
  return read;
}

function made(given: Record<string, unknown>): { rig: Rig; yaml: string; stream: string; readme: string } {
  const folder = newFolder(answered(given), 'test rig');
  if ('faults' in folder) throw new Error(JSON.stringify(folder.faults));
  const text = (name: string): string => folder.files.find((file) => file.name === name)?.text ?? '';
  const { rig, problems } = readRig(text('rig.yaml'));
  if (!rig) throw new Error(JSON.stringify(problems));
  return { rig, yaml: text('rig.yaml'), stream: text('each-axis.csv'), readme: text('README.md') };
}

/** Rows of a stream by the names of its columns. */
function rowsOf(stream: string): Record<string, number>[] {
  const [head = '', ...lines] = stream.trim().split('\n').slice(1);
  return lines.map((line) => {
    const cells = line.split(',').map(Number);
    return Object.fromEntries(head.split(',').map((name, i) => [name, cells[i] ?? NaN]));
  });
}

const poseOf = (row: Record<string, number>): Pose =>
  [
    row['x_mm']!,
    row['y_mm']!,
    row['z_mm']!,
    ...(['roll_deg', 'pitch_deg', 'yaw_deg'] as const).map((key) => toRad(row[key]!)),
  ] as unknown as Pose;

const LOOKS = [
  ['cranks, flat', { drive: 'crank' }],
  ['cranks, upright on a nodding axis with a face', { base: 'upright', tilt: 'nod', face: ['lid', 'jaw'] }],
  ['cranks, hanging', { base: 'hanging' }],
  ['linear, flat', { drive: 'linear' }],
  [
    'linear, hanging from a nodding axis, on a battery',
    { drive: 'linear', base: 'hanging', tilt: 'nod', supply: 'battery', supply_v_a: [7.4, 20] },
  ],
] as const;

describe('the rig', () => {
  it('has what was answered, in its own units, and says that it was measured or read', () => {
    const { rig, yaml } = made({ head_g: 850, rod_mm: 140, servo: [25, 0.15, 2.5], plate_ring_mm: [30, 90] });
    expect(rig.parts.find(({ name }) => name === 'head')?.mass_kg).toBe(0.85);
    expect(rig.platform?.rod_mm).toBe(140);
    // 1 kgf·cm = 0.0980665 N·m, by the standard acceleration of free fall (SI brochure, 9th edition).
    expect(rig.joints[0]?.servo.stall).toBeCloseTo(25 * 0.0980665, 9);
    expect(rig.joints[0]?.servo.no_load_speed).toBeCloseTo(toRad(400), 9);
    const [a, b, c] = rig.platform!.legs.map(({ moving_mm }) => moving_mm);
    expect(Math.hypot(a![0] - b![0], a![1] - b![1])).toBeCloseTo(90, 3);
    expect(Math.hypot(b![0] - c![0], b![1] - c![1])).toBeCloseTo(30, 3);
    expect(yaml).toContain('mass_kg: { value: 0.85, from: measured }');
    expect(yaml).toContain('stall_torque_kgcm: { value: 25, from: sheet }');
    expect(yaml).toContain('crank_mm: { value: 22, from: assumed }');
  });

  it.each(LOOKS)('is read without an error or a warning: %s', (_, given) => {
    const folder = newFolder(answered(given), 'test rig');
    const text = 'files' in folder ? folder.files[0]!.text : '';
    const { rig, problems, advice } = readRig(text);
    expect([rig !== null, problems, advice]).toEqual([true, [], []]);
    expect(text).toMatch(/^# yaml-language-server: \$schema=\.\/rig\.schema\.json\n/);
    expect(text).not.toMatch(/unknown|NaN|undefined/);
  });

  it('keeps linear legs so short that a quarter turn, where the plate hangs loose, is out of reach at any height', () => {
    const { rig, yaml } = made({
      drive: 'linear',
      stroke_mm: [180, 280],
      base_ring_mm: [60, 150],
      plate_ring_mm: [40, 100],
    });
    expect(yaml).toContain('not all of the stroke');
    const quarter = (z_mm: number): Pose => [0, 0, z_mm, 0, 0, Math.PI / 2];
    const loose = firmnessAt(rig.platform!, quarter(0));
    expect(loose?.condition ?? Infinity).toBeGreaterThan(1e6);
    const wide = { ...rig, joints: rig.joints.map((joint) => ({ ...joint, lo: 180, hi: 280 })) };
    const heights = Array.from({ length: 400 }, (__, n) => n - 200);
    expect(heights.some((z_mm) => whatStops(wide, quarter(z_mm)) === null)).toBe(true);
    expect(heights.every((z_mm) => whatStops(rig, quarter(z_mm)) !== null)).toBe(true);
  });
});

describe('each-axis.csv', () => {
  it.each(LOOKS)('moves one axis at a time, slowly, and nothing stops it: %s', (_, given) => {
    const { rig, stream } = made(given);
    const rows = rowsOf(stream);
    const names = Object.keys(rows[0]!).filter((name) => name !== 't_s');
    const used = new Set<string>();
    for (const [n, row] of rows.entries()) {
      const away = names.filter((name) => Math.abs(row[name]!) > 1e-6);
      expect(away.length).toBeLessThanOrEqual(1);
      away.forEach((name) => used.add(name));
      expect(whatStops(rig, poseOf(row))).toBeNull();
      for (const name of names) expect(Math.abs(row[name]! - (rows[n - 1] ?? row)[name]!) * 50).toBeLessThan(12.1);
    }
    expect([...used].sort()).toEqual([...names].sort());
    for (const name of names) {
      const values = rows.map((row) => row[name]!);
      expect(Math.max(...values)).toBeGreaterThan(2);
      expect(Math.min(...values)).toBeLessThan(-2);
    }
  });
});

describe('the README', () => {
  it('names the questions that nobody answered, and no other', () => {
    const given = { drive: 'crank', head_g: 500 };
    const { readme } = made(given);
    expect(readme).toContain('base_ring_mm');
    expect(readme).not.toMatch(/drive,|head_g,|stroke_mm|tilt_servo/);
    expect(made({ ...given, drive: 'linear' }).readme).toMatch(/stroke_mm/);
  });
});

it('takes every typical value as an answer', () => {
  const { answers } = answered({});
  for (const { key, takes } of QUESTIONS) expect([key, takes.safeParse(answers[key]).success]).toEqual([key, true]);
});

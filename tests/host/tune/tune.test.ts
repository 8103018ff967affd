/** Tuning cures jerks: through the real controller, on simulated metal, before and after. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type Rig, toRad } from '../../../host/rig/rig.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { fileFigures } from '../../../host/tune/plan.ts';
import { type TuneOptions, tune } from '../../../host/tune/tune.ts';
import type { TunedJoint } from '../../../host/tune/result.ts';
import { withNewLimits } from '../../../host/tune/write.ts';
import { WASM } from '../../assembly/prop.ts';
import { stream } from '../cli/fixture.ts';
import { quickest } from '../physics/quickest.ts';
import { SICK, axisRig, axisText, rigIn } from './axes.ts';

const tuned = (rig: Rig, options: Partial<TuneOptions> = {}) =>
  tune(rig, simTarget({ wasm: WASM }), { faster: false, stream: null, ...options });
const demo = rigIn(readFileSync('host/demo/night-owl.yaml', 'utf8'));
let once: ReturnType<typeof tuned> | null = null;
/** The demo for any motion, which takes a while. */
const tunedDemo = (): ReturnType<typeof tuned> => (once ??= tuned(demo));
const jointOf = (joints: readonly TunedJoint[], name: string): TunedJoint => {
  const joint = joints.find((one) => one.name === name);
  if (!joint) throw new Error(`no ${name}`);
  return joint;
};

/** Slower than it need be, its rotor not given. */
const SLOW = axisText({ ...SICK['a direct drive']!, speed_deg_s: 20, accel: '{ plus: 100, minus: 100 }' });

function expectCured({ before, after, file, limits }: TunedJoint): void {
  expect(before!.saturated_ms).toBeGreaterThan(100);
  expect(after!.saturated_ms).toBe(0);
  expect(after!.peak_error).toBeLessThan(before!.peak_error / 5);
  for (const key of ['speed', 'plus', 'minus', 'plus_gone', 'minus_gone'] as const)
    expect(limits[key]).toBeLessThanOrEqual(file[key]);
}

describe('jerks', () => {
  it.each(Object.entries(SICK))(
    '%s: out of torque before, never after, 5 times nearer to its command, at most 20 % slower than the quickest',
    async (_, axis) => {
      const rig = axisRig(axis);
      const { answer, rig: cured } = await tuned(rig);
      expect(answer.ok).toBe(true);
      expect(answer.advice).toEqual([]);
      const joint = jointOf(answer.joints, 'tilt');
      expectCured(joint);
      // At most 20 % slower than any motion could be with the same share of the servo.
      // Its rotor is not given: a motor time constant of 10 ms stands for it.
      const rotor_kgm2 = (0.01 * axis.stall_nm) / toRad(axis.no_load_deg_s);
      const most = quickest({ ...axis, efficiency: 1, rotor_kgm2 });
      expect(joint.full_range_s.after).toBeLessThan(1.2 * most);
      expect(joint.full_range_s.after).toBeGreaterThan(most);
      expect(joint.outcome).toBe('tuned');
      expect(joint.bound_by).toMatch(
        /^limited by raising the load \(plus\): holding alone takes [\d.]+ N·m of the [\d.]+ N·m/,
      );
      expect(fileFigures(cured.joints[0]!)).toEqual(joint.limits);
    },
  );

  it('cured once, there is nothing left to do', async () => {
    const { answer, rig: cured } = await tuned(axisRig(SICK['a direct drive']!));
    const joint = jointOf(answer.joints, 'tilt');
    const again = await tuned(cured);
    expect(again.answer.joints[0]).toMatchObject({ outcome: 'well', limits: joint.limits });
    const { saturated_ms, peak_error } = again.answer.joints[0]!.before!;
    expect([saturated_ms, peak_error]).toEqual([0, expect.closeTo(joint.after!.peak_error, 9)]);
  });

  it('the demo’s nod, and nothing else of the owl', async () => {
    const { answer } = await tunedDemo();
    expect(answer.ok).toBe(true);
    expectCured(jointOf(answer.joints, 'nod'));
    expect(answer.joints.map(({ name, outcome }) => `${name} ${outcome}`)).toEqual([
      'legs well',
      'nod tuned',
      'lid well',
      'jaw well',
      'ears well',
    ]);
    for (const { name, before } of answer.joints) if (name !== 'nod') expect(before!.saturated_ms).toBe(0);
  });
});

describe('what it is tuned for', () => {
  it('a stream that stays where the load is lighter leaves more', async () => {
    const any = jointOf((await tunedDemo()).answer.joints, 'nod');
    const up = stream(3, { nod_deg: (t_s) => 20 + 3 * Math.sin(3 * t_s), z_mm: (t_s) => Math.sin(2 * t_s) });
    const source = [new TextEncoder().encode(up)];
    const { answer } = await tuned(demo, { stream: { source, name: 'up.csv' } });
    const shown = jointOf(answer.joints, 'nod');
    expect(answer).toMatchObject({ ok: true, stream: 'up.csv' });
    expect(shown.after!.saturated_ms).toBe(0);
    // By its sums; how much gentler the simulated servo wants it hangs on the full-range move it is tried with.
    for (const key of ['speed', 'plus', 'minus'] as const)
      expect(shown.could![key]).toBeGreaterThan(1.03 * any.could![key]);
  });

  it('faster raises what the servo can do more, and stays within its torque', async () => {
    const slow = rigIn(SLOW.replace('deadband_us: 4', 'deadband_us: 4\n    rotor_inertia_kgm2: 1.0e-3'));
    const { answer: same } = await tuned(slow);
    expect(same.joints[0]).toMatchObject({ outcome: 'well', limits: { speed: 20, plus: 100, minus: 100 } });
    expect(same.joints[0]!.bound_by).toMatch(/^unchanged: its servo could do \d+(\.\d)? deg\/s/);
    const { answer } = await tuned(slow, { faster: true });
    const joint = answer.joints[0]!;
    expect(answer.ok).toBe(true);
    expect(joint.limits.speed).toBeGreaterThan(50);
    expect(joint.limits.plus).toBeGreaterThan(200);
    expect(joint.full_range_s.after).toBeLessThan(joint.full_range_s.before / 2);
  });
});

describe('what is not known', () => {
  const FACE = readFileSync('tests/data/park-stork-tuned.yaml', 'utf8').replace(/platform:[^]*?\nservos:/, 'servos:');
  const lids = rigIn(FACE.replace(/ {2}neck: .*\n/, '').replace(/ {2}leg: .*\n/, '  tick_hz: 200\n'));

  it('is not raised: an eyelid whose inertia nobody gave keeps its limits, and says what to give', async () => {
    const { answer } = await tuned(lids, { faster: true });
    const lid = jointOf(answer.joints, 'lid_left');
    expect(lid).toMatchObject({ outcome: 'well', could: null, limits: { speed: 400, plus: 4000, minus: 4000 } });
    expect(lid.limits).toEqual(lid.file);
    expect(lid.bound_by).toBe(
      'unchanged, and not raised, since part of what it moves is unknown: give joints.lid_left.load.inertia_kgm2 and servos.small.rotor_inertia_kgm2',
    );
  });

  it('is named where a rotor alone is missing', async () => {
    const { answer } = await tuned(rigIn(SLOW), { faster: true });
    expect(answer.joints[0]).toMatchObject({ outcome: 'well', limits: { speed: 20, plus: 100 } });
    expect(answer.joints[0]!.bound_by).toMatch(/give servos\.s\.rotor_inertia_kgm2$/);
  });
});

describe('what cannot be tuned', () => {
  it.each([
    ['stall_torque_nm: 2', 'stall_torque_nm: unknown #', 'the stall torque of its servo (servos.s) is unknown'],
    [
      'no_load_speed_deg_s: 360',
      'no_load_speed_deg_s: unknown',
      'the no-load speed of its servo (servos.s) is unknown',
    ],
    ['    load: {', '    # load: {', 'the inertia of what it moves is unknown'],
  ])('says which figure is missing: %s', async (from, to, words) => {
    const text = axisText(SICK['a direct drive']!);
    expect(text).toContain(from);
    const { answer } = await tuned(
      rigIn(text.replace('    frame_hz', '    rotor_inertia_kgm2: 0\n    frame_hz').replace(from, to)),
    );
    expect(answer.joints[0]).toMatchObject({ outcome: 'unknown', before: null, after: null, could: null });
    expect(answer.joints[0]!.bound_by).toContain(words);
    expect(JSON.stringify(answer)).not.toMatch(/NaN|Infinity/);
    expect(withNewLimits(text, answer.joints)).toBe(text);
  });

  it('a load that no pose can hold: limits stay, advice is given', async () => {
    const { answer } = await tuned(axisRig({ ...SICK['a small servo at 3:1']!, ratio: 1 }));
    expect(answer.ok).toBe(false);
    expect(answer.joints[0]!.outcome).toBe('cannot_hold');
    expect(answer.joints[0]!.limits).toEqual(answer.joints[0]!.file);
    expect(answer.joints[0]!.after!.saturated_ms).toBeGreaterThan(1000);
    expect(answer.advice.length).toBeGreaterThan(2);
  });
});

import { describe, expect, it } from 'vitest';
import { retime } from '../../../host/retime/retime.ts';
import { unheldWords } from '../../../host/retime/words.ts';
import { csv, demo, retimed, rigOf } from './rigs.ts';

/** A weight on an arm, level at 0: m·g·arm·cos(angle) to hold. */
const arm = (servo: string, mass_kg: number, limits = 'speed_deg_s: 200, accel_deg_s2: 20000') =>
  rigOf(`rig: arm
servos:
  s: { ${servo}, rotor_inertia_kgm2: 1.0e-5, frame_hz: 50, us_per_deg: 10, range_us: [600, 2400], centre_us: 1500 }
joints:
  arm: { servo: s, pin: 2, limit_deg: [-80, 80], ${limits}, load: { mass_kg: ${String(mass_kg)}, arm_mm: 100 } }
motion: { tick_hz: 200 }
rest: hanging
audience: bench
`);
const KNOWN = 'stall_torque_nm: 1, no_load_speed_deg_s: 400, peak_use: 0.8';
const wave = (t_s: number): number => 60 * Math.sin(2 * Math.PI * 0.9 * t_s) * Math.min(1, t_s);

describe('torque along a stream', () => {
  it('is what slows it, in rising and in braking a fall', async () => {
    const { answer } = await retimed(arm(KNOWN, 0.5), csv(4, 100, { arm_deg: wave }));
    const [joint] = answer.joints;
    expect(answer.ok).toBe(true);
    expect(answer.slowed[0]!.because).toMatchObject({ name: 'arm', bound: expect.stringMatching(/torque|speed/) });
    expect(joint!.before.use === null || joint!.before.use > 1).toBe(true);
    expect(joint!.after.use).toBeLessThanOrEqual(0.8 * 1.001);
    expect(joint!.after.use).toBeGreaterThan(0.8 * 0.98);
    expect(answer.peak_use).toBe(joint!.after.use);
  });

  it('counts a given dry friction, which no pace takes away', async () => {
    const wide = csv(4, 100, { arm_deg: wave });
    const [smooth, rough] = [
      await retimed(arm(KNOWN, 0.5), wide),
      await retimed(arm(`${KNOWN}, friction_nm: 0.15`, 0.5), wide),
    ];
    expect(rough.answer.ok).toBe(true);
    expect(rough.answer.joints[0]!.after.use).toBeLessThanOrEqual(0.8 * 1.001);
    expect(rough.answer.joints[0]!.after.use).toBeGreaterThan(0.8 * 0.95);
    expect(rough.answer.seconds_after).toBeGreaterThan(smooth.answer.seconds_after * 1.03);
  });

  it('is kept on the demo as well', async () => {
    const { answer } = await retimed(demo(), 'host/demo/dusk.csv');
    const nod = answer.joints.find(({ name }) => name === 'nod')!;
    expect(answer.ok).toBe(true);
    expect(nod.before.use).toBeGreaterThan(1);
    expect(nod.after.use).toBeLessThanOrEqual(0.8 * 1.001);
  });

  it('that weight alone takes is not to be helped by being slow', async () => {
    // 0.95 kg · 9.80665 m/s² · 0.1 m = 0.93 N·m of 1 N·m.
    const { answer } = await retimed(arm(KNOWN, 0.95), csv(3, 100, { arm_deg: (t_s) => 40 * Math.sin(t_s) }));
    expect(answer.ok).toBe(false);
    expect(answer.joints[0]!.after.use).toBeGreaterThan(0.93);
    expect(answer.joints[0]!.after.use).toBeLessThan(1);
    expect(answer.seconds_after).toBeGreaterThan(3);
    expect(answer.seconds_after).toBeLessThan(30);
  });

  it('that a servo does not have, standing still, ends it before any slowing', async () => {
    // 1.2 kg · 9.80665 m/s² · 0.1 m = 1.177 N·m of 1 N·m, level: 1.18 times; at 40 deg 0.90 of it.
    const swing = csv(3, 100, { arm_deg: (t_s) => 40 * Math.cos(Math.PI * t_s) });
    const done = await retime(arm(KNOWN, 1.2), swing, { fit: false, kept_s: [], name: 'test' });
    if (!('held' in done)) throw new Error('it was slowed');
    expect(done).toMatchObject({ stops: [], joint: 'arm', at_s: expect.closeTo(0.5, 5) });
    expect(done.held).toBeCloseTo(1.2 * 9.80665 * 0.1, 6);
    expect(unheldWords(done)).toMatch(
      /^standing still at 0\.50 s already takes 1\.2 times all the torque .* of arm has/,
    );
  });

  it('that nobody knows is said', async () => {
    const unknown = arm('stall_torque_nm: unknown, no_load_speed_deg_s: 400', 0.5);
    const { answer } = await retimed(unknown, csv(2, 100, { arm_deg: wave }));
    expect(answer).toMatchObject({ ok: true, peak_use: null });
    expect(answer.joints[0]!.after.use).toBeNull();
    expect(answer.gaps[0]).toBe('what the s servos (arm) can give is unknown: only speed and acceleration bound them');
  });
});

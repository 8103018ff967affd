/** The look-ahead of a rig: its default, what is refused and what would do instead, and how long a joint takes to stop. */
import { describe, expect, it } from 'vitest';
import { braking_s, lookAheadTicks, ticksToStop } from '../../../host/rig/look-ahead.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';

const SERVO =
  '{ stall_torque_nm: 1, no_load_speed_deg_s: 400, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400] }';
const text = (joints: number, motion: string): string => `rig: row
servos: { s: ${SERVO} }
joints:
${Array.from({ length: joints }, (_, k) => `  j${String(k)}: { servo: s, pin: ${String(k + 2)}, limit_deg: [-60, 60], speed_deg_s: 90, accel_deg_s2: 900 }`).join('\n')}
motion: { ${motion} }
rest: on_stop
`;
const rigOf = (joints: number, motion: string): Rig => readRig(text(joints, motion)).rig!;
const errors = (joints: number, motion: string): string[] =>
  readRig(text(joints, motion)).problems.map(({ path, line, message }) => `${String(line)} ${path}: ${message}`);

describe('without a look_ahead_ms', () => {
  it.each([
    ['the delay is 120 ms and half of it looks ahead', 2, 'tick_hz: 200', 120, 60],
    ['a long delay leaves more for jitter', 2, 'playback_delay_ms: 300', 300, 60],
    ['a short delay is shared by half', 2, 'playback_delay_ms: 80', 80, 40],
    ['no delay, none', 2, 'playback_delay_ms: 0', 0, 0],
    ['16 joints at 1000 Hz: what the controller can keep, 46 rows of 22', 16, 'tick_hz: 1000', 120, 46],
  ])('%s', (_, joints, motion, delay_ms, ahead_ms) => {
    const rig = rigOf(joints, motion);
    expect(rig.motion.playback_delay_ms).toBe(delay_ms);
    expect(rig.motion.look_ahead_ms).toBeCloseTo(ahead_ms, 9);
    expect(lookAheadTicks(rig.motion) * (joints + 6)).toBeLessThanOrEqual(1024);
  });
});

describe('a look_ahead_ms', () => {
  it('is refused where it is more than the delay', () => {
    expect(errors(2, 'playback_delay_ms: 80, look_ahead_ms: 100')).toEqual([
      '6 motion.look_ahead_ms: found 100 ms; allowed: up to playback_delay_ms, 80 ms, of which it is a part',
    ]);
    expect(errors(2, 'playback_delay_ms: 80, look_ahead_ms: 80')).toEqual([]);
    expect(errors(2, 'look_ahead_ms: 0')).toEqual([]);
  });

  it('is refused where the controller cannot keep so much, and what is said would do does', () => {
    const [message] = errors(16, 'tick_hz: 1000, look_ahead_ms: 100');
    const [, most, slower] = /16 joints; allowed: up to ([\d.]+) ms; or tick_hz: (\d+)$/.exec(message!)!;
    expect(errors(16, `tick_hz: 1000, look_ahead_ms: ${most!}`)).toEqual([]);
    expect(errors(16, `tick_hz: 1000, look_ahead_ms: ${String(Number(most) + 1)}`)).toHaveLength(1);
    expect(errors(16, `tick_hz: ${slower!}, look_ahead_ms: 100`)).toEqual([]);
  });
});

describe('the time to stop', () => {
  const [joint] = rigOf(1, 'tick_hz: 200').joints;

  it('is speed over the smaller of plus and minus; a limit that fades lets it reach less speed', () => {
    expect(braking_s(joint!)).toBeCloseTo(0.1, 9);
    expect(braking_s({ ...joint!, plus: joint!.plus / 2 })).toBeCloseTo(0.2, 9);
    expect(braking_s({ ...joint!, plus_gone: joint!.speed / 2, minus_gone: joint!.speed / 2 })).toBeCloseTo(0.05, 9);
  });

  it('takes one tick more than it has', () => {
    expect(ticksToStop(joint!, 200)).toBe(21);
  });
});

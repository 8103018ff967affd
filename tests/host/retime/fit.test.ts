import { describe, expect, it } from 'vitest';
import { csv, demo, retimed, rigOf } from './rigs.ts';

const PAIR = rigOf(`rig: pair
servos:
  s: { stall_torque_nm: 1, no_load_speed_deg_s: 900, frame_hz: 50, us_per_deg: 10, range_us: [600, 2400], centre_us: 1500 }
joints:
  left: { servo: s, pin: 2, limit_deg: [-30, 30], speed_deg_s: 300, accel_deg_s2: 9000 }
  right: { servo: s, pin: 3, limit_deg: [0, 60], speed_deg_s: 300, accel_deg_s2: 9000 }
motion: { tick_hz: 200 }
rest: on_stop
audience: bench
`);
const wave = (middle: number, size: number) => (t_s: number) => middle + size * Math.sin(t_s);

describe('fitting', () => {
  it('leaves what fits', async () => {
    const { answer } = await retimed(PAIR, csv(7, 50, { left_deg: wave(0, 29), right_deg: wave(30, 20) }), {
      fit: true,
    });
    expect(answer.fitted).toEqual([]);
  });

  it('moves a joint no further than it must, and keeps its size', async () => {
    const { answer } = await retimed(PAIR, csv(7, 50, { left_deg: wave(20, 15) }), { fit: true });
    expect(answer.fitted).toMatchObject([{ name: 'left', unit: 'deg', scale: 1 }]);
    // From 5 to 35 deg, and 30 is the most.
    expect(answer.fitted[0]!.moved).toBeCloseTo(-5, 1);
    expect(answer.fitted[0]!.moved).toBeLessThan(-4.99);
  });

  it('scales a joint whose soft limits are too narrow', async () => {
    const { answer } = await retimed(PAIR, csv(7, 50, { right_deg: wave(10, 60) }), { fit: true });
    const [right] = answer.fitted;
    expect(right).toMatchObject({ name: 'right' });
    expect(right!.scale).toBeCloseTo(0.5, 2);
    expect(right!.centre + right!.moved).toBeCloseTo(30, 1);
  });

  it('brings a pose that stands out of reach home', async () => {
    const { answer } = await retimed(demo(), csv(3, 100, { z_mm: (t_s) => 60 + 2 * Math.sin(t_s) }), { fit: true });
    expect(answer.fitted).toMatchObject([{ name: 'z', unit: 'mm', scale: 1 }]);
    expect(answer.fitted[0]!.moved).toBeLessThan(-40);
    expect(answer.ok).toBe(true);
  });

  it('scales only what is too far', async () => {
    const { answer } = await retimed(
      demo(),
      csv(6, 100, { yaw_deg: (t_s) => 40 * Math.sin(t_s), x_mm: (t_s) => Math.sin(2 * t_s) }),
      { fit: true },
    );
    expect(answer.fitted).toMatchObject([{ name: 'yaw' }]);
    expect(answer.fitted[0]!.scale).toBeGreaterThan(0.2);
    expect(answer.fitted[0]!.scale).toBeLessThan(0.35);
  });
});

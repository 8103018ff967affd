/** What the metal's watch sees: all of a frame, not its end alone; and when something falls. */
import { describe, expect, test, vi } from 'vitest';
import type { Telemetry } from '../../../host/controller/messages.ts';
import { LOOP_DAMPING } from '../../../host/physics/plant/servo.ts';
import { FULL_TORQUE_AT_DEG } from '../../../host/rig/typical.ts';
import { Plant } from '../../../host/physics/plant/plant.ts';
import { PlantWatch } from '../../../host/replay/plant-watch.ts';
import { type Rig, toDeg, toRad } from '../../../host/rig/rig.ts';
import { integrate } from '../odex.ts';
import { LIFT, rigFrom } from '../load/rigs.ts';
import { ROTOR_KGM2, SICK, sickRig } from '../physics/sick.ts';

const FRAME_S = 0.02;

/** Only what the watch reads: pulses, positions, and how many ticks. */
const told = (rig: Rig, at: readonly number[]): Telemetry => {
  const pulse = ({ centre, centre_us, sense, us_per_unit }: Rig['joints'][number], to: number): number =>
    centre_us + (to - centre) * sense * us_per_unit;
  return {
    ticks: Math.round(FRAME_S * rig.motion.tick_hz),
    position: Float64Array.from(at),
    pulse_us: rig.joints.map((joint, i) => pulse(joint, at[i]!)),
  } as unknown as Telemetry;
};

/** Commands frame after frame, beginning at rest at the first. */
function watched(rig: Rig, commands: readonly (readonly number[])[]): PlantWatch {
  const watch = new PlantWatch(rig);
  commands.forEach((at, k) => {
    watch.telemetry(told(rig, at), k * FRAME_S);
  });
  return watch;
}

test('what stands still is not simulated on, and moves as before when it is told to', () => {
  const rig = sickRig({ ...SICK[2]! });
  const frame = vi.spyOn(Plant.prototype, 'frame');
  const moves = (still: number): { frames: number; error: number } => {
    frame.mockClear();
    const watch = watched(rig, [[0], [0.02], ...Array<number[]>(still).fill([0.04]), [0.02], [0], [0], [0]]);
    return { frames: frame.mock.calls.length, error: watch.joint(0).tracking_error };
  };
  const [short, long] = [moves(200), moves(50_000)];
  frame.mockRestore();
  expect(short.frames).toBeGreaterThan(10);
  expect(long.frames).toBe(short.frames);
  expect(long.error).toBeCloseTo(short.error, 9);
});

describe('within one servo frame', () => {
  // Direct drive, and nothing to hold: from rest to a jump of so many degrees, ramped over one frame, then standing.
  const axis = { ...SICK[2]!, mass_kg: 1e-9 };
  const [joint] = sickRig(axis).joints;
  const rig: Rig = { ...sickRig(axis), joints: [{ ...joint!, servo: { ...joint!.servo, deadband_us: 0 } }] };
  const inertia = axis.inertia_kgm2 + ROTOR_KGM2;
  const stiffness = axis.stall_nm / toRad(FULL_TORQUE_AT_DEG);
  const damping = 2 * LOOP_DAMPING * Math.sqrt(stiffness * inertia);
  const top = toRad(axis.no_load_deg_s);

  /** The same by hand: 20 us steps of odex, each looked at. */
  function byHand(jump_rad: number, frames: number): { line_ms: number; behind_deg: number; swing_deg: number } {
    const rate = (at_s: number): number => (at_s < FRAME_S ? jump_rad / FRAME_S : 0);
    const command = (at_s: number): number => jump_rad * Math.min(1, at_s / FRAME_S);
    const asks = (at_s: number, q: number, v: number): number =>
      stiffness * (command(at_s) - q) + damping * (rate(at_s) - v);
    const most = (v: number, sign: number): number => axis.stall_nm * (1 - Math.max(0, v * sign) / top);
    const gives = (at_s: number, q: number, v: number): number => {
      const wanted = asks(at_s, q, v);
      return Math.sign(wanted) * Math.min(Math.abs(wanted), most(v, Math.sign(wanted)));
    };
    const dt = 20e-6;
    let y = [0, 0];
    let [line_ms, behind_deg, low, high] = [0, 0, Infinity, -Infinity];
    for (let k = 0; k < Math.round((frames * FRAME_S) / dt); k++) {
      const from = k * dt;
      // The rate jumps where the ramp ends: no step straddles that.
      const f = (x: number, [q, v]: number[]): number[] => [
        v!,
        gives(Math.min(x, from + dt * (1 - 1e-9)), q!, v!) / inertia,
      ];
      y = integrate(f, from, y, from + dt, 1e-9);
      const [q, v] = y as [number, number];
      const at_s = from + dt * (1 - 1e-9);
      if (Math.abs(asks(at_s, q, v)) > most(v, Math.sign(asks(at_s, q, v)))) line_ms += dt * 1e3;
      behind_deg = Math.max(behind_deg, Math.abs(toDeg(command(at_s) - q)));
      if (at_s > FRAME_S + 0.06) [low, high] = [Math.min(low, q), Math.max(high, q)];
    }
    return { line_ms, behind_deg, swing_deg: toDeg(high - low) / 2 };
  }

  test.each([3, 3.6, 5])('a jump of %d deg: time at the line and error are those of the equation by hand', (deg) => {
    const jump = toRad(deg);
    const expected = byHand(jump, 20);
    const seen = watched(rig, [[0], ...Array.from({ length: 20 }, () => [jump])]).joint(0);
    // One step of the plant, 0.25 ms, at either end.
    expect(Math.abs(seen.saturated_ms - expected.line_ms)).toBeLessThan(0.6);
    expect(seen.tracking_error).toBeCloseTo(expected.behind_deg, 1);
    expect(seen.wobble).toBeCloseTo(expected.swing_deg, 1);
  });

  test('some milliseconds at the line within a frame are counted, though its end has none', () => {
    const jump = toRad(3.6);
    const { line_ms } = byHand(jump, 20);
    expect(line_ms).toBeGreaterThan(2);
    expect(line_ms).toBeLessThan(FRAME_S * 1e3);
    expect(Math.abs(watched(rig, [[0], [jump], [jump]]).joint(0).saturated_ms - line_ms)).toBeLessThan(0.6);
  });
});

describe('a weight on an axis, told to go 60 deg at its speed limit and to stop at once', () => {
  const heavy = { ...SICK[0]!, mass_kg: 3 };
  const rig = sickRig(heavy);
  const swept = (from_deg: number, to_deg: number) => {
    const way = Math.sign(to_deg - from_deg);
    const step_deg = heavy.speed_deg_s * FRAME_S;
    const sweep = Array.from({ length: 80 }, (_, k) => Math.min(60, step_deg * k));
    return watched(
      rig,
      sweep.map((deg) => [toRad(from_deg + way * deg)]),
    ).joint(0);
  };

  test('rising: out of torque and left behind, never ahead', () => {
    const { saturated_ms, tracking_error, overrun } = swept(-30, 30);
    expect(saturated_ms).toBeGreaterThan(300);
    expect(tracking_error).toBeGreaterThan(20);
    expect(overrun).toBeLessThan(0.1);
  });

  test('falling: it outruns its command by more than it ever hangs at rest, where that stops', () => {
    const { overrun, tracking_error_at_s } = swept(30, -30);
    const stiffness = (heavy.stall_nm / toRad(FULL_TORQUE_AT_DEG)) * heavy.ratio ** 2;
    const hangs_deg = toDeg((heavy.mass_kg * 9.80665 * heavy.arm_mm) / 1000 / stiffness);
    expect(overrun).toBeGreaterThan(hangs_deg);
    // 60 deg at 100 deg/s, and a frame.
    expect(tracking_error_at_s).toBeGreaterThan(0.6);
    expect(tracking_error_at_s).toBeLessThan(0.8);
  });
});

/** Two seconds at home. */
const standing = ({ joints }: Rig): number[][] => Array.from({ length: 100 }, () => joints.map(({ home }) => home));

describe('what falls', () => {
  test('a plate too heavy for its legs: that, and when, in place of errors without end', () => {
    const rig = rigFrom(LIFT, ['mass_kg: 3', 'mass_kg: 60']);
    const watch = watched(rig, standing(rig));
    const { falls } = watch.answer();
    expect(falls?.what).toBe('the plate');
    // 10 times what the actuators carry: it falls freely, and some 60 mm are as far as they are told to go.
    expect(falls?.at_s).toBeGreaterThan(0.05);
    expect(falls?.at_s).toBeLessThan(0.3);
    rig.joints.forEach((_, i) => {
      expect(watch.joint(i).falls_at_s).toBe(falls?.at_s);
      expect(watch.joint(i).tracking_error).toBeLessThan(100);
    });
  });

  test('an axis that its servo cannot hold falls by itself, past where its pulses take it', () => {
    const [joint] = sickRig({ ...SICK[2]!, mass_kg: 30 }).joints;
    const rig: Rig = { ...sickRig(SICK[2]!), joints: [{ ...joint!, us_per_unit: joint!.us_per_unit * 2 }] };
    const { falls } = watched(rig, standing(rig)).answer();
    expect(falls?.what).toBe('nod');
    // Pulses of 500 to 2500 us at 16 us/deg: 62.5 deg to either side, and a tenth of the whole more.
    expect(watched(rig, standing(rig)).joint(0).tracking_error).toBeGreaterThan(70);
    expect(watched(rig, standing(rig)).joint(0).tracking_error).toBeLessThan(80);
  });

  test('nothing that is held', () => {
    const rig = sickRig(SICK[2]!);
    expect(
      watched(
        rig,
        Array.from({ length: 50 }, () => [0]),
      ).answer().falls,
    ).toBeNull();
  });
});

describe('a fall is looked at again at a finer step', () => {
  const plantOf = (watch: PlantWatch): Plant => (watch as unknown as { readonly plant: Plant }).plant;
  const still = (rig: Rig, watch: PlantWatch, frames: number, from = 0): void => {
    for (let k = from; k < from + frames; k++)
      watch.telemetry(
        told(
          rig,
          rig.joints.map(() => 0),
        ),
        k * FRAME_S,
      );
  };

  test('what is too heavy falls there too', () => {
    const rig = sickRig({ ...SICK[0]!, mass_kg: 12 });
    const watch = new PlantWatch(rig);
    still(rig, watch, 100);
    const { falls, unsure } = watch.answer();
    expect(falls).toMatchObject({ what: 'nod' });
    expect(unsure).toBeNull();
  });

  test.each([
    ['far from where it can be', 9],
    ['no number', NaN],
  ])('a place that the sum alone made %s is no fall', (_, position) => {
    const rig = sickRig(SICK[2]!);
    const watch = new PlantWatch(rig);
    still(rig, watch, 40);
    Object.assign(plantOf(watch).joints[0]!, { position, rotor: position });
    still(rig, watch, 5, 40);
    const { falls, unsure } = watch.answer();
    expect(falls).toBeNull();
    expect(unsure).toMatchObject({ what: 'nod' });
    expect(unsure!.at_s).toBeCloseTo(39 * FRAME_S, 6);
    expect(watch.joint(0).falls_at_s).toBeNull();
    // Its rotor of 2e-4 kg·m² means 0.6 ms.
    expect(unsure!.look_at.join()).toMatch(/servos\.tilt\.rotor_inertia_kgm2 is far too light/);
  });
});

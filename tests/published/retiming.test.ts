/**
 * Retiming against the shortest times that are known in closed form. Trapezoids: values/profiles.json (K. M. Lynch, F. C. Park,
 * Modern Robotics, Cambridge University Press 2017, 9.2.2.2; L. Biagiotti, C. Melchiorri, Trajectory Planning for Automatic
 * Machines and Robots, Springer 2008, 3.2; from memory; the asymmetric form is ours). A servo's line: J dω/dt = τ(1 - ω/ω₀), which gives
 * ω = ω₀(1 - e^(-t/T)) with T = J ω₀/τ (first-order linear equation), then full torque for braking.
 */
import { describe, expect, it } from 'vitest';
import { retime } from '../../host/retime/retime.ts';
import { readRig } from '../../host/rig/read.ts';
import { type Rig, toDeg } from '../../host/rig/rig.ts';
import values from './values/profiles.json' with { type: 'json' };

interface Limits {
  readonly v: number;
  readonly a: number;
  readonly d: number;
}
interface Case extends Limits {
  readonly L: number;
  readonly T: number;
}
const symmetric = values['pr-trapezoid-sym'];
const asymmetric = values['pr-trapezoid-asym'];
const cases: Case[] = [
  ...symmetric.inputs.map(({ v, a }, i) => ({ L: 1, v, a, d: a, T: symmetric.derived.T[i]! })),
  ...asymmetric.inputs.map((input, i) => ({ ...input, T: asymmetric.derived.T[i]! })),
];

/** One joint on a servo: limits in deg/s and deg/s², the servo's in N·m, deg/s and kg·m². */
function rigOf({ v, a, d }: Limits, servo: { stall: number; free: number; inertia: number }): Rig {
  const { rig, problems } = readRig(`rig: one
servos:
  s: { stall_torque_nm: ${String(servo.stall)}, no_load_speed_deg_s: ${String(servo.free)}, rotor_inertia_kgm2: ${String(servo.inertia)}, peak_use: 0.8, frame_hz: 50, us_per_deg: 0.5, range_us: [600, 2400], centre_us: 1500 }
joints:
  tail: { servo: s, pin: 2, limit_deg: [-1000, 1000], speed_deg_s: ${String(v)}, accel_deg_s2: { plus: ${String(a)}, minus: ${String(d)} } }
motion: { tick_hz: 200 }
rest: on_stop
audience: bench
`);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

/** From 0 to L deg ten times too fast, in frames no more than 50 deg apart: the limits alone decide how long the result is. */
function rush(L: number, shortest_s: number): Uint8Array[] {
  const frames = Math.max(12, Math.ceil(L / 30));
  const row = (k: number): string =>
    `${String((k / frames) * (shortest_s / 10))},${String(L * (k / frames) ** 2 * (3 - (2 * k) / frames))}`;
  const rows = Array.from({ length: frames + 1 }, (_, k) => row(k));
  return [new TextEncoder().encode(['t_s,tail_deg', ...rows, ''].join('\n'))];
}

async function retimed(rig: Rig, L: number, shortest_s: number): Promise<{ seconds: number; use: number | null }> {
  const done = await retime(rig, rush(L, shortest_s), { fit: false, kept_s: [], name: 'rush' });
  if (!('answer' in done)) throw new Error('not retimed');
  expect(done.answer.ok).toBe(true);
  return { seconds: done.answer.seconds_after, use: done.answer.peak_use };
}

/** Degrees for each unit of the profile: with one degree, rounding to f32 would show. */
const SCALE = 10;

describe('rest to rest within speed and accelerations', () => {
  it.each(cases)('over $L at v $v, a $a, d $d takes $T s, and at most 2 % more', async ({ L, v, a, d, T }) => {
    const strong = { stall: 100, free: 9000, inertia: 1e-6 };
    const { seconds } = await retimed(rigOf({ v: SCALE * v, a: SCALE * a, d: SCALE * d }, strong), SCALE * L, T);
    expect(seconds / T).toBeLessThan(1.02);
    expect(seconds / T).toBeGreaterThan(0.999);
  });
});

describe('rest to rest along a servo line', () => {
  /** Shortest time over `L` rad for torque τ at rest, speed ω₀ without load, inertia J, and speed v at most. */
  function shortest(L: number, tau: number, free: number, inertia: number, v: number): number {
    const brake = tau / inertia;
    const T = (inertia * free) / tau;
    const rise = (peak: number): [s: number, angle: number] => {
      const t = -T * Math.log(1 - peak / free);
      return [t, free * t - T * peak];
    };
    const way = (peak: number): number => rise(peak)[1] + peak ** 2 / (2 * brake);
    let [lo, hi] = [0, v];
    if (way(v) <= L) lo = v;
    else for (let k = 0; k < 60; k++) [lo, hi] = way((lo + hi) / 2) < L ? [(lo + hi) / 2, hi] : [lo, (lo + hi) / 2];
    return rise(lo)[0] + lo / brake + Math.max(0, L - way(lo)) / lo;
  }

  it.each([
    // With a cruise at the speed limit, and without.
    { stall: 1, free: 5.2, inertia: 0.1, v: 4.4, L: 6 },
    { stall: 1, free: 5.2, inertia: 0.1, v: 5.1, L: 3 },
    { stall: 0.4, free: 8, inertia: 0.06, v: 7, L: 12 },
  ])('over $L rad, $stall N·m, $free rad/s free, at most $v rad/s', async ({ stall, free, inertia, v, L }) => {
    const rig = rigOf({ v: toDeg(v), a: 1e6, d: 1e6 }, { stall, free: toDeg(free), inertia });
    const T = shortest(L, 0.8 * stall, free, inertia, v);
    const { seconds, use } = await retimed(rig, toDeg(L), T);
    expect(seconds / T).toBeLessThan(1.02);
    expect(seconds / T).toBeGreaterThan(0.999);
    expect(use).toBeLessThanOrEqual(0.8 * 1.001);
    expect(use).toBeGreaterThan(0.77);
  });
});

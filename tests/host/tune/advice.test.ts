/** What is advised where no limits help: every figure is held against the limits that it leaves, and against the torque by hand. */
import { describe, expect, it } from 'vitest';
import { limitsOf } from '../../../host/physics/servo/limits.ts';
import type { Place } from '../../../host/physics/servo/limits.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { adviceFor, geared } from '../../../host/tune/advice.ts';
import { counterweightFor, springFor, weightOn } from '../../../host/tune/balance.ts';
import { type Plan, planLimits, posturesOf } from '../../../host/tune/plan.ts';
import { SICK, axisRig } from './axes.ts';

const G = 9.80665;
/** 2.0 kg at 70 mm on 0.9 N·m, direct: 1.37 N·m to hold. */
const heavy = axisRig({ ...SICK['a small servo at 3:1']!, ratio: 1 });
const plan = (): Plan => planLimits(heavy, posturesOf(heavy, null), false)[0]!;
const over = (lo: number, hi: number, hold: (at: number) => number): Place[] =>
  Array.from({ length: 61 }, (_, k) => toRad(lo + ((hi - lo) * k) / 60)).map((at) => ({
    at,
    hold: hold(at),
    inertia: 0.02,
  }));

describe('a counterweight', () => {
  it('takes all of a load on a level axis, wherever that is level', () => {
    for (const level of [-80, -10, 0, 35, 90]) {
      const places = over(-30, 25, (at) => 1.4 * Math.cos(at - toRad(level)));
      const { peak, level_at, residual } = counterweightFor(places);
      expect(peak).toBeCloseTo(1.4, 4);
      expect(level_at).toBeCloseTo(toRad(level), 4);
      expect(residual).toBeLessThan(1e-5);
    }
  });

  it('leaves as little as a search over all weights and angles finds, where it cannot take all', () => {
    const places = over(-30, 30, (at) => 1 + 0.5 * Math.sin(4 * at));
    let best = Infinity;
    for (let peak = 0; peak <= 2; peak += 0.02)
      for (let level = -180; level < 180; level += 2)
        best = Math.min(
          best,
          Math.max(...places.map(({ at, hold }) => Math.abs(hold - peak * Math.cos(at - toRad(level))))),
        );
    const { residual } = counterweightFor(places);
    expect(residual).toBeLessThanOrEqual(best + 1e-9);
    expect(residual).toBeGreaterThan(best * 0.97);
  });

  it('weighs what the torque asks, and adds m·r²', () => {
    const { mass_kg, inertia } = weightOn(0.1, { peak: 2 * G * 0.07, level_at: 0, residual: 0 });
    expect(mass_kg).toBeCloseTo(1.4, 12);
    expect(inertia).toBeCloseTo(0.014, 12);
  });
});

describe('a torsion spring', () => {
  it('takes all of a torque that falls in a straight line, and stays wound', () => {
    const places = over(-30, 30, (at) => 0.5 * (toRad(120) - at));
    const { stiffness, free_at, residual } = springFor(places);
    expect(residual).toBeLessThan(0.01);
    expect(stiffness).toBeCloseTo(0.5, 1);
    expect(free_at).toBeGreaterThan(toRad(30));
  });

  it('pushes the other way where the load hangs the other way', () => {
    const { free_at, residual } = springFor(over(-30, 30, (at) => -1.3 * Math.cos(at)));
    expect(free_at).toBeLessThan(toRad(-30));
    expect(residual).toBeLessThan(0.3);
  });
});

describe('advice', () => {
  const words = adviceFor(plan());
  const number = (pattern: RegExp): number => {
    const found = words.map((text) => pattern.exec(text)?.[1]).find((text) => text !== undefined);
    if (found === undefined) throw new Error(`no ${String(pattern)} in\n${words.join('\n')}`);
    return Number(found);
  };
  const { joint, places, full_range_s } = plan();
  const caps = { speed: joint.speed, plus: joint.plus, minus: joint.minus };
  const most_s = 3 * full_range_s.before;

  it('names four cures, each with what it costs', () => {
    expect(words).toHaveLength(4);
    for (const text of words) expect(text).toMatch(/^tilt: .*then [\d.]+ deg\/s, full range in [\d.]+ s\. Cost: /);
  });

  it('a counterweight of its figure lets it move', () => {
    const mass_kg = number(/counterweight of ([\d.]+) kg at 100 mm/);
    expect(mass_kg).toBeCloseTo(1.4, 2);
    const lighter = places.map(({ at, hold, inertia }) => ({
      at,
      hold: hold - mass_kg * G * 0.1 * Math.cos(at),
      inertia: inertia + mass_kg * 0.01,
    }));
    const limits = limitsOf(joint, lighter, caps);
    expect('none' in limits ? limits.none : limits.full_range_s).toBeLessThan(most_s);
  });

  it('the gear suffices and a tenth less does not', () => {
    const ratio = number(/a gear of ([\d.]+):1/);
    const seconds = (of: number): number => {
      const other = geared(joint, places, of);
      const limits = limitsOf(other.joint, other.places, caps);
      return 'none' in limits ? Infinity : limits.full_range_s;
    };
    expect(seconds(ratio)).toBeLessThanOrEqual(most_s);
    expect(seconds(ratio - 0.1)).toBeGreaterThan(most_s);
  });

  it('the servo suffices and one of a twentieth less does not', () => {
    const stall = number(/stall torque of at least ([\d.]+) N·m/);
    const seconds = (of: number): number => {
      const limits = limitsOf({ ...joint, servo: { ...joint.servo, stall: of } }, places, caps);
      return 'none' in limits ? Infinity : limits.full_range_s;
    };
    expect(seconds(stall)).toBeLessThanOrEqual(most_s);
    expect(seconds(stall * 0.94)).toBeGreaterThan(most_s);
    expect(stall).toBeGreaterThan((2 * G * 0.07) / 0.8);
  });
});

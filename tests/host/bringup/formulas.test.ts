/** What workshop readings say, against closed forms of things whose figures are known, and error propagation against its own. */
import { describe, expect, it } from 'vitest';
import { aboutAxis, armOf, balanced, pulled, sagged, stalled, swung } from '../../../host/bringup/formulas.ts';
import { type Uncertain, exactly, propagate } from '../../../host/bringup/propagate.ts';

const G = 9.80665;
const give = (value: number, off: number): Uncertain => ({ value, off });

describe('errors', () => {
  it('of products and powers add as squares of shares, times the power (JCGM 100:2008, 5.1.6)', () => {
    const { value, off } = propagate((a, b) => a * b ** 2, give(3, 0.003), give(5, 0.01));
    expect(value).toBe(75);
    expect(off / 75).toBeCloseTo(Math.hypot(0.001, 2 * 0.002), 5);
  });

  it('of sums and differences add as squares', () => {
    expect(propagate((a, b) => a - b, give(10, 3), give(9, 4))).toEqual({ value: 1, off: 5 });
  });

  it('are larger than a result that its reading cannot be told from nothing in', () => {
    const { value, off } = propagate((sag) => 1 / sag, give(0.5, 1));
    expect(off).toBeGreaterThan(value);
  });
});

describe('pull', () => {
  it('gives back the gravity and friction that the scale felt', () => {
    const [gravity, friction, radius_mm] = [0.8, 0.15, 80];
    const scale = (torque: number): Uncertain => give(torque / (G * radius_mm * 1e-3), 0.02);
    const { gravity_nm, friction_nm } = pulled(
      exactly(radius_mm),
      scale(gravity + friction),
      scale(gravity - friction),
    );
    expect(gravity_nm.value).toBeCloseTo(gravity, 12);
    expect(friction_nm.value).toBeCloseTo(friction, 12);
    // Either is half of a sum of two readings, each off by 0.02 kg at 80 mm.
    for (const { off } of [gravity_nm, friction_nm]) expect(off).toBeCloseTo((G * 0.08 * 0.02 * Math.SQRT2) / 2, 12);
  });

  it('finds the arm of a load from its torque, 60 degrees from level where half of it is left', () => {
    expect(armOf(exactly((0.3 * G * 0.05) / 2), exactly(0.3), exactly(60)).value).toBeCloseTo(50, 9);
  });
});

describe('balance', () => {
  it('finds the middle of an even bar, whose ends each bear half', () => {
    expect(balanced(exactly(400), exactly(0.35), exactly(0.7)).value).toBeCloseTo(200, 12);
  });
});

describe('swing', () => {
  it('a bar on strings at its ends, L long: T = 2·π·√(L / (3·g)), whatever its length (a textbook exercise; from memory)', () => {
    const [mass, bar_mm, string_mm, swings] = [0.4, 300, 800, 20];
    const seconds = swings * 2 * Math.PI * Math.sqrt((string_mm * 1e-3) / (3 * G));
    const { value } = swung(exactly(mass), exactly(bar_mm), exactly(string_mm), exactly(seconds), swings);
    expect(value).toBeCloseTo((mass * 0.3 ** 2) / 12, 12);
  });

  it('weighs the strings apart and the time double', () => {
    const { value, off } = swung(give(1, 0.01), give(100, 1), give(500, 5), give(20, 0.2), 20);
    expect(off / value).toBeCloseTo(Math.hypot(0.01, 0.02, 0.01, 0.02), 3);
  });

  it('a bar about its end: a third of m·l² (Huygens and Steiner)', () => {
    expect(aboutAxis(exactly((2 * 0.6 ** 2) / 12), exactly(2), exactly(300)).value).toBeCloseTo((2 * 0.6 ** 2) / 3, 12);
  });
});

it('sag: a spring of 20 N·m/rad sinks as far as it should', () => {
  const turned = (0.5 * G * 0.06) / 20;
  const sag = exactly(200 * Math.tan(turned));
  expect(sagged(exactly(0.5), exactly(60), sag, exactly(200)).value).toBeCloseTo(20, 9);
});

it('stall: 3 Ω at 6 V draw 2 A, seen at 5.4 V beside 0.2 A of others', () => {
  expect(stalled(exactly(5.4 / 3 + 0.2), exactly(0.2), exactly(5.4), 6).value).toBeCloseTo(2, 12);
});

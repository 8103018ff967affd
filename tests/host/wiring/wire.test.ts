import { describe, expect, it } from 'vitest';
import { power_w, risesTo_v } from '../../../host/wiring/fed-back.ts';
import { FUSES_A, fuseFor } from '../../../host/wiring/fuse.ts';
import { WIRES, drop_v, resistance_ohm, wireFor } from '../../../host/wiring/wire.ts';

/** Largest resistance of a stranded conductor, class 5, plain copper, 20 °C, Ω/km: IEC 60228, table 3 (from memory). */
const CLASS_5: readonly (readonly [number, number])[] = [
  [0.5, 39],
  [0.75, 26],
  [1, 19.5],
  [1.5, 13.3],
  [2.5, 7.98],
  [4, 4.95],
  [6, 3.3],
];

describe('copper', () => {
  it.each(CLASS_5)('of %s mm² has at most 20 %% less resistance than a stranded conductor may have', (mm2, ohm_km) => {
    const ours = resistance_ohm(1000, mm2);
    expect(ours).toBeLessThan(ohm_km);
    expect(ours).toBeGreaterThan(0.8 * ohm_km);
  });

  it('of 1 m and 1 mm² has 1/58 ohm (IEC 60028)', () => {
    expect(resistance_ohm(1, 1)).toBeCloseTo(1 / 58, 6);
  });

  it('loses on the way there and back: 10 A over 2 m of 2.5 mm², by hand', () => {
    // 2 · 10 A · 1.7241e-8 Ω·m · 2 m / 2.5e-6 m² = 0.275856 V
    expect(drop_v(10, 2, 2.5)).toBeCloseTo(0.275856, 9);
  });

  it('bears more the thicker it is', () => {
    for (const [i, wire] of WIRES.entries()) {
      const next = WIRES[i + 1];
      if (next) expect([next.mm2 > wire.mm2, next.bears_a >= wire.bears_a]).toEqual([true, true]);
    }
  });
});

describe('the wire for a current', () => {
  it('is chosen by what it bears', () => {
    expect(wireFor({ bears_a: 10, drawn_a: 8 }, 0.1, Infinity)?.mm2).toBe(1);
    expect(wireFor({ bears_a: 10.3, drawn_a: 8 }, 0.1, Infinity)?.mm2).toBe(1);
    expect(wireFor({ bears_a: 10.4, drawn_a: 8 }, 0.1, Infinity)?.mm2).toBe(1.5);
  });

  it('is chosen by what it loses: 2.3 A over 0.5 m within 0.15 V takes 0.264 mm² by hand', () => {
    expect(wireFor({ bears_a: 2.3, drawn_a: 2.3 }, 0.5, 0.15)?.mm2).toBe(0.34);
    expect(wireFor({ bears_a: 2.3, drawn_a: 2.3 }, 0.5, 0.16)?.mm2).toBe(0.25);
  });

  it('is none when none does', () => {
    expect(wireFor({ bears_a: 32, drawn_a: 1 }, 0.1, Infinity)).toBeNull();
    expect(wireFor({ bears_a: 1, drawn_a: 1 }, 100, 0.01)).toBeNull();
    expect(wireFor({ bears_a: NaN, drawn_a: NaN }, 1, 1)).toBeNull();
  });
});

describe('the fuse for a current', () => {
  it.each([
    [0.1, 1],
    [2, 2],
    [2.01, 3],
    [5.1, 7.5],
    [14.8, 15],
    [40, 40],
    [40.1, null],
    [NaN, null],
  ])('%s A is %s A', (current, rating) => {
    expect(fuseFor(current)).toBe(rating);
  });

  it('is one of a rising list', () => {
    expect([...FUSES_A].sort((a, b) => a - b)).toEqual(FUSES_A);
  });
});

describe('what a falling load feeds back', () => {
  it('is torque times speed: 2 N·m at a servo behind a gear of 3, the joint at 0.5 rad/s, is 3 W', () => {
    expect(power_w(-2, { speed: 0.5, unit: 'deg', gear_ratio: 3 })).toBe(3);
    expect(power_w(100, { speed: 20, unit: 'mm', gear_ratio: 1 })).toBe(2);
  });

  it('lifts a capacitor by its energy: 0.025 J into 1000 µF at 5 V makes √75 V', () => {
    expect(risesTo_v(5, 0.025, 1e-3)).toBeCloseTo(Math.sqrt(75), 9);
  });
});

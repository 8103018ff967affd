/** How far the world may be from the file: each margin by hand for one axis, and what simulated metal makes of it. */
import { describe, expect, it } from 'vitest';
import { posturesOf, planLimits } from '../../../host/tune/plan.ts';
import { marginWords, marginsOf } from '../../../host/tune/margins.ts';
import type { Margin, Margins } from '../../../host/tune/result.ts';
import type { Trial } from '../../../host/tune/verify.ts';
import { changedRig, heavier } from '../../../host/tune/changed.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { OWL, TILT, rigFrom } from '../load/rigs.ts';

/** The axis alone: 0.9 kg at 50 mm, 6e-4 and rotor 2e-4·9 kg·m², 4.05 N·m and 120 deg/s at the axis. */
const NOD = rigFrom(TILT, [TILT.slice(TILT.indexOf('  lid:'), TILT.indexOf('motion:')), '']);
const RAD = Math.PI / 180;
const STALL = 1.5 * 3 * 0.9;
const HOLD = 0.9 * 9.80665 * 0.05;
const LOAD = 0.9 * 0.05 ** 2 + 6e-4;
const ROTOR = 2e-4 * 9;

const calm = (rig: Rig): Trial => ({
  joints: rig.joints.map(() => ({ saturated_ms: 0, peak_error: 0, pushes: 1, falls: false })),
  late: null,
  unsure: null,
  fell: null,
  rests_on: [],
  played: null,
});
const postures = posturesOf(NOD, null);
const plans = planLimits(NOD, postures, false);
const of = (margins: Margins, what: Margin['what']): Margin => margins.alone.find((one) => one.what === what)!;
const marginsWith = async (tryRig: (rig: Rig) => Trial): Promise<Margins> =>
  (await marginsOf({ rig: NOD, plans, postures, tryRig: (rig) => Promise.resolve(tryRig(rig)) }))!;

describe('margins of one axis', () => {
  const { speed, plus, plus_gone } = plans[0]!.limits;
  /** N·m to raise it at full speed with the acceleration that its limits leave there; and what there is, as a share of stall. */
  const accel = plus * Math.max(0, 1 - speed / plus_gone) * RAD;
  const needs = HOLD + (LOAD + ROTOR) * accel;
  const there = STALL * (1 - speed / 120);

  it('are by hand: the servo’s line less what raising takes at full speed', async () => {
    const margins = await marginsWith(calm);
    // Stall and no-load speed go with the voltage: stall·(1 - x)·(1 - v/(top·(1 - x))) = stall·(1 - x - v/top).
    const volts = 6 * (1 - (there - needs) / STALL);
    const voltage = of(margins, 'voltage');
    expect(voltage).toMatchObject({ unit: 'V', joint: 'nod' });
    // To the next tenth of a volt, of a percent where there is less than one, or of a percent: always to the safe side.
    expect(voltage.alone - volts).toBeGreaterThan(-0.005);
    expect(voltage.alone - volts).toBeLessThan(0.105);
    const isNear = (what: Margin['what'], share: number): void => {
      const { alone, unit, joint } = of(margins, what);
      expect([unit, joint]).toEqual(['percent', 'nod']);
      expect(alone - 100 * share).toBeLessThan(0.05);
      expect(alone - 100 * share).toBeGreaterThan(-1.05);
    };
    isNear('weight', (there - needs) / (HOLD + LOAD * accel));
    isNear('friction', (there - needs) / (1.5 * 3));
    isNear('damping', (there - needs) / (STALL * (speed / 120)));
    // All four take from the same torque: half of each is twice all of it.
    expect(margins.together).toEqual({ of: 0.5, holds: false, joint: 'nod' });
  });

  it('are lessened until simulated metal bears them', async () => {
    const before = of(await marginsWith(calm), 'voltage').alone;
    const stall = NOD.joints[0]!.servo.stall!;
    const weak = (rig: Rig): Trial => {
      const trial = calm(rig);
      const isWeak = rig.joints[0]!.servo.stall! < stall * 0.98;
      return isWeak ? { ...trial, joints: [{ ...trial.joints[0]!, saturated_ms: 4 }] } : trial;
    };
    const after = of(await marginsWith(weak), 'voltage');
    expect(after.alone).toBeGreaterThan(before);
    expect(after.alone).toBeGreaterThanOrEqual(0.98 * 6 - 0.1);
    expect(after.joint).toBe('nod');
  });

  it('are looked for down to a hundredth of what the sums give', async () => {
    const most = of(await marginsWith(calm), 'weight').alone;
    const mass = NOD.parts[0]!.mass_kg!;
    // The metal bears a tenth of it and no more.
    const weak = (rig: Rig): Trial => {
      const isHeavy = rig.parts[0]!.mass_kg! > mass * (1 + 0.12 * (most / 100));
      const trial = calm(rig);
      return isHeavy ? { ...trial, joints: [{ ...trial.joints[0]!, saturated_ms: 4 }] } : trial;
    };
    const found = of(await marginsWith(weak), 'weight').alone;
    expect(found).toBeGreaterThan(1);
    expect(found).toBeLessThan(0.12 * most);
  });

  it('are none at all where the metal bears nothing more', async () => {
    const trial = calm(NOD);
    const margins = await marginsWith(() => ({ ...trial, joints: [{ ...trial.joints[0]!, saturated_ms: 1 }] }));
    expect(margins.alone.map(({ alone }) => alone)).toEqual([6, 0, 0, 0]);
  });

  it('are in percent of the voltage where the file does not say how much it gives', async () => {
    const rig = { ...NOD, supply: null };
    const margins = await marginsOf({ rig, plans, postures, tryRig: (other) => Promise.resolve(calm(other)) });
    expect(of(margins!, 'voltage').unit).toBe('percent');
  });
});

describe('margins in words', () => {
  const alone: Margin[] = [
    { what: 'voltage', alone: 5.4, unit: 'V', joint: 'nod' },
    { what: 'weight', alone: 10, unit: 'percent', joint: 'nod' },
    { what: 'friction', alone: 5, unit: 'percent', joint: 'nod' },
    { what: 'damping', alone: 8, unit: 'percent', joint: 'nod' },
  ];
  const said =
    'these limits still hold with a supply down to 5.4 V, or 10 % more weight, or dry friction of 5 % of a servo’s stall torque, or drag of 8 % of stall torque at no-load speed, each on its own; beyond that nod runs out first';

  it('name figures, who runs out, and that they are not for all at once', () => {
    expect(marginWords({ alone, together: { of: 0.5, holds: true, joint: null } })).toBe(
      `${said}; they also hold with half of each together`,
    );
    expect(marginWords({ alone, together: { of: 0.5, holds: false, joint: 'nod' } })).toBe(
      `${said}; with half of each together, nod runs out`,
    );
  });

  it('say less than 1 % where nothing was found that holds, and then nothing of half of each', () => {
    const none = alone.map((one, k) => (k === 1 ? { ...one, alone: 0 } : one));
    const words = marginWords({ alone: none, together: { of: 0.5, holds: true, joint: null } });
    expect(words).toContain('or less than 1 % more weight');
    expect(words).not.toMatch(/ 0 %|half of each/);
  });

  it('name each where another runs out, and the legs as the legs', () => {
    const legs = alone.map((one, k) => (k === 1 ? { ...one, joint: 'legs' } : one));
    const words = marginWords({ alone: legs, together: { of: 0.5, holds: true, joint: null } });
    expect(words).toContain('5.4 V (then nod runs out), or 10 % more weight (then the legs run out)');
  });
});

describe('a heavier prop', () => {
  it('is so in the head and at face joints, not in what carries the platform', () => {
    const owl = rigFrom(OWL);
    const other = heavier(owl, 0.5);
    const masses = (rig: Rig, on: (name: string) => boolean): number[] =>
      rig.parts.filter((part) => on(part.on)).map(({ mass_kg }) => mass_kg ?? NaN);
    const isHead = (on: string): boolean => on === 'moving';
    expect(masses(other, isHead)).toEqual(masses(owl, isHead).map((mass) => expect.closeTo(1.5 * mass, 12)));
    expect(masses(other, (on) => !isHead(on))).toEqual(masses(owl, (on) => !isHead(on)));
    expect(other.joints.flatMap(({ load }) => load?.mass_kg ?? [])).toEqual(
      owl.joints.flatMap(({ load }) => (load?.mass_kg == null ? [] : [expect.closeTo(1.5 * load.mass_kg, 12)])),
    );
  });

  it('changes nothing but what it is told to', () => {
    expect(changedRig(NOD, { voltage: 0, weight: 0, friction: 0, damping: 0 })).toEqual(NOD);
    const { servo } = changedRig(NOD, { voltage: 0.1, weight: 0, friction: 0.05, damping: 0.25 }).joints[0]!;
    expect(servo.stall).toBeCloseTo(1.5 * 0.9, 12);
    expect(servo.no_load_speed).toBeCloseTo((2 * Math.PI * 0.9) / 1.25, 12);
    expect(servo.friction_nm).toBeCloseTo(0.05 * 1.5, 12);
  });
});

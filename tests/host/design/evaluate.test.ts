/**
 * The fast evaluator against the library's own reach and load on random candidates: cranks, actuators, with and without a carrier, rods
 * and cranks that weigh, counterweights, margins. `npm run bench` compares a thousand.
 */
import { describe, expect, it } from 'vitest';
import { type Design, designOf } from '../../../host/design/design.ts';
import { type Ask, sampleStream } from '../../../host/design/evaluate/ask.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES, HOPELESS } from '../../../host/design/figures.ts';
import { type Rig, toRad } from '../../../host/rig/rig.ts';
import { LIFT, rigFrom } from '../load/rigs.ts';
import { agreementOf } from './agreement.ts';
import { askOf, demoOwl, dusk, randomDesigns } from './candidates.ts';

const owl = demoOwl();
const stored = await dusk(owl);
const along = (rig: Rig) => sampleStream('dusk', rig, stored);

/** The owl's platform upright on the ground, all else of it gone. */
function grounded(): Rig {
  const platform = { ...owl.platform!, on: null, mount: { at_mm: [0, 0, 0], rpy_rad: [0, 0, 0] } } as const;
  const parts = owl.parts.filter(({ on }) => on === 'moving');
  return { ...owl, platform, parts, joints: owl.joints.filter(({ name }) => name !== 'nod') };
}

function agrees(ask: Ask, designs: readonly Design[], withStream = false): void {
  const found = agreementOf(ask, prepare(ask), designs, withStream ? stored : null);
  expect(found.travels).toBeGreaterThan(designs.length * 9);
  expect(found.holds).toBeGreaterThan(designs.length);
  expect(found).toMatchObject({ otherStops: 0, otherStable: 0, otherReach: 0 });
  expect(found.travel).toBeLessThan(1e-5);
  expect(found.hold).toBeLessThan(1e-9);
  expect(found.hz).toBeLessThan(1e-4);
  if (!withStream) return;
  expect(found.streams).toBeGreaterThan(designs.length / 4);
  expect(found.use).toBeLessThan(0.01);
  expect(found.current).toBeLessThan(0.01);
}

describe('of random candidates the evaluator says what reach and load say', () => {
  it('an owl on a geared axis, rods and cranks that weigh, margins, along dusk', () => {
    const ask = askOf(owl, {
      stream: along(owl),
      samples: randomDesigns(40, 99),
      margins: { weight: 1.1, voltage: 0.9 },
    });
    agrees(ask, randomDesigns(40, 3), true);
  });

  it('upright on the ground, where some are unstable, rod ends free, limits wide', () => {
    const rig = grounded();
    const wide = rig.joints.map((joint, i) => (i < 6 ? { ...joint, lo: toRad(-110), hi: toRad(110) } : joint));
    agrees(askOf({ ...rig, joints: wide, platform: { ...rig.platform!, rod_end_rad: null } }), randomDesigns(40, 4));
  });

  it('another gear ratio and a counterweight on the axis', () => {
    const designs = randomDesigns(20, 5).map((design, k): Design => ({
      ...design,
      axes: [{ joint: 'nod', gear_ratio: 2 + k / 10, counterweight: { kg: 0.05 * k, at_mm: 60 + 5 * k }, servo: -1 }],
    }));
    agrees(askOf(owl, { freeAxes: ['nod'], counterweights: ['nod'] }), designs);
  });

  it('actuators under a weight', () => {
    const rig = rigFrom(LIFT);
    const must = {
      ...askOf(rig).must,
      travels: Float64Array.from([5, 5, 5, 5, 6, 6, 0.04, 0.04, 0.04, 0.04, 0.06, 0.06]),
    };
    const designs = randomDesigns(60, 6).map((design): Design => ({
      ...design,
      ...{ crank_mm: 0, rod_mm: 0, stroke_mm: [130, 200], home_z_mm: 120 + design.crank_mm },
    }));
    const ask = askOf(rig, { must });
    const found = agreementOf(ask, prepare(ask), designs, null);
    expect(found.travels).toBeGreaterThan(120);
    expect(found).toMatchObject({ otherStops: 0, otherStable: 0 });
    expect(found.travel).toBeLessThan(1e-5);
    expect(found.hold).toBeLessThan(1e-9);
    expect(found.hz).toBeLessThan(1e-4);
  });

  it('designed soft limits, with a leg that has narrower ones of its own and one that has wider', () => {
    const joints = owl.joints.map((joint, i) =>
      i === 4
        ? { ...joint, lo: toRad(-20), hi: toRad(15) }
        : i === 1
          ? { ...joint, lo: toRad(-80), hi: toRad(30) }
          : joint,
    );
    const designs = randomDesigns(20, 8).map((design, k) => ({
      ...design,
      limits: [toRad(-30 - k), toRad(51)] as const,
    }));
    const ownLimits = [false, true, false, false, true, false];
    agrees(askOf({ ...owl, joints }, { ownLimits }), designs);
  });

  it('plates kept as they were measured, not symmetric', () => {
    const legs = owl.platform!.legs.map((leg, i) => ({
      ...leg,
      base_mm: [leg.base_mm[0] + i, leg.base_mm[1] - i / 2, i / 3] as const,
    }));
    const rig: Rig = { ...owl, platform: { ...owl.platform!, legs } };
    agrees(askOf(rig, { keeps: { base: true, plate: false, azimuths: true } }), randomDesigns(20, 8));
  });
});

describe('facts of symmetric platforms', () => {
  const figuresOf = (ask: Ask, design: Design): Float64Array => {
    const out = new Float64Array(FIGURES);
    new Evaluation(prepare(ask)).figures(design, out);
    return out;
  };
  const ask = askOf(grounded());

  it('stands mirrored: as far left as right, leaning and turning alike (a mirror image in x, z is the same platform)', () => {
    for (const design of randomDesigns(20, 12)) {
      const out = figuresOf(ask, design);
      // y, roll and yaw.
      for (const k of [2, 6, 10]) expect(out[AT.travel + k]).toBeCloseTo(out[AT.travel + k + 1]!, 5);
    }
  });

  it('up and down: all six cranks stop at once, where the crank’s end and the rod are in one plane triangle (Pythagoras)', () => {
    const design = { ...designOf(grounded()), home_z_mm: null };
    const out = figuresOf(ask, design);
    const {
      crank_mm: a,
      rod_mm: s,
      base_radius_mm: R,
      base_half_rad: h,
      plate_radius_mm: r,
      plate_half_rad: g,
    } = design;
    // From leg2's crank axis to its rod end along and across the crank's way, which is 90 degrees from the pair's.
    const [along, across] = [r * Math.sin(g) - R * Math.sin(h), r * Math.cos(g) - R * Math.cos(h)];
    const height = (angle: number): number =>
      Math.sqrt(s * s - across ** 2 - (along - a * Math.cos(angle)) ** 2) + a * Math.sin(angle);
    const lift = (angle: number): number => height(angle) - height(0);
    expect(out[AT.home_z]).toBeCloseTo(height(0), 9);
    expect(out[AT.travel + 5]).toBeLessThanOrEqual(lift(toRad(60)) + 1e-5);
    const free = figuresOf(
      { ...ask, rig: { ...ask.rig, platform: { ...ask.rig.platform!, rod_end_rad: toRad(89) } } },
      design,
    );
    expect(free[AT.travel + 5]).toBeCloseTo(lift(toRad(60)), 4);
    expect(free[AT.travel + 4]).toBeCloseTo(-lift(toRad(-60)), 4);
    expect(free[AT.stop + 5]).toBe(16);
  });

  it('level and centred: each leg holds a sixth of the weight, by virtual work over its crank’s lift', () => {
    const at0 = askOf({
      ...grounded(),
      parts: [
        {
          name: 'ball',
          on: 'moving',
          mass_kg: 1,
          at_mm: [0, 0, 20],
          shape: null,
          inertia_kgmm2: [1, 1, 1],
          fitted: true,
        },
      ],
    });
    const rig = {
      ...at0.rig,
      platform: { ...at0.rig.platform!, crank_kg: 0, rod_kg: 0 },
      joints: at0.rig.joints.slice(0, 6),
    };
    const design = { ...designOf(rig), home_z_mm: null };
    const out = figuresOf(askOf(rig, { must: { ...at0.must, travels: new Float64Array(12), together: 0 } }), design);
    // At home cranks are level: a small turn lifts every rod's end, and the plate, by crank · angle.
    expect(out[AT.hold]).toBeCloseTo((9.80665 * design.crank_mm * 1e-3) / 6, 9);
  });
});

describe('whatever the design', () => {
  const ask = askOf(owl, { stream: along(owl), samples: randomDesigns(10, 98) });
  const prepared = prepare(ask);
  const evaluation = new Evaluation(prepared);
  const base = randomDesigns(1, 7)[0]!;

  it.each([
    ['a rod shorter than the crank', { rod_mm: 10 }],
    ['no length at all', { rod_mm: 0, crank_mm: 0 }],
    ['not a number', { rod_mm: NaN }],
    ['plates that the rods cannot span', { base_radius_mm: 500 }],
    [
      'both plates alike, where it hangs loose',
      { plate_radius_mm: base.base_radius_mm, plate_half_rad: base.base_half_rad },
    ],
    ['a home out of reach', { home_z_mm: 400 }],
    ['a plate of a point', { plate_radius_mm: 0 }],
  ])('every figure is finite: %s', (_, changes) => {
    const out = new Float64Array(FIGURES).fill(NaN);
    evaluation.figures({ ...base, ...changes }, out);
    for (const value of out) expect(Math.abs(value)).toBeLessThanOrEqual(HOPELESS);
    if (!(out[AT.stands] === 1)) expect(out[AT.use]).toBe(HOPELESS);
  });

  it('the same bits from another evaluator, in any order', () => {
    const designs = randomDesigns(30, 21);
    const other = new Evaluation(prepare(ask));
    const [one, two] = [designs.map(() => new Float64Array(FIGURES)), designs.map(() => new Float64Array(FIGURES))];
    designs.forEach((design, k) => evaluation.figures(design, one[k]!));
    [...designs.keys()].reverse().forEach((k) => other.figures(designs[k]!, two[k]!));
    expect(two).toEqual(one);
  });
});

/** Travel that bodies leave free: the evaluator's against the library's, of random candidates of two rigs; and where it is known in closed form. */
import { describe, expect, it } from 'vitest';
import { type Design, designOf } from '../../../host/design/design.ts';
import { type Ask, TRAVELS } from '../../../host/design/evaluate/ask.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { freeAlong } from '../../../host/reach/free-travel.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';
import { HOME, type Rig } from '../../../host/rig/rig.ts';
import { LIFT, rigFrom } from '../load/rigs.ts';
import { WANTED, askOf, demoOwl, randomDesigns } from './candidates.ts';

const SMALL = usualClearance({ servo_body_mm: [20, 30, 30], axes_above_base_mm: 26, plate_below_studs_mm: 4 });
const wanting = (travels: Float64Array) => ({ travels, together: 0, spare: 0, built_within_mm: 0.5 });

const owlAsk = (travels: Float64Array): Ask => askOf(demoOwl(), { must: wanting(travels), clearance: SMALL });

interface Compared {
  candidates: number;
  ways: number;
  /** Ways that bodies cut short for the library. */
  cut: number;
  /** Of them those on which the evaluator's looks miss the first place. */
  missed: number;
  /** Largest difference of the others, as a share of the way from where looking begins. */
  off: number;
  /** Ways that the evaluator cuts shorter than the library does, beyond what its halvings leave. */
  shorter: number;
}

/** Candidates that have room where each wanted travel ends, and their wanted ways. */
function compare(ask: Ask, designs: readonly Design[]): Compared {
  const evaluation = new Evaluation(prepare(ask));
  const figures = new Float64Array(FIGURES);
  const { travels } = ask.must;
  const all = travels.every((by) => by === 0);
  const found: Compared = { candidates: 0, ways: 0, cut: 0, missed: 0, off: 0, shorter: 0 };
  for (const design of designs) {
    evaluation.figures(design, figures);
    const holds = travels.every((by, k) => figures[AT.travel + k]! >= by);
    if (!(
      figures[AT.stands] === 1 &&
      figures[AT.unstable] === 0 &&
      figures[AT.clearance]! >= ask.clearance.gap_mm &&
      holds
    ))
      continue;
    const rig = candidateRig(ask, design)!;
    found.candidates++;
    for (let k = 0; k < TRAVELS; k++) {
      const [most, by] = [figures[AT.travel + k]!, figures[AT.free + k]!];
      expect(by).toBeLessThanOrEqual(most);
      if (!all && travels[k] === 0) {
        expect(by).toBe(most);
        continue;
      }
      const own = freeAlong(rig.platform!, ask.clearance, {
        from: HOME,
        axis: (k >> 1) as 0,
        sign: k & 1 ? 1 : -1,
        most,
      });
      found.ways++;
      if (own.between) found.cut++;
      const off = (by - own.by) / (most - travels[k]!);
      if (off > 2e-4) found.missed++;
      else if (off < -1 / 4096 - 2e-5) found.shorter++;
      else found.off = Math.max(found.off, Math.abs(off));
    }
  }
  return found;
}

const lifts = randomDesigns(250, 6).map((design): Design => ({
  ...design,
  ...{ crank_mm: 0, rod_mm: 0, stroke_mm: [100, 240], home_z_mm: 120 + design.crank_mm },
}));

describe('candidates', () => {
  it.each([
    ['of the owl, all ways', owlAsk(new Float64Array(TRAVELS)), randomDesigns(500, 71)],
    ['of the owl, beyond what is wanted', owlAsk(WANTED.map((by) => by / 2)), randomDesigns(1000, 72)],
    [
      'of a lift with thick actuators',
      askOf(rigFrom(LIFT), {
        must: wanting(new Float64Array(TRAVELS)),
        clearance: usualClearance({ rod_thick_mm: 18 }),
      }),
      lifts,
    ],
  ] as const)('%s: as far as the library says', (_, ask, designs) => {
    const found = compare(ask, designs);
    expect(found.candidates).toBeGreaterThan(100);
    expect(found.cut).toBeGreaterThan(50);
    expect(found.shorter).toBe(0);
    // The library looks at more places on the way.
    expect(found.missed).toBeLessThan(0.01 * found.ways);
    expect(found.off).toBeLessThan(1 / 4096 + 2e-5);
  });
});

/** The owl's platform upright on the ground, all else of it gone. */
function grounded(): Rig {
  const owl = demoOwl();
  const platform = { ...owl.platform!, on: null, mount: { at_mm: [0, 0, 0], rpy_rad: [0, 0, 0] } } as const;
  const parts = owl.parts.filter(({ on }) => on === 'moving');
  return { ...owl, platform, parts, joints: owl.joints.filter(({ name }) => name !== 'nod') };
}

it('straight down it ends where the cranks’ ends come to the gap over the base plate (Pythagoras)', () => {
  // Axes 22 mm over the plate, rods 6 mm thick, a gap of 2 mm: the ends may hang 17 mm down.
  const clearance = usualClearance({ servo_body_mm: [20, 30, 30], axes_above_base_mm: 22 });
  const ask = askOf(grounded(), { must: wanting(new Float64Array(TRAVELS)), clearance });
  const design = { ...designOf(grounded()), home_z_mm: null };
  const out = new Float64Array(FIGURES);
  new Evaluation(prepare(ask)).figures(design, out);
  const { crank_mm: a, rod_mm: s, base_radius_mm: R, base_half_rad: h, plate_radius_mm: r, plate_half_rad: g } = design;
  const [along, across] = [r * Math.sin(g) - R * Math.sin(h), r * Math.cos(g) - R * Math.cos(h)];
  const height = (sunk: number): number =>
    Math.sqrt(s * s - across ** 2 - (along - Math.sqrt(a * a - sunk * sunk)) ** 2) - sunk;
  const down = height(0) - height(17);
  expect(out[AT.travel + 4]).toBeGreaterThan(down + 0.5);
  expect(out[AT.free + 4]).toBeLessThanOrEqual(down + 1e-9);
  expect(out[AT.free + 4]).toBeGreaterThan(down - out[AT.travel + 4]! / 4096);
});

it('a candidate that has no room where it stands is as free as its legs', () => {
  const ask = askOf(grounded(), {
    must: wanting(new Float64Array(TRAVELS)),
    clearance: usualClearance({ gap_mm: 30 }),
  });
  const out = new Float64Array(FIGURES);
  new Evaluation(prepare(ask)).figures({ ...designOf(grounded()), home_z_mm: null }, out);
  expect(out[AT.clearance]).toBeLessThan(30);
  expect(out.slice(AT.free, AT.free + TRAVELS)).toEqual(out.slice(AT.travel, AT.travel + TRAVELS));
});

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

const LOOSE = { lowest_hz: null, use: null, hold_use: null, height_mm: null };
const owlAsk = (travels: Float64Array): Ask =>
  askOf(demoOwl(), { must: wanting(travels), clearance: SMALL, bounds: LOOSE });

interface Compared {
  candidates: number;
  /** Candidates that bodies cut shorter than legs for the library. */
  cut: number;
  /** Of them those of which the evaluator's looks miss the first place. */
  missed: number;
  /** Candidates that the evaluator cuts shorter than the library does, beyond what its halvings leave. */
  shorter: number;
  /** Largest difference of the others, as a share of the way on which it looks. */
  off: number;
}

/** Candidates that have room where each wanted travel ends. @param wanted what shares are of */
function compare(ask: Ask, wanted: Float64Array, designs: readonly Design[]): Compared {
  const evaluation = new Evaluation(prepare(ask));
  const figures = new Float64Array(FIGURES);
  const { travels } = ask.must;
  const covered = travels.some((by) => by > 0) ? 1 : 0;
  const found: Compared = { candidates: 0, cut: 0, missed: 0, shorter: 0, off: 0 };
  for (const design of designs) {
    evaluation.figures(design, figures);
    const isFar = travels.every((by, k) => figures[AT.travel + k]! >= by);
    const hasRoom = figures[AT.clearance]! >= ask.clearance.gap_mm;
    const stands = figures[AT.stands] === 1 && figures[AT.unstable] === 0;
    if (!(stands && hasRoom && isFar)) continue;
    const { platform } = candidateRig(ask, design)!;
    let [legs, own] = [Infinity, Infinity];
    for (let k = 0; k < TRAVELS; k++) {
      if (wanted[k] === 0) continue;
      const most = figures[AT.travel + k]!;
      const way = { from: HOME, axis: (k >> 1) as 0, sign: k & 1 ? 1 : -1, most } as const;
      legs = Math.min(legs, most / wanted[k]!);
      own = Math.min(own, freeAlong(platform!, ask.clearance, way).by / wanted[k]!);
    }
    found.candidates++;
    if (own < legs) found.cut++;
    const off = (figures[AT.free]! - own) / (legs - covered);
    if (off > 2e-4) found.missed++;
    else if (off < -1 / 512 - 2e-4) found.shorter++;
    else found.off = Math.max(found.off, Math.abs(off));
  }
  return found;
}

const lifts = randomDesigns(250, 6).map((design): Design => ({
  ...design,
  ...{ crank_mm: 0, rod_mm: 0, stroke_mm: [100, 240], home_z_mm: 120 + design.crank_mm },
}));

/** Of a want that asks for no travel: 20 mm and 0.3 rad. */
const USUAL = Float64Array.from({ length: TRAVELS }, (_, k) => (k < TRAVELS / 2 ? 20 : 0.3));
const YAW = Float64Array.from({ length: TRAVELS }, (_, k) => (k >= 10 ? 0.1 : 0));
const HALF = WANTED.map((by) => by / 2);

describe('candidates', () => {
  it.each([
    ['of the owl, all ways', owlAsk(new Float64Array(TRAVELS)), USUAL, randomDesigns(500, 71)],
    ['of the owl, beyond what is wanted', owlAsk(HALF), HALF, randomDesigns(1000, 72)],
    [
      'of a lift with thick actuators that turns',
      askOf(rigFrom(LIFT), {
        must: wanting(YAW),
        bounds: LOOSE,
        clearance: usualClearance({ rod_thick_mm: 18 }),
      }),
      YAW,
      lifts,
    ],
  ] as const)('%s: as far as the library says', (_, ask, wanted, designs) => {
    const found = compare(ask, wanted, designs);
    expect(found.candidates).toBeGreaterThan(100);
    expect(found.cut).toBeGreaterThan(15);
    expect(found.shorter).toBe(0);
    // The library looks at more places on the way.
    expect(found.missed).toBeLessThan(0.01 * found.candidates);
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
  const wanted = 10;
  const travels = Float64Array.from({ length: TRAVELS }, (_, k) => (k === 4 ? wanted : 0));
  const ask = askOf(grounded(), { must: wanting(travels), clearance, bounds: LOOSE });
  const design = { ...designOf(grounded()), home_z_mm: null };
  const out = new Float64Array(FIGURES);
  new Evaluation(prepare(ask)).figures(design, out);
  const { crank_mm: a, rod_mm: s, base_radius_mm: R, base_half_rad: h, plate_radius_mm: r, plate_half_rad: g } = design;
  const [along, across] = [r * Math.sin(g) - R * Math.sin(h), r * Math.cos(g) - R * Math.cos(h)];
  const height = (sunk: number): number =>
    Math.sqrt(s * s - across ** 2 - (along - Math.sqrt(a * a - sunk * sunk)) ** 2) - sunk;
  const down = height(0) - height(17);
  const legs = out[AT.travel + 4]!;
  expect(down).toBeGreaterThan(wanted + 0.5);
  expect(legs).toBeGreaterThan(down + 0.5);
  expect(wanted * out[AT.free]!).toBeLessThanOrEqual(down + 1e-6);
  expect(wanted * out[AT.free]!).toBeGreaterThan(down - (legs - wanted) / 512);
});

it.each([
  ['has no room where it stands', usualClearance({ gap_mm: 30 }), LOOSE],
  ['swings slower than asked', SMALL, { ...LOOSE, lowest_hz: 99 }],
] as const)('a candidate that %s is as free as its legs', (_, clearance, bounds) => {
  const ask = askOf(grounded(), { must: wanting(HALF), clearance, bounds });
  const out = new Float64Array(FIGURES);
  new Evaluation(prepare(ask)).figures({ ...designOf(grounded()), home_z_mm: null }, out);
  const shares = [...HALF.keys()].filter((k) => HALF[k]! > 0).map((k) => out[AT.travel + k]! / HALF[k]!);
  expect(out[AT.free]).toBe(Math.min(...shares));
  expect(out[AT.free]).toBeGreaterThan(0);
});

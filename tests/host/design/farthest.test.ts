/** What an axis holds at the hardest place that soft limits allow: the evaluator's estimate against the search of `load`. */
import { describe, expect, it } from 'vitest';
import type { Design } from '../../../host/design/design.ts';
import type { Ask } from '../../../host/design/evaluate/ask.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { HardestHold } from '../../../host/load/hardest-hold.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { askOf, randomDesigns } from './candidates.ts';
import { OWL_TEXT } from './want/wants.ts';

const nod: Partial<Ask> = {
  freeAxes: ['nod'],
  bounded: ['nod'],
  counterweights: ['nod'],
  // No part of what `load` says.
  margins: { weight: 1.3, voltage: 0.7 },
};

/** With counterweights that leave little to hold at home, behind other gears. */
const designs = randomDesigns(300, 5).map((design, k): Design => ({
  ...design,
  axes: [
    {
      joint: 'nod',
      gear_ratio: 2 + (k % 5) / 4,
      counterweight: { kg: (0.7 * (k % 7)) / 6, at_mm: 120 + (k % 4) * 20 },
      servo: -1,
    },
  ],
}));

/** Of the first designs that stand: the estimate over what `load` finds. */
function ratios(rig: Rig, count: number): number[] {
  const ask = askOf(rig, nod);
  const prepared = prepare(ask);
  const evaluation = new Evaluation(prepared);
  const row = AT.axis_most + prepared.axes.indexOf('nod');
  const out = new Float64Array(FIGURES);
  const all: number[] = [];
  for (const design of designs) {
    evaluation.figures(design, out);
    const own = candidateRig(ask, design);
    if (!own || out[AT.stands] !== 1) continue;
    all.push(out[row]! / new HardestHold(own).of(6));
    if (all.length === count) break;
  }
  return all.sort((a, b) => a - b);
}

const withoutCounterweight = OWL_TEXT.replace(
  'shape: { box: { size_mm: [30, 80, 30] } } }',
  'inertia_kgmm2: [9, 9, 9], fitted: false }',
);
const rigOf = (...changes: (readonly [string, string])[]): Rig =>
  readRig(changes.reduce((text, [from, to]) => text.replace(from, to), withoutCounterweight)).rig!;

describe('the most that an axis holds within the soft limits', () => {
  it.each([
    ['the demo’s, its base upright', 0.96, rigOf()],
    [
      'a level base over the axis',
      0.84,
      rigOf(['rpy_deg: [0, 90, 0]', 'rpy_deg: [0, 0, 0]'], ['[30, 0, 55]', '[0, 0, 60]']),
    ],
    [
      'a base and an axis that lean',
      0.92,
      rigOf(['rpy_deg: [0, 90, 0]', 'rpy_deg: [0, 45, 20]'], ['along: [0, -1, 0]', 'along: [0.3, -1, 0.2]']),
    ],
  ])('%s: as load finds it, %f of it at least', (_, least, rig) => {
    const all = ratios(rig, 24);
    expect(all).toHaveLength(24);
    expect(all[0]).toBeGreaterThan(least);
    expect(all[23]).toBeLessThan(1.03);
    expect(all[12]).toBeGreaterThan(0.93);
  });
});

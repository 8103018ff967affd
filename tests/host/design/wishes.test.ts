/** Wishes and faults of figures that are no numbers: nothing of them may pass for held. */
import { describe, expect, it } from 'vitest';
import { askOf } from '../../../host/design/ask-of.ts';
import { designOf } from '../../../host/design/design.ts';
import { FIGURES } from '../../../host/design/figures.ts';
import { subjectOf } from '../../../host/design/problem-of.ts';
import { FAULTS, faultsOf, shortOf } from '../../../host/design/wishes.ts';
import { StoredStream } from '../../../host/stream/stored.ts';
import { LIFT, rigFrom } from '../load/rigs.ts';
import { NECK, wantOf } from './want/wants.ts';

const bare = wantOf(NECK.replace('servo: [neck]', 'servo: [neck], most_nm: 0.5'));
const follow = { name: 'still.csv', stored: new StoredStream(bare.base.joints.length - 6) };
const want = { ...bare, must: { ...bare.must, follow } };
const nothing = new Float64Array(FIGURES).fill(NaN);
const design = { ...designOf(bare.base), axes: [] };

it('every wish falls short of NaN', () => {
  const { wishes } = subjectOf({ want, ask: askOf(bare) });
  const paths = wishes.map(({ path }) => path);
  expect(paths).toEqual(expect.arrayContaining(['must.follow', 'firm.use', 'axes.nod.most_nm']));
  expect(wishes.filter((wish) => !(shortOf(wish, nothing, design) > 0)).map(({ path }) => path)).toEqual([]);
});

it('every fault is there where figures are NaN, but that of pulses, which rest on no figure', () => {
  const faults = faultsOf(want, askOf(bare))(nothing, design);
  expect(faults).toHaveLength(FAULTS);
  for (const fault of faults.slice(0, -1)) expect(fault).toBeGreaterThan(0);
});

describe('pulses of actuators with another stroke', () => {
  // 30 mm between the soft limits, 20 µs/mm about mid-stroke at 1500 µs: 1200 to 1800 µs.
  const lift = rigFrom(LIFT, ['us_per_mm: 14', 'us_per_mm: 20'], ['stroke_mm: [130, 200]', 'stroke_mm: [145, 175]']);
  const linear = { ...want, base: lift, servos: [], axes: [] };
  const fault = (stroke_mm: readonly [number, number]): number =>
    faultsOf(linear, askOf(bare))(nothing, { ...designOf(lift), axes: [], servo: -1, stroke_mm }).at(-1)!;

  it('what fits the range is no fault, wherever the stroke begins', () => {
    expect(fault([145, 175])).toBe(0);
    expect(fault([245, 275])).toBe(0);
  });

  it('is by what share of the range they lie beyond it', () => {
    // 80 mm of stroke, 5 mm of it outside of the soft limits at each end: 35 mm from the middle, 700 µs, 200 beyond 500 of 1000.
    expect(fault([180, 260])).toBeCloseTo(0.2, 9);
  });

  it('counts at either end of the range', () => {
    // Soft limits 20 and 30 mm inside 130 to 200 mm: of a stroke of 180 to 280 mm 200 to 250, 30 below and 20 above its middle: 900 µs.
    const uneven = rigFrom(LIFT, ['us_per_mm: 14', 'us_per_mm: 20']);
    const beyond = faultsOf({ ...linear, base: uneven }, askOf(bare))(nothing, {
      ...designOf(uneven),
      ...{ axes: [], servo: -1, stroke_mm: [180, 280] },
    });
    expect(beyond.at(-1)).toBeCloseTo(0.1, 9);
  });
});

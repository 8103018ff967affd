/** Wishes and faults of figures that are no numbers: nothing of them may pass for held. */
import { expect, it } from 'vitest';
import { askOf } from '../../../host/design/ask-of.ts';
import { designOf } from '../../../host/design/design.ts';
import { FIGURES } from '../../../host/design/figures.ts';
import { subjectOf } from '../../../host/design/problem-of.ts';
import { FAULTS, faultsOf, shortOf } from '../../../host/design/wishes.ts';
import { StoredStream } from '../../../host/stream/stored.ts';
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

/** What a search begins with, or goes on with: islands by the evaluations alone, and what is in the folder where nothing else is said. */
import { mkdirSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { beginning } from '../../../../host/cli/design/beginning.ts';
import type { Asked } from '../../../../host/cli/design/options.ts';
import { writeState } from '../../../../host/cli/design/result-folder.ts';
import { type Plan, searchOf } from '../../../../host/design/search/search.ts';
import { writeSearch } from '../../../../host/design/search/state.ts';
import { scratch } from '../fixture.ts';

const folder = scratch();
afterAll(folder.remove);
const SHAPE = { dims: 2, objectives: 2, constraints: 1 };
const NOTHING: Asked = {
  want: 'want.yaml',
  folder: folder.path('there'),
  seed: null,
  evaluations: null,
  minutes: null,
  workers: null,
  shard: null,
  resume: false,
  force: false,
};
const begun = (asked: Partial<Asked>) => beginning({ ...NOTHING, ...asked }, 'digest', SHAPE);

function saved(plan: Omit<Plan, 'subject'>): void {
  mkdirSync(NOTHING.folder, { recursive: true });
  const search = searchOf(SHAPE, { subject: 'digest', ...plan }, { k: 2, of: 2 });
  expect(writeState(NOTHING.folder, writeSearch(search))).toBeNull();
}

describe('a search that begins', () => {
  it.each([
    [18_000, 3, 6000],
    [6000, 1, 6000],
    [900, 1, 900],
    [100_000, 17, 5883],
  ])('of %i evaluations has %i islands of %i, in however many shards', (evaluations, islands, each) => {
    for (let of = 1; of <= Math.min(3, islands); of++)
      expect(begun({ evaluations, shard: { k: of, of } })).toMatchObject({
        plan: { islands, each },
        shard: { k: of, of },
      });
    expect(begun({ evaluations, shard: { k: 1, of: islands + 1 } })).toMatchObject({ problem: { path: '' } });
  });
});

describe('a search that goes on', () => {
  it('has the seed, the evaluations and the shard that it had', () => {
    saved({ seed: 7, islands: 2, each: 6000 });
    expect(begun({ resume: true })).toMatchObject({
      plan: { seed: 7, islands: 2, each: 6000 },
      shard: { k: 2, of: 2 },
    });
  });

  it('has no other seed or shard, and no other subject', () => {
    saved({ seed: 7, islands: 2, each: 6000 });
    expect(begun({ resume: true, seed: 7, shard: { k: 2, of: 2 } })).toMatchObject({ plan: { seed: 7 } });
    expect(begun({ resume: true, seed: 8 })).toMatchObject({
      problem: { path: '', message: expect.stringContaining('found 8; allowed: 7') as string },
    });
    expect(begun({ resume: true, shard: { k: 1, of: 2 } })).toMatchObject({
      problem: { message: expect.stringContaining('found 1/2; allowed: 2/2') as string },
    });
    expect(beginning({ ...NOTHING, resume: true }, 'another', SHAPE)).toMatchObject({
      problem: { message: expect.stringContaining('does not fit') as string },
    });
  });

  it('goes on beyond them for more islands of the same size, and no fewer', () => {
    saved({ seed: 7, islands: 2, each: 6000 });
    expect(begun({ resume: true, evaluations: 30_000 })).toMatchObject({ plan: { islands: 5, each: 6000 } });
    for (const evaluations of [6000, 12_500])
      expect(begun({ resume: true, evaluations })).toMatchObject({
        problem: { message: expect.stringContaining('allowed: 12000') as string },
      });
  });

  it('by the clock has the minutes that it had, or others', () => {
    saved({ seed: 1, islands: null, each: 6000, minutes: 10 });
    expect(begun({ resume: true })).toMatchObject({ plan: { islands: null, minutes: 10 } });
    expect(begun({ resume: true, minutes: 2 })).toMatchObject({ plan: { islands: null, minutes: 2 } });
    expect(begun({ resume: true, evaluations: 6000 })).toMatchObject({
      problem: { message: expect.stringContaining('goes by the clock') as string },
    });
  });
});

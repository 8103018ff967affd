/** Pauses, shards and the order of things leave no trace: what is found is the same to the last bit. */
import { expect, it } from 'vitest';
import { type Problem, evaluatedHere } from '../../../../host/design/search/problem.ts';
import { type Plan, type Search, outcome, run, searchOf } from '../../../../host/design/search/search.ts';
import { misfit, readSearch, writeSearch } from '../../../../host/design/search/state.ts';
import { bits, plan, searched } from './fixture.ts';
import { planted } from './planted.ts';
import { DTLZ2, PRESSURE_VESSEL, SRN } from './published.ts';

const reread = (search: Search): Search => {
  const { search: again, problem } = readSearch(writeSearch(search));
  expect(problem).toBeNull();
  return again!;
};

/** Stopped, written down and read back after every so many batches. */
async function inPieces(problem: Problem, of: Plan, batches: number): Promise<Search> {
  let search = searchOf(problem, of);
  for (let more = true; more;) {
    let left = batches;
    more = false;
    await run(search, evaluatedHere(problem), { isOver: () => left-- <= 0 && (more = true) });
    search = reread(search);
  }
  return search;
}

it.each([
  ['one objective', planted({ seed: 4, dims: 6, walls: 2 }), plan(7, 900, 2)],
  ['one objective in steps', PRESSURE_VESSEL, plan(7, 1500, 2)],
  ['three objectives', DTLZ2, plan(7, 1200, 2)],
  ['two objectives and constraints', SRN, plan(-3, 1100, 4)],
])('%s: a search stopped after every batch goes on as if it never had been', async (_name, problem, of) => {
  const whole = searchOf(problem, of);
  await run(whole, evaluatedHere(problem));
  for (const batches of [1, 7]) {
    const pieces = await inPieces(problem, of, batches);
    expect(bits(outcome([pieces])) === bits(outcome([whole]))).toBe(true);
    expect(writeSearch(pieces) === writeSearch(whole)).toBe(true);
  }
  expect(outcome([whole])).toMatchObject({ isComplete: true, evaluated: of.each * of.islands! });
});

it.each([2, 3, 5, 7])('of %i shards, merged in any order, what one machine finds', async (count) => {
  const of = plan(5, 700, 5);
  const whole = await searched(SRN, of);
  const shards: Search[] = [];
  for (let k = count; k >= 1; k--) {
    const shard = searchOf(SRN, of, { k, of: count });
    await run(shard, evaluatedHere(SRN));
    expect(shard.islands.map(({ index }) => index % count)).toEqual(shard.islands.map(() => k - 1));
    shards.push(reread(shard));
  }
  expect(bits(outcome(shards)) === bits(whole)).toBe(true);
  expect(outcome(shards.slice(1)).isComplete).toBe(count === 7);
});

it('an island that is not there is begun when the search goes on, wherever it stands', async () => {
  const of = plan(5, 700, 3);
  const parts = [1, 3].map((k) => searchOf(SRN, of, { k, of: 3 }));
  for (const part of parts) await run(part, evaluatedHere(SRN));
  const merged: Search = { ...searchOf(SRN, of), islands: parts.flatMap(({ islands }) => islands) };
  await run(merged, evaluatedHere(SRN));
  expect(merged.islands.map(({ index }) => index)).toEqual([0, 2, 1]);
  expect(bits(outcome([merged])) === bits(await searched(SRN, of))).toBe(true);
});

it('another seed, and another island, find otherwise', async () => {
  const fronts = await Promise.all([plan(1, 600), plan(2, 600)].map((of) => searched(SRN, of)));
  expect(bits(fronts[0]) === bits(fronts[1])).toBe(false);
  const search = searchOf(SRN, plan(1, 600, 2));
  await run(search, evaluatedHere(SRN));
  expect(bits(search.islands[0]!.archive) === bits(search.islands[1]!.archive)).toBe(false);
});

it('an abort keeps what was found, and the search goes on from there', async () => {
  const of = plan(1, 1500, 2);
  const stop = new AbortController();
  const search = searchOf(SRN, of);
  await run(search, evaluatedHere(SRN), {
    signal: stop.signal,
    onProgress: ({ evaluated }) => evaluated > 1000 && stop.abort(),
  });
  const found = outcome([search]);
  expect(found.evaluated).toBeGreaterThan(1000);
  expect(found.evaluated).toBeLessThan(1200);
  expect(found.front.length).toBeGreaterThan(10);
  expect(found.isComplete).toBe(false);
  await run(search, evaluatedHere(SRN));
  expect(bits(outcome([search])) === bits(await searched(SRN, of))).toBe(true);
});

it('an abort is heard from outside while a long search runs in this thread', async () => {
  const stop = new AbortController();
  setTimeout(() => stop.abort(), 20);
  const search = searchOf(SRN, { ...plan(1, 600), islands: null });
  const isOver = (): boolean => search.islands.length > 200;
  await run(search, evaluatedHere(SRN), { signal: stop.signal, isOver });
  expect([stop.signal.aborted, isOver()]).toEqual([true, false]);
  expect(outcome([search]).evaluated).toBeGreaterThan(0);
});

it('without a number of islands one after the other is begun for as long as there is time; progress says so', async () => {
  const search = searchOf(SRN, { ...plan(1, 400), islands: null }, { k: 2, of: 3 });
  let seen: unknown = null;
  await run(search, evaluatedHere(SRN), {
    isOver: () => search.islands.length >= 5,
    onProgress: (progress) => (seen = progress),
  });
  expect(search.islands.map(({ index }) => index).slice(0, 5)).toEqual([1, 4, 7, 10, 13]);
  expect(seen).toMatchObject({ of: null });
});

it('progress counts up to the budget with the best so far, which only gets better', async () => {
  const problem = planted({ seed: 1, dims: 6, walls: 2 });
  const counts: number[] = [];
  let last = Infinity;
  await run(searchOf(problem, plan(1, 700, 3)), evaluatedHere(problem), {
    onProgress: ({ evaluated, of, best: [best] }) => {
      counts.push(evaluated);
      expect(of).toBe(2100);
      if (best) expect(best.objectives[0]).toBeLessThanOrEqual(last);
      last = best?.objectives[0] ?? last;
    },
  });
  expect(counts).toEqual([...counts].sort((a, b) => a - b));
  expect(counts.at(-1)).toBe(2100);
  expect(last).toBeLessThan(1.5);
});

it('a state that is none, cut short or changed is refused in words', () => {
  const text = writeSearch(searchOf(SRN, plan(1, 600)));
  expect(readSearch('{"a": 1}').problem).toMatch(/not the state of a design search/);
  expect(readSearch(text.slice(0, -9)).problem).toMatch(/not the state of a design search/);
  expect(readSearch(text.replace('600', '700')).problem).toMatch(/damaged/);
  expect(readSearch('null').problem).toMatch(/not the state/);
});

it('searches of different plans, and an island twice, do not fit together', async () => {
  const search = searchOf(SRN, plan(1, 350, 2), { k: 1, of: 2 });
  await run(search, evaluatedHere(SRN));
  expect(misfit(search, searchOf(SRN, plan(1, 350, 2), { k: 2, of: 2 }))).toBeNull();
  expect(misfit(search, searchOf(SRN, plan(2, 350, 2)))).toMatch(/different searches/);
  expect(misfit(search, searchOf(DTLZ2, plan(1, 350, 2)))).toMatch(/different searches/);
  for (const other of [{ subject: 'another want' }, { islands: 3 }, { each: 400 }])
    expect(misfit(search, searchOf(SRN, { ...plan(1, 350, 2), ...other }, { k: 2, of: 2 }))).toMatch(
      /different searches/,
    );
  expect(misfit(search, reread(search))).toBe('it is the same shard as another, or holds a part of it');
});

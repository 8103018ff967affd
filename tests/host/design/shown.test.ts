/** Which of the designs that a search found are shown: those that hold as built first, and twins once. */
import { beforeAll, describe, expect, it } from 'vitest';
import type { Design } from '../../../host/design/design.ts';
import { Built } from '../../../host/design/evaluate/built.ts';
import { type Subject, describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { evaluatedHere } from '../../../host/design/search/problem.ts';
import { outcome, run, searchOf } from '../../../host/design/search/search.ts';
import { type Front, frontOf } from '../../../host/design/shown.ts';
import { written } from '../../../host/design/written.ts';
import { NECK, wantOf } from './want/wants.ts';

/** @param within_mm how far joints are off when it is built */
const subjectWith = (within_mm: number): Subject =>
  subjectOf(
    describeProblem(
      wantOf(
        NECK.replace('height_mm: 130', 'height_mm: 180')
          .replace('firm: { lowest_hz: 5 }', 'firm: {}')
          .replace('together: 0.5', `together: 0.5\n  built_within_mm: ${String(within_mm)}`)
          .replace(/axes:\n.*\n/, ''),
      ),
    ),
  );
/** Built so roughly, some designs hold and some do not. */
const rough = subjectWith(2);
const exact = subjectWith(0);
/** Of designs that the library agrees to: one that holds as built, one that only holds as drawn, one with other cranks than the first. */
let firm: Float64Array;
let drawn: Float64Array;
let other: Float64Array;

beforeAll(async () => {
  const { problem, space, want } = exact;
  const search = searchOf(problem, { subject: 'shown', seed: 1, islands: 1, each: 1800 });
  await run(search, evaluatedHere(problem));
  const found = outcome([search])
    .front.slice(0, 40)
    .map(({ x }) => ({ x, design: space.decode(x) }));
  // With limits drawn in, other objectives than those of these tests would count.
  const agreed = found.filter(({ design }) => {
    const own = written(want, design, {});
    return !('refused' in own) && own.design === design;
  });
  const built = new Built(rough.prepared);
  const holds = (design: Design): boolean => built.travels(design, rough.ask.must.travels).share >= 1;
  const first = agreed.find(({ design }) => holds(design))!;
  firm = first.x;
  drawn = agreed.find(({ design }) => !holds(design))!.x;
  other = agreed.find(({ design }) => design.crank_mm !== first.design.crank_mm)!.x;
}, 120_000);

/** Travel, use, price, size; a tenth more travel for a tenth more size from one to the next. `better`: by so much in use. */
const along = (x: Float64Array, count: number, better = 0) =>
  Array.from({ length: count }, (_, i) => ({
    x,
    objectives: Float64Array.of(-(1.1 ** i), 0.4 - better, 72, 1000 * 1.1 ** i),
  }));
const designsOf = ({ shown }: Front): Design[] => shown.map(({ design }) => design);
const robustOf = ({ shown }: Front): number[] => shown.map(({ robust }) => robust!);

describe('designs that hold as built', () => {
  it('come before those that only do as drawn, however much better these are', () => {
    const best = { x: drawn, objectives: Float64Array.of(-9, 0.1, 12, 100) };
    const points = [best, ...along(firm, 8)];
    expect(designsOf(frontOf(exact, points))).toEqual([exact.space.decode(drawn)]);
    const shown = robustOf(frontOf(rough, points));
    expect(shown).toHaveLength(8);
    for (const robust of shown) expect(robust).toBeGreaterThanOrEqual(1);
  }, 60_000);

  it('are all there where they are few, and the others fill up what is left of the eight', () => {
    const shown = robustOf(frontOf(rough, [...along(drawn, 7, 0.3), ...along(firm, 2)]));
    expect(shown.map((robust) => robust >= 1).sort()).toEqual([...Array<boolean>(6).fill(false), true, true]);
  }, 60_000);
});

describe('designs of the same parts', () => {
  /** Further in its travel and larger by a share of the larger figure: none is better in both, and both are more than a trifle. */
  const pair = (share: number, x = firm) => {
    const more = 1 / (1 - share);
    return [
      { x: firm, objectives: Float64Array.of(-1.5, 0.2, 72, 2000) },
      { x, objectives: Float64Array.of(-1.5 * more, 0.2, 72, 2000 * more) },
    ];
  };

  it.each([
    [0.039, 1],
    [0.041, 2],
  ])('that differ by a share of %d are shown as %d', (share, count) => {
    expect(frontOf(exact, pair(share)).shown).toHaveLength(count);
  });

  it('are one; with other cranks they are two', () => {
    expect(frontOf(exact, pair(0.039, other)).shown).toHaveLength(2);
  });
});

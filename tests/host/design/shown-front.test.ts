/** What is shown of what a search found: few that differ, with travel as a share of what was asked, each with a file of its own. */
import { beforeAll, describe, expect, it } from 'vitest';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { evaluatedHere } from '../../../host/design/search/problem.ts';
import { outcome, run, searchOf } from '../../../host/design/search/search.ts';
import { type Front, frontOf } from '../../../host/design/shown.ts';
import { readRig } from '../../../host/rig/read.ts';
import { plan } from './search/fixture.ts';
import { NECK, wantOf } from './want/wants.ts';

const EASY = NECK.replace('height_mm: 130', 'height_mm: 180')
  .replace('firm: { lowest_hz: 5 }', 'firm: {}')
  .replace(/axes:\n.*\n/, '');

describe('a front that is shown', () => {
  const subject = subjectOf(describeProblem(wantOf(EASY)));
  let front: Front;
  beforeAll(async () => {
    const search = searchOf(subject.problem, plan(1, 900));
    await run(search, evaluatedHere(subject.problem));
    front = frontOf(subject, outcome([search]).front);
  }, 60_000);

  it('says the least travel as a share of what was asked, each in its own unit', () => {
    expect(front.shown.length).toBeGreaterThan(2);
    for (const { travel_share, judged } of front.shown) {
      // Asked for: z -8 to 4 mm, roll 15 deg, pitch -12 to 9 deg.
      const [, , z, roll, pitch] = judged.travel;
      const shares = [
        z!.minus / -8,
        z!.plus / 4,
        roll!.minus / -15,
        roll!.plus / 15,
        pitch!.minus / -12,
        pitch!.plus / 9,
      ];
      expect(travel_share).toBeCloseTo(Math.min(...shares), 6);
      expect(travel_share).toBeGreaterThan(1 - 1e-4);
    }
  });

  it('has no two whose figures a builder could not tell apart, the most spare travel first', () => {
    const ways = front.shown.map(({ objectives }) => objectives[0]!);
    expect(ways).toEqual([...ways].sort((a, b) => a - b));
    for (const [i, one] of front.shown.entries())
      for (const other of front.shown.slice(i + 1)) {
        const apart = one.objectives.map((value, k) => Math.abs(value - other.objectives[k]!));
        // A hundredth of travel or use, half a unit of money, 10 cm³.
        expect([0.01, 0.01, 0.5, 10].some((alike, k) => apart[k]! >= alike)).toBe(true);
      }
  });

  it('gives each a file by its place and its reason, and the rig in it that name', () => {
    for (const [i, { file, name, judged }] of front.shown.entries()) {
      expect(file).toMatch(new RegExp(`^${String(i + 1)}-[a-z-]+\\.yaml$`));
      expect(name).toBe(`owl-neck-${String(i + 1)}`);
      expect(readRig(judged.text).rig!.name).toBe(name);
    }
  });
});

/** What is shown of what a search found: few that differ, with travel as a share of what was asked, each with a file of its own. */
import { beforeAll, describe, expect, it } from 'vitest';
import { AT } from '../../../host/design/figures.ts';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { evaluatedHere } from '../../../host/design/search/problem.ts';
import { outcome, run, searchOf } from '../../../host/design/search/search.ts';
import { type Front, frontOf } from '../../../host/design/shown.ts';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { roomAt } from '../../../host/physics/kinematics/bodies.ts';
import { reach } from '../../../host/reach/reach.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';
import { readRig } from '../../../host/rig/read.ts';
import { HOME, type Pose, toRad } from '../../../host/rig/rig.ts';
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

  it('searches for the travel that it shows', () => {
    for (const { travel_share, objectives, design } of front.shown) {
      // To 1/512 of what is beyond the wanted end.
      expect(Math.abs(-objectives[0]! - travel_share!)).toBeLessThan((travel_share! - 1) / 512 + 1e-4);
      // Half of it, with legs that go as far as before.
      const { figures } = subject.read(design);
      figures[AT.free]! /= 2;
      expect(-subject.objectivesOf(figures)[0]!).toBeCloseTo(-objectives[0]! / 2, 3);
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

  it('shows no travel on which reach warns that bodies come too near, or on which 60 looks find that they do', () => {
    let cut = 0;
    let cutAsked = 0;
    for (const { judged } of front.shown) {
      const { rig } = readRig(judged.text);
      const platform = rig!.platform!;
      const clearance = usualClearance(platform.clearance);
      const answer = reach(rig!, { at: HOME, planes: [], box: null, samples: 0, seed: 1, sensitivity: false });
      const [, ends = ''] = /no two bodies come nearer than gap_mm ends at (.*)\.$/.exec(answer.warnings.at(-1)!) ?? [];
      for (const [k, own] of judged.travel.entries())
        for (const way of ['minus', 'plus'] as const) {
          const told = [...ends.matchAll(/(-?)([\d.]+) \w+ of (\w+)/g)].find(
            ([, sign, , axis]) => axis === own.axis && (sign === '-') === (way === 'minus'),
          );
          const isCut = own[`${way}_stop`]?.cause === 'bodies';
          if (told) expect([isCut, Math.floor(10 * Math.abs(own[way])) / 10]).toEqual([true, Number(told[2])]);
          else if (!isCut) expect(own[way]).toBe(answer.axes[k]![way]);
          if (isCut) cut++;
          if (isCut && k > 1) cutAsked++;
          const by = own.unit === 'deg' ? toRad(own[way]) : own[way];
          for (let n = 1; n <= 60; n++) {
            const pose = HOME.map((_, c) => (c === k ? (by * n) / 60 : 0)) as unknown as Pose;
            const legs = inverse(platform, pose);
            if (legs) expect(roomAt(platform, clearance, legs, pose).mm).toBeGreaterThan(clearance.gap_mm - 1e-3);
          }
        }
    }
    expect(Math.min(cut, cutAsked)).toBeGreaterThan(0);
  });

  it('gives each a file by its place and its reason, and the rig in it that name', () => {
    for (const [i, { file, name, judged }] of front.shown.entries()) {
      expect(file).toMatch(new RegExp(`^${String(i + 1)}-[a-z-]+\\.yaml$`));
      expect(name).toBe(`owl-neck-${String(i + 1)}`);
      expect(readRig(judged.text).rig!.name).toBe(name);
    }
  });
});

/** Which wish to relax: only what gives way, an amount that holds when it is asked, and never a wish that is held. */
import { describe, expect, it } from 'vitest';
import { eased, givenWay, saferThan } from '../../../host/design/eased.ts';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { type Relaxing, relax } from '../../../host/design/relax.ts';
import { evaluatedHere } from '../../../host/design/search/problem.ts';
import type { Want } from '../../../host/design/want/want.ts';
import { NECK, wantOf } from './want/wants.ts';

const EASY = NECK.replace('height_mm: 130', 'height_mm: 180')
  .replace('firm: { lowest_hz: 5 }', 'firm: {}')
  .replace(/axes:\n.*\n/, '');

function relaxed(want: Want): Promise<Relaxing> {
  const subject = subjectOf(describeProblem(want));
  return relax(subject, evaluatedHere(subject.problem), { seed: 1, each: 1000, known: [] });
}

describe('relaxing', () => {
  it('wishes that can all be held is no answer: the designs that hold them are', async () => {
    const { relaxed: none, found, evaluated } = await relaxed(wantOf(EASY));
    expect(none).toEqual([]);
    expect(found.points.length).toBeGreaterThan(0);
    for (const { violation } of found.points) expect(violation).toBe(0);
    expect(evaluated).toBe(1000);
  }, 120_000);

  it.each([
    ['a travel', EASY.replace('roll_deg: 15', 'roll_deg: 15\n  yaw_deg: 170'), 'must.yaw_deg'],
    ['a height', EASY.replace('height_mm: 180', 'height_mm: 60'), 'room.height_mm'],
  ])(
    '%s: what is told gives way, and holds when it is asked instead',
    async (_, text, path) => {
      const want = wantOf(text);
      const { relaxed: all, found } = await relaxed(want);
      expect(found.points).toEqual([]);
      const own = all.find(({ wish }) => wish === path);
      expect(own?.possible).not.toBeNull();
      for (const { by, asked, possible } of all) {
        expect(by).toBeGreaterThan(0);
        expect(possible).not.toEqual(asked);
      }
      const alone = eased(want, path, own!.possible!);
      const together = own!.words.includes('must.together') ? eased(alone, 'must.together', 0) : alone;
      expect((await relaxed(together)).found.points.length).toBeGreaterThan(0);
    },
    120_000,
  );

  it('servos that are too weak: says what torque is needed, not a share that no want file may ask', async () => {
    const weak = wantOf(EASY.replace('stall_torque_nm: 0.9', 'stall_torque_nm: 0.02').replace(/ {2}neck: .*\n/, ''));
    const { relaxed: all } = await relaxed(weak);
    const own = all.find(({ wish }) => wish === 'firm.hold_use');
    expect(own?.possible).toBeNull();
    const [, needed] =
      /no servo class is strong enough: a leg needs one of ([\d.]+) N·m to hold with 50 % of it, and the strongest has 0\.02 N·m/.exec(
        own?.words ?? '',
      ) ?? [];
    expect(Number(needed)).toBeGreaterThan(0.04);
  }, 120_000);
});

describe('amounts', () => {
  const least = { unit: 'deg', atMost: false };
  it.each([
    ['a travel', least, 93.1, 92.1],
    ['a travel with two ends', { unit: 'mm', atMost: false }, [-7.77, 3.33], [-7.6, 3.2]],
    ['a height', { unit: 'mm', atMost: true }, 157.91, 159.5],
    ['a share', { unit: '', atMost: true }, 0.5123, 0.52],
    ['next to nothing', least, 0.05, 0],
  ] as const)('%s is rounded to the easier side, a hundredth beyond', (_, wish, given, safer) => {
    expect(saferThan(wish, given, 0.01)).toEqual(safer);
  });

  it('give way by a share of what was asked', () => {
    expect(givenWay(170, 85)).toBe(0.5);
    expect(givenWay([-8, 4], [-8, 3])).toBe(0.25);
    expect(givenWay([0, 4], [0, 4])).toBe(0);
  });
});

import { describe, expect, it } from 'vitest';
import { asBuiltWords, doneWords } from '../../../host/design/as-built.ts';
import { leftAloneWords } from '../../../host/design/left-alone.ts';
import type { Judged } from '../../../host/design/judge.ts';
import { NECK, wantOf } from './want/wants.ts';

const want = wantOf(NECK);
const of = (...shares: readonly (number | null)[]) => shares.map((robust) => ({ robust }));

describe('designs as built', () => {
  it('are marked where they fall short, with another to take', () => {
    const all = of(1.1, 1.02, 0.973);
    expect(asBuiltWords(all, 0, want.must)).toBe('as built 110 %');
    expect(asBuiltWords(all, 2, want.must)).toBe('as built 97 %: drill closer than 0.5 mm, or take 2');
    expect(asBuiltWords(of(0.9996), 0, want.must)).toBe('as built 99 %: drill closer than 0.5 mm');
    expect(asBuiltWords(of(null), 0, want.must)).toBe('');
  });

  it('are counted in the headline', () => {
    expect(doneWords(of(1.1, 1), want.must)).toBe('2 designs that do what was asked');
    expect(doneWords(of(1.1, 0.9, Number.NaN), want.must)).toMatch(/as drawn; .* 0\.5 mm, 1 of them still does$/);
    expect(doneWords(of(0.9), want.must)).toMatch(/1 design that does what was asked as drawn; .* none does quite$/);
  });
});

it('what is left alone is told with its margins, and what cures it', () => {
  const judged = (use: number) => ({
    judged: { left_alone: [{ joint: 'nod', what: 'move', use }] } as unknown as Judged,
  });
  const [words] = leftAloneWords(want, [judged(6.55), judged(10.83)]);
  expect(words).toMatch(/^nod: .* takes 655 to 1083 % of its servo, with 10 % more weight and 10 % less voltage; /);
  expect(words).toMatch(/its speed limit \(\d+ deg\/s\) is not searched here: “tune” .* “retime” /);
});

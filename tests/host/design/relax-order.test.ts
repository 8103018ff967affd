/** Where more than one wish is enough by itself, which is told first. */
import { expect, it } from 'vitest';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { relax } from '../../../host/design/relax.ts';
import { evaluatedHere } from '../../../host/design/search/problem.ts';
import { NECK, wantOf } from './want/wants.ts';

it('of two wishes that are each enough, the smaller step comes first', async () => {
  const text = NECK.replace('height_mm: 130', 'height_mm: 103')
    .replace('z_mm: [-8, 4]', 'z_mm: [-40, 25]')
    .replace('firm: { lowest_hz: 5 }', 'firm: {}')
    .replace(/axes:\n.*\n/, '');
  const subject = subjectOf(describeProblem(wantOf(text)));
  const { relaxed: all } = await relax(subject, evaluatedHere(subject.problem), { seed: 1, each: 600, known: [] });
  expect(all.map(({ wish }) => wish)).toEqual(['room.height_mm', 'must.z_mm']);
  expect(all[0]!.by).toBeLessThan(all[1]!.by);
}, 120_000);

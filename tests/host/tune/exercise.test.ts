/** An exercise that ends early is the beginning of the whole one: what was tried so far is tried the same. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { HOME, type Pose } from '../../../host/rig/rig.ts';
import { exercise } from '../../../host/tune/exercise.ts';
import { rigIn } from './axes.ts';

const demo = rigIn(readFileSync('host/demo/night-owl.yaml', 'utf8'));
const plans = demo.joints
  .filter(({ kind }) => kind !== 'leg')
  .map(({ name }) => ({ name, outcome: 'well', full_range_s: { before: 0.5, after: 0.5 } }) as const);
const looks: Pose[] = [[0, 0, 3, 0, 0, 0], HOME];
const whole = exercise(demo, plans, looks);
const upTo = (...names: string[]): string => exercise(demo, plans, looks, names);

it('ends with the moves of the last joint that is named, back at home', () => {
  const [nod, lid, both] = [upTo('nod'), upTo('lid'), upTo('lid', 'nod')];
  expect(nod.length).toBeLessThan(lid.length);
  expect(both).toBe(lid);
  for (const cut of [nod, lid]) {
    expect(whole.startsWith(cut)).toBe(true);
    const rows = cut.trim().split('\n');
    const values = (row: string): string => row.split(',').slice(1).join();
    expect(values(rows.at(-1)!)).toBe(values(rows[1]!));
  }
});

it('leaves nothing out for the legs, which look about last', () => {
  expect(upTo('legs', 'nod')).toBe(whole);
  expect(whole.startsWith(upTo('ears'))).toBe(true);
  expect(upTo('ears').length).toBeLessThan(whole.length);
});

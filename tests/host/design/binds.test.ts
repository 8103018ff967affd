/** What a design stands against: walls of the room, ends of the stock, wishes with nothing to spare. */
import { expect, it } from 'vitest';
import { bindsOf } from '../../../host/design/binds.ts';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { NECK, wantOf } from './want/wants.ts';

const subject = subjectOf(describeProblem(wantOf(NECK.replace('height_mm: 130', 'height_mm: 400'))));
const { genes } = subject.space;

/** In the middle of all but some. */
const bound = (ends: Readonly<Record<string, number>>): string[] => {
  const x = genes.map(({ path }) => ends[path] ?? 0.5);
  return bindsOf(subject, x, subject.look(x)).filter((words) => /^(room|stock|axes)\./.test(words));
};

it('nothing in the middle of everything', () => {
  expect(bound({})).toEqual([]);
});

it.each([
  ['stock.base_radius_mm', 1, 'room.base_radius_mm: 75 mm, all of it'],
  ['stock.plate_radius_mm', 1, 'room.plate_radius_mm: 60 mm, all of it'],
  // Free plates are no smaller than 0.35 of the room.
  ['stock.base_radius_mm', 0, 'stock.base_radius_mm: 26.25 mm, the least there is'],
  ['stock.crank_mm', 0, 'stock.crank_mm: 16 mm, the least there is'],
  ['stock.crank_mm', 1, 'stock.crank_mm: 28 mm, the most there is'],
  ['stock.rod_mm', 1, 'stock.rod_mm: 160 mm, the most there is'],
  ['stock.base_half_angle_deg', 0, 'stock.base_half_angle_deg: 4 deg, the least there is'],
  ['stock.plate_half_angle_deg', 1, 'stock.plate_half_angle_deg: 56 deg, the most there is'],
  ['axes.nod.gear_ratio', 1, 'axes.nod.gear_ratio: 3, the most there is'],
  ['axes.nod.counterweight_kg', 0, 'axes.nod.counterweight_kg: 0.3 kg, the least there is'],
])('%s at %d', (path, at, words) => {
  expect(bound({ [path]: at })).toEqual([words]);
});

it('which way cranks point, or which servo, is no end that anybody could move', () => {
  expect(bound({ 'stock.crank_azimuth': 1, servos: 0 })).toEqual([]);
});

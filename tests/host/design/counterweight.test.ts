/** Where a counterweight goes, by hand: a head on an axis along -y, 50 mm in front of it, 30 mm to its side, 40 mm up. */
import { expect, it } from 'vitest';
import { counterweightPlace } from '../../../host/design/evaluate/counterweight.ts';
import { TILT, rigFrom } from '../load/rigs.ts';

const head = (at: string, axis = '[0, 0, 0]') =>
  rigFrom(TILT, ['at_mm: [50, 0, 0], in', `at_mm: ${at}, in`], ['axis: { at_mm: [0, 0, 0]', `axis: { at_mm: ${axis}`]);
const close = (...at: number[]) => at.map((value): unknown => expect.closeTo(value, 6));

it('lies opposite to what the axis carries, square to the axis, and as far along it', () => {
  expect(counterweightPlace(head('[50, 0, 0]'), 'nod', 100)).toEqual(close(-100, 0, 0));
  expect(counterweightPlace(head('[30, 25, 40]'), 'nod', 100)).toEqual(close(-60, 25, -80));
});

it('is as far from the axis as is asked, wherever the axis is', () => {
  expect(counterweightPlace(head('[40, 25, 60]', '[10, 7, 20]'), 'nod', 100)).toEqual(close(-50, 25, -60));
});

it('has no side where the weight is in the axis', () => {
  expect(() => counterweightPlace(head('[0, 25, 0]'), 'nod', 100)).toThrow(/carries has no side/);
});

/** Share of what a drive gives at a speed, by the steady line of a brushed motor: torque falls from stall to 0 at no-load speed. */
import { expect, it } from 'vitest';
import { useAt } from '../../../host/design/evaluate/drives.ts';

const [STALL, TOP, WORST] = [2, 6, 1e6] as const;
const use = (effort: number, v: number): number => useAt(STALL, TOP, effort, v, WORST);

it.each([
  ['standing', 0.5, 0, 0.25],
  ['driving at half the no-load speed, where half of the torque is left', 0.5, 3, 0.5],
  ['the same the other way', -0.5, -3, 0.5],
  ['braking: all of the stall torque is there', 0.5, -3, 0.25],
  ['braking the other way', -0.5, 3, 0.25],
])('%s: %d N·m at %d rad/s', (_, effort, v, share) => {
  expect(use(effort, v)).toBeCloseTo(share, 12);
});

it.each([6, -6, 9, -9])('as fast as without load, or faster, nothing is left, whatever the torque: %d rad/s', (v) => {
  for (const effort of [0, 0.1, -0.1]) {
    expect(use(effort, v)).toBeGreaterThanOrEqual(1000);
    expect(use(effort, v)).toBeLessThanOrEqual(WORST);
  }
  expect(use(0.1, 9)).toBeGreaterThan(use(0.1, 6));
});

it('what is not known is the worst there is', () => {
  expect(useAt(NaN, TOP, 0.5, 1, WORST)).toBe(WORST);
  expect(useAt(STALL, TOP, NaN, 1, WORST)).toBe(WORST);
});

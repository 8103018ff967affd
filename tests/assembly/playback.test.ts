/** Between frames: steep next to flat is played without going beyond either (Fritsch & Carlson, SIAM J. Numer. Anal. 17(2), 1980). */
import { expect, it } from 'vitest';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

const NOD = 6;

/** Places of the nod, tick by tick, over frames 200 ms apart: a stream that its limits do not touch. */
function played(values: readonly number[]): number[] {
  const prop = new Prop(rigOf());
  prop.rouse();
  const places: number[] = [];
  prop.watch = (t) => {
    expect(t.held[NOD]).toBe(0);
    places.push(t.position[NOD]!);
  };
  values.forEach((value, n) => prop.pose(100_000 + 200_000 * n, [0, 0, 0, 0, 0, 0, value]));
  prop.seconds(0.3 + 0.2 * values.length);
  return places;
}

it.each([
  ['upward', [0, 0.002, 0.14, 0.142, 0.142]],
  ['downward', [0, -0.002, -0.14, -0.142, -0.142]],
])('%s: frames that only rise or only fall are played so, ends of steep parts too', (_, values) => {
  const places = played(values);
  const sign = Math.sign(values.at(-1)!);
  expect(places.at(-1)).toBeCloseTo(values.at(-1)!, 6);
  places.forEach((place, n) => {
    const before = n > 0 ? places[n - 1]! : 0;
    // f32 rounding.
    expect(sign * (place - before)).toBeGreaterThan(-1e-7);
  });
});

it('comes to rest at a turn, and stays between its frames', () => {
  const places = played([0, 0.1, 0, 0.1, 0.1]);
  expect(Math.max(...places)).toBeLessThan(0.1 + 1e-7);
  expect(Math.min(...places)).toBeGreaterThan(-1e-7);
  expect(Math.max(...places.slice(0, 90))).toBeCloseTo(0.1, 4);
});

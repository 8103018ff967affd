/** How a slow emulator's time is kept, and a page's silence in it. */
import { expect, it } from 'vitest';
import { LineClock } from '../../../host/stage/line-clock.ts';

/** Steps of 20 ms of the board, each of which takes so long on the wall besides what it waits. */
function steps(clock: LineClock, count: number, takes_ms: number, from: { ms: number; us: number }): number[] {
  return Array.from({ length: count }, () => {
    from.ms += takes_ms;
    from.us += 20_000;
    const wait_ms = clock.step(from.ms, from.us);
    from.ms += wait_ms;
    return wait_ms;
  });
}

it('a board that could go faster waits for the wall', () => {
  const at = { ms: 1000, us: 0 };
  const clock = new LineClock(at.ms, at.us);
  expect(steps(clock, 100, 4, at).every((ms) => Math.abs(ms - 16) < 1e-6)).toBe(true);
  expect(at.ms).toBeCloseTo(3000, 6);
  expect(clock.slow).toBeNull();
});

it('at half of real time it says so, and afterwards does not hurry to make it good', () => {
  const at = { ms: 0, us: 0 };
  const clock = new LineClock(at.ms, at.us);
  steps(clock, 200, 40, at);
  expect(clock.slow).toBe(0.5);
  const from_us = at.us;
  const from_ms = at.ms;
  steps(clock, 250, 4, at);
  // 5 s of the board, and at most the 200 ms that it may lag.
  expect((at.us - from_us) / 1000 - (at.ms - from_ms)).toBeLessThanOrEqual(200);
  expect(clock.slow).toBeNull();
});

it('a page is silent in the board’s time, and not while the server itself stood still', () => {
  const at = { ms: 0, us: 0 };
  const slow = new LineClock(at.ms, at.us);
  steps(slow, 40, 100, at);
  expect(at.ms).toBe(4000);
  expect(slow.silent_us).toBe(800_000);
  const real = new LineClock(0, 0);
  real.step(20, 20_000);
  real.step(3020, 3_020_000);
  expect(real.silent_us).toBe(120_000);
});

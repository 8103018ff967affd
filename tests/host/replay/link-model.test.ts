import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { LinkOptions } from '../../../host/replay/link-model.ts';
import { createLink, linkProblems, PERFECT_LINK } from '../../../host/replay/link-model.ts';

const arrivals = (options: Partial<LinkOptions>, sends: readonly number[]): (number | null)[] => {
  const link = createLink({ ...PERFECT_LINK, ...options });
  return sends.map(link);
};

const every = (step_us: number, count: number): number[] => Array.from({ length: count }, (_, i) => i * step_us);

/** Lengths of the runs of lost frames. */
function runs(arrived: readonly (number | null)[]): number[] {
  const lengths: number[] = [];
  arrived.forEach((at, i) => {
    if (at !== null) return;
    if (i > 0 && arrived[i - 1] === null) lengths[lengths.length - 1]! += 1;
    else lengths.push(1);
  });
  return lengths;
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

describe('the link', () => {
  it('delivers at once when nothing is asked of it', () => {
    expect(arrivals({}, [0, 5, 7])).toEqual([0, 5, 7]);
  });

  it('adds its latency', () => {
    expect(arrivals({ latency_ms: 12.5 }, [0, 1000])).toEqual([12500, 13500]);
  });

  it('adds uniform jitter: mean half of it, within it', () => {
    const sends = every(20_000, 10_000);
    const late = arrivals({ latency_ms: 5, jitter_ms: 10 }, sends).map((at, i) => at! - sends[i]!);
    expect(Math.min(...late)).toBeGreaterThanOrEqual(5000);
    expect(Math.max(...late)).toBeLessThanOrEqual(15_000);
    // Standard error of the mean of a uniform distribution: width/√(12 n) = 29 us; four of them.
    expect(Math.abs(mean(late) - 10_000)).toBeLessThan(4 * 29);
  });

  it('never lets a frame overtake another, nor arrive before it was sent', () => {
    const options = fc.record({
      latency_ms: fc.double({ min: 0, max: 50, noNaN: true }),
      jitter_ms: fc.double({ min: 0, max: 200, noNaN: true }),
      loss: fc.double({ min: 0, max: 1, noNaN: true }),
      burst: fc.double({ min: 1, max: 20, noNaN: true }),
      seed: fc.integer(),
    });
    fc.assert(
      fc.property(options, fc.array(fc.nat(30_000), { maxLength: 100 }), (given, steps) => {
        let sent_us = 0;
        const sends = steps.map((step_us) => (sent_us += step_us));
        let before_us = -Infinity;
        arrivals(given, sends).forEach((at, i) => {
          if (at === null) return;
          expect(at).toBeGreaterThanOrEqual(Math.max(before_us, sends[i]! + given.latency_ms * 1000));
          before_us = at;
        });
      }),
    );
  });

  it('is the same for the same seed, and another for another', () => {
    const options = { jitter_ms: 10, loss: 0.3, burst: 3 };
    const sends = every(10_000, 200);
    expect(arrivals({ ...options, seed: 7 }, sends)).toEqual(arrivals({ ...options, seed: 7 }, sends));
    expect(arrivals({ ...options, seed: 7 }, sends)).not.toEqual(arrivals({ ...options, seed: 8 }, sends));
  });

  it('keeps the jitter of the frames that arrive when the loss changes', () => {
    const sends = every(20_000, 500);
    const whole = arrivals({ jitter_ms: 10 }, sends);
    arrivals({ jitter_ms: 10, loss: 0.2, burst: 2 }, sends).forEach((at, i) => {
      if (at !== null) expect(at).toBe(whole[i]);
    });
  });
});

describe('losses', () => {
  const count = 200_000;
  it.each([
    { loss: 0.02, burst: 1 },
    { loss: 0.3, burst: 1 },
    { loss: 0.02, burst: 5 },
    { loss: 0.2, burst: 12 },
  ])('lose a share of $loss in runs of $burst', ({ loss, burst }) => {
    const arrived = arrivals({ loss, burst, seed: 42 }, every(20_000, count));
    // Chance alone makes runs of 1 / (1 - loss).
    const run = Math.max(burst, 1 / (1 - loss));
    // A two-state chain with eigenvalue r widens the spread of the share by √((1 + r)/(1 - r)); four standard deviations.
    const r = 1 - 1 / run / (1 - loss);
    const sigma = Math.sqrt(((loss * (1 - loss)) / count) * ((1 + r) / (1 - r)));
    expect(Math.abs(arrived.filter((at) => at === null).length / count - loss)).toBeLessThan(4 * sigma);
    // Runs are geometric: standard deviation √(run·(run - 1)).
    const lengths = runs(arrived);
    expect(Math.abs(mean(lengths) - run)).toBeLessThan(4 * Math.sqrt((run * (run - 1)) / lengths.length) + 1e-9);
  });

  it('of nothing and of everything are exact', () => {
    expect(arrivals({ loss: 0, burst: 5 }, every(1, 1000))).not.toContain(null);
    expect(new Set(arrivals({ loss: 1, burst: 5 }, every(1, 1000)))).toEqual(new Set([null]));
  });
});

describe('options', () => {
  it('that make sense pass', () => {
    expect(linkProblems(PERFECT_LINK)).toEqual([]);
    expect(linkProblems({ latency_ms: 5, jitter_ms: 3, loss: 1, burst: 8, seed: -4 })).toEqual([]);
  });
  it('that make none are all named', () => {
    const wrong = linkProblems({ latency_ms: -1, jitter_ms: NaN, loss: 2, burst: 0, seed: 0.5 });
    expect(wrong.map((words) => words.split(' ')[0])).toEqual(['latency', 'jitter', 'loss', 'burst', 'seed']);
  });
});

/** Edits of a take: what they change, what they leave, and that each can be taken back. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { keysThrough, samplesOf, valueAt } from '../../../../host/stage/take/curve.ts';
import { type Edit, edited } from '../../../../host/stage/take/edit.ts';
import { done, historyOf, redone, undone } from '../../../../host/stage/take/history.ts';
import { type Key, type Take, curveOf, emptyTake, withCurve } from '../../../../host/stage/take/take.ts';

const SECONDS = 8;
const keys = fc
  .uniqueArray(fc.record({ n: fc.integer({ min: 0, max: 80 }), value: fc.integer({ min: -30, max: 30 }) }), {
    minLength: 2,
    maxLength: 12,
    selector: ({ n }) => n,
  })
  .map((all): Key[] => all.map(({ n, value }) => ({ t_s: n / 10, value })).sort((a, b) => a.t_s - b.t_s));
const take = fc
  .record({ yaw_deg: keys, x_mm: keys })
  .map((curves): Take =>
    Object.entries(curves).reduce(
      (now, [column, each]) => withCurve(now, { column, keys: each }),
      emptyTake('a', SECONDS),
    ),
  );
/** Whole tenths of a second, the first before the second. */
const stretch = fc.tuple(fc.integer({ min: 0, max: 70 }), fc.integer({ min: 3, max: 40 })).map(([from, long]) => ({
  columns: ['yaw_deg', 'x_mm'],
  from_s: from / 10,
  to_s: Math.min(80, from + long) / 10,
}));
const frames = (of: Take, column: string): Float64Array => samplesOf(curveOf(of, column)!.keys, SECONDS);

/** The most that two differ by; NaN where either has a hole. */
const apart = (a: Float64Array, b: Float64Array): number =>
  a.reduce((most, v, n) => Math.max(most, Math.abs(v - b[n]!)), 0);

const stretchEdits: ((s: { columns: string[]; from_s: number; to_s: number }) => Edit)[] = [
  (s) => ({ kind: 'mirror', stretch: s }),
  (s) => ({ kind: 'reverse', stretch: s }),
  (s) => ({ kind: 'ease', stretch: s }),
  (s) => ({ kind: 'clear', stretch: s }),
  (s) => ({ kind: 'smooth', stretch: s, cutoff_hz: 4 }),
  (s) => ({ kind: 'scale', stretch: s, times: 0.5 }),
  (s) => ({
    kind: 'layer',
    from_s: s.from_s,
    samples: new Map([['yaw_deg', new Float64Array(Math.round((s.to_s - s.from_s) * 50) + 1).fill(7)]]),
  }),
];

describe('edits of a stretch', () => {
  it('leave every frame outside of it where it was', () => {
    fc.assert(
      fc.property(take, stretch, fc.constantFrom(...stretchEdits), (before, s, make) => {
        const after = edited(before, make(s));
        for (const column of s.columns) {
          const [was, is] = [frames(before, column), frames(after, column)];
          const outside = (v: Float64Array): Float64Array =>
            v.filter((_, n) => n / 50 < s.from_s - 0.019 || n / 50 > s.to_s + 0.019);
          expect(apart(outside(was), outside(is))).toBeLessThan(0.021);
        }
      }),
      { seed: 7, numRuns: 300 },
    );
  });

  it('mirrored twice, or reversed twice, is what it was', () => {
    fc.assert(
      fc.property(take, stretch, fc.constantFrom('mirror' as const, 'reverse' as const), (before, s, kind) => {
        const twice = edited(edited(before, { kind, stretch: s }), { kind, stretch: s });
        for (const column of s.columns) expect(apart(frames(before, column), frames(twice, column))).toBeLessThan(0.05);
      }),
      { seed: 8, numRuns: 60 },
    );
  });

  it('mirrors what is sideways and nothing else', () => {
    const all = { columns: ['yaw_deg', 'x_mm'], from_s: 0, to_s: SECONDS };
    fc.assert(
      fc.property(take, (before) => {
        const after = edited(before, { kind: 'mirror', stretch: all });
        expect(
          apart(
            frames(before, 'yaw_deg').map((v) => -v),
            frames(after, 'yaw_deg'),
          ),
        ).toBeLessThan(1e-9);
        expect(apart(frames(before, 'x_mm'), frames(after, 'x_mm'))).toBeLessThan(1e-9);
      }),
      { seed: 9, numRuns: 60 },
    );
  });

  it('copied and moved, it is the same where it comes to stand', () => {
    fc.assert(
      fc.property(take, stretch, fc.integer({ min: 0, max: 60 }), fc.boolean(), (before, s, to, moves) => {
        const to_s = to / 10;
        const edit: Edit = moves
          ? { kind: 'move', stretch: s, by_s: to_s - s.from_s }
          : { kind: 'copy', stretch: s, to_s };
        const after = curveOf(edited(before, edit), 'yaw_deg')!.keys;
        const was = curveOf(before, 'yaw_deg')!.keys;
        let most = 0;
        for (let t_s = 0; t_s <= s.to_s - s.from_s; t_s += 0.02)
          most = Math.max(most, Math.abs(valueAt(after, to_s + t_s) - valueAt(was, s.from_s + t_s)));
        expect(most).toBeLessThan(0.05);
      }),
      { seed: 10, numRuns: 100 },
    );
  });

  it('smoothing takes a shake out and leaves a slow move', () => {
    const shaky = Array.from({ length: 401 }, (_, n) => ({ t_s: n / 50, value: 10 * Math.sin(n / 100) + (n % 2) }));
    const before = withCurve(emptyTake('a', SECONDS), { column: 'yaw_deg', keys: shaky });
    const all = { columns: ['yaw_deg'], from_s: 0, to_s: SECONDS };
    const after = frames(edited(before, { kind: 'smooth', stretch: all, cutoff_hz: 6 }), 'yaw_deg');
    for (let n = 25; n < 375; n++) expect(Math.abs(after[n]! - 10 * Math.sin(n / 100) - 0.5)).toBeLessThan(0.1);
  });

  it('blending without a fade has no hole', () => {
    fc.assert(
      fc.property(take, take, (one, other) => {
        const both = edited(one, { kind: 'blend', other, at_s: 2, fade_s: 0 });
        expect(frames(both, 'yaw_deg').some(Number.isNaN)).toBe(false);
        const was = frames(one, 'yaw_deg');
        expect(apart(was.slice(0, 99), frames(both, 'yaw_deg').slice(0, 99))).toBeLessThan(0.021);
      }),
      { seed: 11, numRuns: 60 },
    );
  });

  it('trimming keeps what is between', () => {
    fc.assert(
      fc.property(take, stretch, (before, { from_s, to_s }) => {
        const after = edited(before, { kind: 'trim', from_s, to_s });
        expect(after.seconds).toBeCloseTo(to_s - from_s, 6);
        const was = curveOf(before, 'yaw_deg')!.keys;
        samplesOf(curveOf(after, 'yaw_deg')!.keys, after.seconds).forEach((v, n) =>
          expect(Math.abs(v - valueAt(was, from_s + n / 50))).toBeLessThan(0.03),
        );
      }),
      { seed: 12, numRuns: 100 },
    );
  });
});

describe('keys through a recording', () => {
  it('miss no sample by more than the tolerance', () => {
    const samples = fc.array(fc.double({ min: -50, max: 50, noNaN: true }), { minLength: 1, maxLength: 200 });
    fc.assert(
      fc.property(samples, fc.double({ min: 0.01, max: 5, noNaN: true }), (values, tolerance) => {
        const through = keysThrough(values, 1, tolerance);
        values.forEach((v, n) =>
          expect(Math.abs(v - valueAt(through, 1 + n / 50))).toBeLessThanOrEqual(tolerance + 1e-3),
        );
      }),
      { seed: 13, numRuns: 100 },
    );
  });
});

describe('undo', () => {
  it('takes back every edit, and redo brings all of them', () => {
    fc.assert(
      fc.property(
        take,
        fc.array(fc.tuple(stretch, fc.constantFrom(...stretchEdits)), { maxLength: 5 }),
        (first, edits) => {
          let history = historyOf(first);
          for (const [s, make] of edits) history = done(history, make(s), 'edit');
          const last = history.now;
          edits.forEach(() => (history = undone(history)));
          expect(history.now).toBe(first);
          edits.forEach(() => (history = redone(history)));
          expect(history.now).toBe(last);
        },
      ),
      { seed: 14, numRuns: 50 },
    );
  });
});

/** A recorded head, smoothed by running means and fitted: no noise any more, but fast and without rest. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../host/rig/rig.ts';
import { demo, retimed, rigOf } from './rigs.ts';

/** An owl whose figures are all given, so that no default moves its pace. */
const owl = (): Rig => rigOf(readFileSync('tests/data/steady-owl.yaml', 'utf8'));

/** The mean of so many frames to either side, twice. */
function smoothed(frames: number): Uint8Array[] {
  const [head = '', ...lines] = readFileSync('tests/data/head.csv', 'utf8')
    .trim()
    .split('\n')
    .filter((line) => !line.startsWith('#'));
  const rows = lines.map((line) => line.split(',').map(Number));
  const mean = (column: readonly number[]): number[] =>
    column.map((_, i) => {
      const near = Array.from(
        { length: 2 * frames + 1 },
        (__, k) => column[Math.max(0, Math.min(column.length - 1, i + k - frames))]!,
      );
      return near.reduce((sum, value) => sum + value, 0) / near.length;
    });
  const columns = head.split(',').map((_, c) => {
    const column = rows.map((row) => row[c]!);
    return c === 0 ? column : mean(mean(column));
  });
  const text = rows.map((_, i) => columns.map((column, c) => (c === 0 ? column[i]! : column[i]!.toFixed(5))).join(','));
  return [new TextEncoder().encode([head, ...text, ''].join('\n'))];
}

describe('a smoothed head', () => {
  it.each([3, 4, 7, 10])('of %i frames to either side ends without a tick too much', async (frames) => {
    const { answer } = await retimed(demo(), smoothed(frames), { fit: true, quickest: true });
    expect(answer).toMatchObject({ ok: true, too_much_ticks: 0 });
  });

  it.each([5, 8, 12])('of %i frames gets a steady pace for less than 15 % of its time', async (frames) => {
    const { answer } = await retimed(owl(), smoothed(frames), { fit: true });
    expect(answer).toMatchObject({ ok: true, pace: { kind: 'steady' } });
    for (const { before, after } of answer.pace.peaks) expect(after).toBeLessThanOrEqual(before);
    expect(answer.seconds_after).toBeGreaterThan(answer.pace.quickest_s);
    expect(answer.seconds_after).toBeLessThan(1.15 * answer.pace.quickest_s);
  });
});

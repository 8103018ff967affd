/** A take's past over a reload: given back to the very take that it was kept with, bounded, and nothing else that a browser may hold. */
import { expect, it } from 'vitest';
import { done, historyOf, undone } from '../../../../host/stage/take/history.ts';
import { packedHistory, unpackedPast } from '../../../../host/stage/take/kept-history.ts';
import { emptyTake } from '../../../../host/stage/take/take.ts';

const edited = (n: number) => {
  let history = historyOf(emptyTake('take 1', 8));
  for (let k = 0; k < n; k++)
    history = done(history, { kind: 'marks', marks: [{ t_s: k, name: `beat ${String(k)}` }] }, `mark ${String(k)}`);
  return history;
};

it('is given back, so that undo goes on where it was', () => {
  const history = edited(3);
  const past = unpackedPast(packedHistory(history, 'text'), 'text')!;
  expect(undone({ now: history.now, past, future: [] }).now).toEqual(undone(history).now);
  expect(past.map(({ words }) => words)).toEqual(['mark 0', 'mark 1', 'mark 2']);
});

it('is not another take’s: a file that was changed elsewhere has none', () => {
  expect(unpackedPast(packedHistory(edited(3), 'text'), 'text changed')).toBeNull();
});

it('keeps the newest 200 takes', () => {
  const past = unpackedPast(packedHistory(edited(250), 'text'), 'text')!;
  expect([past.length, past[0]!.words, past.at(-1)!.words]).toEqual([200, 'mark 50', 'mark 249']);
});

it('keeps no more than two million characters', () => {
  const name = 'x'.repeat(300_000);
  let history = historyOf(emptyTake('take 1', 8));
  for (let k = 0; k < 12; k++) history = done(history, { kind: 'marks', marks: [{ t_s: k, name }] }, 'mark');
  const packed = packedHistory(history, 'text');
  expect(packed.length).toBeLessThan(2_000_100);
  expect(unpackedPast(packed, 'text')!.length).toBe(6);
});

it.each([
  null,
  'no JSON',
  '7',
  '{"text":"text"}',
  '{"text":"text","past":[null]}',
  '{"text":"text","past":[{"words":"w","take":{"name":"n","seconds":8,"curves":[null],"marks":[],"sound":null}}]}',
  '{"text":"text","past":[{"words":"w","take":{"name":"n","seconds":8,"curves":[{"column":"c","keys":[{"t_s":"0"}]}],"marks":[],"sound":null}}]}',
])('is none where the browser holds %s', (kept) => {
  expect(unpackedPast(kept, 'text')).toBeNull();
});

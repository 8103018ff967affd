/** A take and its file: what is saved is what is read, to the last digit. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { takeComments, takeOf, takeText } from '../../../../host/stage/take/file.ts';
import type { Take } from '../../../../host/stage/take/take.ts';

const COLUMNS = ['x_mm', 'yaw_deg', 'jaw_deg'];
const keys = fc
  .uniqueArray(
    fc.record({ n: fc.integer({ min: 0, max: 4000 }), value: fc.double({ min: -40, max: 40, noNaN: true }) }),
    { minLength: 1, maxLength: 10, selector: ({ n }) => n },
  )
  .map((all) => all.map(({ n, value }) => ({ t_s: n / 700, value })).sort((a, b) => a.t_s - b.t_s));
const take = fc
  .record({ x: keys, jaw: keys, frames: fc.integer({ min: 1, max: 400 }), lead: fc.integer({ min: 0, max: 90 }) })
  .map(({ x, jaw, frames, lead }): Take => ({
    name: 'a',
    seconds: frames / 50,
    curves: [
      { column: 'x_mm', keys: x },
      { column: 'jaw_deg', keys: jaw },
    ],
    marks: [{ t_s: 1.25, name: 'startle, then turn' }],
    sound: { file: 'hoot at night.wav', at_s: -0.5 },
    leads_ms: lead === 0 ? {} : { jaw_deg: lead },
  }));

/** The frames of a text that a take wrote. */
function columnsIn(text: string): Map<string, Float64Array> {
  const [header, ...rows] = text.split('\n').filter((line) => line !== '' && !line.startsWith('#'));
  const cells = rows.map((row) => row.split(',').map(Number));
  return new Map(
    header!
      .split(',')
      .slice(1)
      .map((name, k) => [name, Float64Array.from(cells, (row) => row[k + 1]!)]),
  );
}
const again = (text: string): Take => takeOf('a', columnsIn(text), takeComments(text.split('\n')));

it('is written the same after it was read, to the last digit, marks, sound and leads with it', () => {
  fc.assert(
    fc.property(take, (one) => {
      const text = takeText(one, COLUMNS);
      const read = again(text);
      expect(takeText(read, COLUMNS)).toBe(text);
      expect(read.marks).toEqual(one.marks);
      expect(read.sound).toEqual(one.sound);
      expect(read.leads_ms).toEqual(one.leads_ms);
      expect(read.curves.map(({ keys: { length } }) => length)).toEqual(
        one.curves.map(({ keys: { length } }) => length),
      );
    }),
    { seed: 3, numRuns: 200 },
  );
});

it('asks a joint with a lead so much earlier', () => {
  const jaw = [0, 1, 1.2].map((t_s, n) => ({ t_s, value: n === 1 ? 0 : n * 10 }));
  const one: Take = { name: 'a', seconds: 2, curves: [{ column: 'jaw_deg', keys: jaw }], marks: [], sound: null };
  const late = columnsIn(takeText(one, COLUMNS)).get('jaw_deg')!;
  const led = columnsIn(takeText({ ...one, leads_ms: { jaw_deg: 40 } }, COLUMNS)).get('jaw_deg')!;
  for (let n = 0; n < 90; n++) expect(led[n]).toBeCloseTo(late[n + 2]!, 5);
});

it('keeps the lead of a joint that has no curve yet', () => {
  const keys = [{ t_s: 0, value: 1 }];
  const one: Take = { name: 'a', seconds: 1, curves: [{ column: 'x_mm', keys }], marks: [], sound: null };
  const text = takeText({ ...one, leads_ms: { jaw_deg: 40 } }, COLUMNS);
  expect(text).toContain('# lead jaw_deg 40\n');
  expect(again(text).leads_ms).toEqual({ jaw_deg: 40 });
});

it('keeps the frames, not the keys, of a file that was edited elsewhere', () => {
  const text = '# keys x_mm 0 0, 1 10\nt_s,x_mm\n0,0\n0.02,5\n0.04,5\n';
  expect(takeOf('a', columnsIn(text), takeComments(text.split('\n'))).curves[0]!.keys.at(-1)!.value).toBe(5);
});

it('a name with a line break makes no frame', () => {
  const one: Take = {
    name: 'a',
    seconds: 1,
    curves: [{ column: 'x_mm', keys: [{ t_s: 0, value: 1 }] }],
    marks: [{ t_s: 0.5, name: 'one\n1,2' }],
    sound: null,
  };
  expect(again(takeText(one, COLUMNS)).marks).toEqual([{ t_s: 0.5, name: 'one 1,2' }]);
});

/** A recording that is opened stays as its file has it: judged and saved, and beside what is edited. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { load } from '../../../../host/load/load.ts';
import { HOME, type Rig } from '../../../../host/rig/rig.ts';
import { readRig } from '../../../../host/rig/read.ts';
import { rowsOf } from '../../../../host/stage/page/verdict/rows.ts';
import { samplesOf, valueAt } from '../../../../host/stage/take/curve.ts';
import { askedAt, framesOf } from '../../../../host/stage/take/detail.ts';
import { type Edit, edited } from '../../../../host/stage/take/edit.ts';
import { takeComments, takeOf, takeText } from '../../../../host/stage/take/file.ts';
import { columnsOf } from '../../../../host/stage/take/lanes.ts';
import { type Take, curveOf } from '../../../../host/stage/take/take.ts';

const owl: Rig = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const file = readFileSync('host/demo/dusk.csv', 'utf8');
const framesIn = (text: string): string[] => text.split('\n').filter((line) => line !== '' && !line.startsWith('#'));

function opened(text: string): Take {
  const [header, ...lines] = framesIn(text);
  const rows = lines.map((line) => line.split(',').map(Number));
  const names = header!.split(',').slice(1);
  const samples = new Map(names.map((name, k) => [name, Float64Array.from(rows, (row) => row[k + 1]!)]));
  return takeOf('dusk', samples, takeComments(text.split('\n')));
}
const saved = (take: Take): string => takeText(take, columnsOf(owl));
const dusk = opened(file);

/** Largest share of the nod's torque along a stream, as the command line finds it. */
async function nodUse(text: string): Promise<number> {
  const rows = await rowsOf(text, owl);
  if (typeof rows === 'string') throw new Error(rows);
  const answer = load(owl, { pose: HOME, without: [], stream: { name: 'dusk', stored: rows.stream } });
  if ('refused' in answer) throw new Error('refused');
  return answer.joints.find(({ name }) => name === 'nod')!.along!.use!;
}

it('is judged as its file is', async () => {
  const [there, here] = [await nodUse(file), await nodUse(saved(dusk))];
  expect(there).toBeGreaterThan(2.5);
  expect(Math.abs(here / there - 1)).toBeLessThan(0.01);
});

it('is saved frame for frame as it was read, by way of its keys too', () => {
  expect(framesIn(saved(dusk))).toEqual(framesIn(file));
  const again = opened(saved(dusk));
  expect(again).toEqual(dusk);
});

const stretch = { columns: ['nod_deg', 'yaw_deg'], from_s: 9, to_s: 11 };
const EDITS: readonly Edit[] = [
  { kind: 'scale', stretch, times: 1.3 },
  { kind: 'smooth', stretch, cutoff_hz: 2 },
  { kind: 'clear', stretch },
  { kind: 'reverse', stretch },
  { kind: 'layer', from_s: 9, samples: new Map([['nod_deg', new Float64Array(101).fill(3)]]) },
];

it.each(EDITS)('an edit of 2 s leaves the frames beside it: $kind', (edit) => {
  const after = edited(dusk, edit);
  for (const { column } of dusk.curves) {
    const [was, now] = [dusk, after].map((take) => framesOf(take, curveOf(take, column)!));
    for (let n = 0; n < was!.length; n++) {
      if (n < 9 * 50 - 1 || n > 11 * 50 + 1)
        expect(Math.abs(now![n]! - was![n]!), `${column} ${String(n)}`).toBeLessThan(1e-6);
    }
  }
  expect(framesIn(saved(after))).not.toEqual(framesIn(file));
  const again = opened(saved(after));
  expect(framesIn(saved(again))).toEqual(framesIn(saved(after)));
  expect(again.curves.map(({ keys }) => keys.length)).toEqual(
    dusk.curves.map(({ column }) => curveOf(after, column)!.keys.length),
  );
});

it('what is written beside an edit stays to the last digit, edit after edit', () => {
  const frames = (take: Take): string[] => framesIn(saved(take)).slice(1);
  const columns = dusk.curves.map(({ column }) => column);
  let take = dusk;
  for (const times of [1.3, 0.7, 1.2, 0.9, 1.1])
    take = edited(take, { kind: 'scale', stretch: { columns, from_s: 6, to_s: 8 }, times });
  const [was, now] = [frames(dusk), frames(take)];
  expect(now.slice(0, 6 * 50 - 1)).toEqual(was.slice(0, 6 * 50 - 1));
  expect(now.slice(8 * 50 + 2)).toEqual(was.slice(8 * 50 + 2));
  expect(now).not.toEqual(was);
});

it('what the edit of a stretch puts there goes over into what stands beside it without a step', () => {
  const frames = framesOf(edited(dusk, EDITS[0]!), curveOf(edited(dusk, EDITS[0]!), 'nod_deg')!);
  const was = framesOf(dusk, curveOf(dusk, 'nod_deg')!);
  for (const edge of [9 * 50, 11 * 50])
    for (let n = edge - 3; n < edge + 3; n++)
      expect(Math.abs(frames[n + 1]! - frames[n]!)).toBeLessThan(1.4 * Math.abs(was[n + 1]! - was[n]!) + 0.05);
});

it('a trimmed take keeps the frames of its stretch, one with a lead asks them earlier', () => {
  const cut = edited(dusk, { kind: 'trim', from_s: 8, to_s: 12 });
  const [was, now] = [framesOf(dusk, curveOf(dusk, 'nod_deg')!), framesOf(cut, curveOf(cut, 'nod_deg')!)];
  for (let n = 0; n <= 200; n++) expect(now[n]).toBeCloseTo(was[400 + n]!, 5);
  const early = edited(dusk, { kind: 'lead', columns: ['nod_deg'], lead_ms: 40 });
  const led = framesOf(early, curveOf(early, 'nod_deg')!);
  for (let n = 0; n < 990; n++) expect(led[n]).toBeCloseTo(was[n + 2]!, 5);
});

it('is asked at a time of the take as its frame is, lead and detail counted', () => {
  const led = edited(dusk, { kind: 'lead', columns: ['nod_deg'], lead_ms: 60 });
  const curve = curveOf(led, 'nod_deg')!;
  expect(curve.detail).toBeDefined();
  const frames = framesOf(led, curve);
  for (let n = 0; n < frames.length; n += 7) expect(askedAt(led, curve, n / 50)).toBeCloseTo(frames[n]!, 6);
});

it('samples of a curve are its values, frame by frame, before its first key and after its last as well', () => {
  const late = [0.31, 0.313, 0.5, 2].map((t_s, n) => ({ t_s, value: n % 2 }));
  for (const keys of [...dusk.curves.map((curve) => curve.keys), late, late.slice(0, 1), []])
    samplesOf(keys, 3).forEach((value, n) => expect(value).toBe(valueAt(keys, n / 50)));
});

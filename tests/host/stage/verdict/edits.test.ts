/** After any edit the verdict kept up to date is that of the whole take judged anew, and a take's frames are those of its file. */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { load } from '../../../../host/load/load.ts';
import { HOME } from '../../../../host/rig/rig.ts';
import { readRig } from '../../../../host/rig/read.ts';
import type { Verdict } from '../../../../host/stage/page/verdict/protocol.ts';
import { type Rows, plainRows, rowsOf, rowsOfTake } from '../../../../host/stage/page/verdict/rows.ts';
import { warmUp } from '../../../../host/stage/page/verdict/warm-up.ts';
import { Verdicts } from '../../../../host/stage/page/verdict/verdicts.ts';
import { framesOf } from '../../../../host/stage/take/detail.ts';
import { edited } from '../../../../host/stage/take/edit.ts';
import { takeComments, takeOf, takeText } from '../../../../host/stage/take/file.ts';
import { columnsOf } from '../../../../host/stage/take/lanes.ts';
import { type Take, emptyTake } from '../../../../host/stage/take/take.ts';
import { WASM } from '../../../assembly/prop.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const lines = readFileSync('host/demo/dusk.csv', 'utf8')
  .split('\n')
  .filter((line) => line !== '' && !line.startsWith('#'));
const names = lines[0]!.split(',').slice(1);
const cells = lines.slice(1).map((line) => line.split(',').map(Number));
const samples = new Map(names.map((name, k) => [name, Float64Array.from(cells, (row) => row[k + 1]!)]));
const dusk: Take = takeOf('dusk', samples, takeComments([]));
const go = (): Promise<boolean> => Promise.resolve(true);

const SEED = 31;

/** A bump on a column, small or out of reach, somewhere; now and then a key, a lead, or a longer take. */
function randomEdits(seed: number): (take: Take) => Take {
  const random = xoroshiro128plus(seed);
  const between = (lo: number, hi: number): number => lo + (hi - lo) * uniformFloat64(random);
  return (take) => {
    const curve = take.curves[uniformInt(random, 0, take.curves.length - 1)]!;
    const { column } = curve;
    const kind = uniformInt(random, 0, 7);
    if (kind === 0) return edited(take, { kind: 'key', column, key: { t_s: between(0, 20), value: between(-5, 5) } });
    if (kind === 1) return edited(take, { kind: 'lead', columns: [column], lead_ms: uniformInt(random, 0, 60) });
    if (kind === 2) return edited(take, { kind: 'key', column, key: { t_s: take.seconds + 0.5, value: 0 } });
    const first = uniformInt(random, 0, 800);
    const size = kind === 3 ? 60 : between(-6, 6);
    const bump = framesOf(take, curve)
      .slice(first, first + 101)
      .map((value, n) => value + size * Math.sin((Math.PI * n) / 100) ** 2);
    return edited(take, { kind: 'layer', from_s: first / 50, samples: new Map([[column, bump]]) });
  };
}

async function verdictOn(verdicts: Verdicts, take: Take): Promise<Verdict> {
  const verdict = await verdicts.of(take, go);
  if (verdict === null || typeof verdict === 'string') throw new Error(String(verdict));
  return verdict;
}

const readable = (rows: Rows | string): Rows => {
  if (typeof rows === 'string') throw new Error(rows);
  return rows;
};

/** Time out of torque is the metal's, which is as before within AS_BEFORE only. */
const withoutMetal = ({ answers, joints }: Verdict) => ({ joints, answers: answers.slice(0, 3) });

it(`says after random edits what judging the whole take says, to the last bit (seed ${String(SEED)})`, async () => {
  const next = randomEdits(SEED);
  const verdicts = new Verdicts(owl, WASM);
  let take = dusk;
  let saved = 0;
  await verdictOn(verdicts, take);
  for (let k = 0; k < 10; k++) {
    take = next(take);
    const here = await verdictOn(verdicts, take);
    const whole = await verdictOn(new Verdicts(owl, WASM), take);
    expect(withoutMetal(here), String(k)).toEqual(withoutMetal(whole));
    expect(here.trace.delivered).toEqual(whole.trace.delivered);
    expect(here.trace.use).toEqual(whole.trace.use);
    const { stream } = readable(await rowsOfTake(take, owl));
    const loaded = load(owl, { pose: HOME, without: [], stream: { name: 'dusk', stored: stream } });
    // What a joint would need besides is not asked of a take.
    const joints = 'refused' in loaded ? [] : loaded.joints.map((joint) => ({ ...joint, needs: null }));
    expect(here.joints).toEqual(joints);
    saved += whole.anew - here.anew;
  }
  expect(saved).toBeGreaterThan(4000);
}, 120_000);

it(`has the frames that the take’s file is read to, to the last bit (seed ${String(SEED)})`, async () => {
  const next = randomEdits(SEED);
  let take: Take = { ...dusk, curves: dusk.curves.filter(({ column }) => column !== 'lid_deg') };
  for (let k = 0; k < 30; k++) {
    take = next(take);
    const here = plainRows(take, owl);
    if (!here) throw new Error(`edit ${String(k)} was read by its text`);
    const there = readable(await rowsOf(takeText(take, columnsOf(owl)), owl)).stream;
    expect([here.count, here.size]).toEqual([there.count, there.size]);
    for (let n = 0; n < there.count; n++)
      if (!here.isSameAt(n, there)) throw new Error(`edit ${String(k)}, frame ${String(n)}`);
  }
}, 60_000);

it('refuses a take as its file would be refused', async () => {
  const wrong = (value: number): Take => ({
    ...emptyTake('wrong', 1),
    curves: [
      {
        column: 'nod_deg',
        keys: [
          { t_s: 0, value: 0 },
          { t_s: 0.02, value },
        ],
      },
    ],
  });
  for (const take of [wrong(91), wrong(2e6), emptyTake('none', 1)]) {
    expect(plainRows(take, owl)).toBeNull();
    expect(await rowsOfTake(take, owl)).toEqual(await rowsOf(takeText(take, columnsOf(owl)), owl));
  }
  expect(await rowsOfTake(wrong(91), owl)).toMatch(/nod_deg steps by 91 degrees/);
  expect(typeof (await rowsOfTake(wrong(90), owl))).toBe('object');
});

it('warms up block by block, and gives that up at once when something newer comes', async () => {
  let asked = 0;
  const until = (most: number) => () => Promise.resolve(++asked <= most);
  expect(await warmUp(owl, WASM, dusk, until(Infinity))).toBe(true);
  // Every edit goes its way in blocks: the take's 30 once, then some of each edit.
  expect(asked).toBeGreaterThan(60);
  asked = 0;
  expect(await warmUp(owl, WASM, dusk, until(40))).toBe(false);
  expect(asked).toBe(41);
}, 60_000);

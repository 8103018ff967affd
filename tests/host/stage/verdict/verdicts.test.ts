/** The verdict in the page and the command line's are one: the same four answers, in the same words. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { readRig } from '../../../../host/rig/read.ts';
import { takeComments, takeOf, takeText } from '../../../../host/stage/take/file.ts';
import { columnsOf } from '../../../../host/stage/take/lanes.ts';
import { edited } from '../../../../host/stage/take/edit.ts';
import type { Take } from '../../../../host/stage/take/take.ts';
import { fixed } from '../../../../host/stage/page/verdict/fixes.ts';
import { untilFollowed } from '../../../../host/stage/page/verdict/until-followed.ts';
import { Verdicts } from '../../../../host/stage/page/verdict/verdicts.ts';
import type { Verdict } from '../../../../host/stage/page/verdict/protocol.ts';
import { scanStream } from '../../../../host/stream/read.ts';
import { simTarget } from '../../../../host/targets/sim.ts';
import type { WhyAnswer } from '../../../../host/why/result.ts';
import { whyOf } from '../../../../host/why/why.ts';
import { WASM } from '../../../assembly/prop.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const lines = readFileSync('host/demo/dusk.csv', 'utf8')
  .split('\n')
  .filter((line) => line !== '' && !line.startsWith('#'));
const names = lines[0]!.split(',').slice(1);
const rows = lines.slice(1).map((line) => line.split(',').map(Number));
const samples = new Map(names.map((name, k) => [name, Float64Array.from(rows, (row) => row[k + 1]!)]));
const dusk: Take = takeOf('dusk', samples, takeComments([]));
const go = (): Promise<boolean> => Promise.resolve(true);

async function verdictOn(verdicts: Verdicts, take: Take): Promise<Verdict> {
  const verdict = await verdicts.of(take, go);
  if (verdict === null || typeof verdict === 'string') throw new Error(String(verdict));
  return verdict;
}

async function whySays(take: Take) {
  const source = [new TextEncoder().encode(takeText(take, columnsOf(owl)))];
  const stream = { name: take.name, source, scan: await scanStream(source, owl) };
  return (await whyOf(owl, { symptom: null, stream, target: simTarget({ wasm: WASM }) })).why.answers;
}

/** Time out of torque, ms: a metal that is set back to a checkpoint begins its step's sums afresh, which may move it by a step. */
const OUT_OF = /(\d+) ms/;

function expectAlike(here: readonly WhyAnswer[], there: readonly WhyAnswer[]): void {
  const plain = (all: readonly WhyAnswer[]) =>
    all.map((one) => ({ ...one, because: one.because.replace(OUT_OF, 'so many ms') }));
  expect(plain(here)).toEqual(plain(there));
  const ms = (all: readonly WhyAnswer[]): number => Number(OUT_OF.exec(all[3]!.because)?.[1] ?? 0);
  expect(Math.abs(ms(here) - ms(there))).toBeLessThanOrEqual(0.01 * ms(there));
}

it('answers as why does, before and after an edit', async () => {
  const verdicts = new Verdicts(owl, WASM);
  expectAlike((await verdictOn(verdicts, dusk)).answers, await whySays(dusk));
  const far = edited(dusk, { kind: 'key', column: 'roll_deg', key: { t_s: 5, value: 60 } });
  const verdict = await verdictOn(verdicts, far);
  expectAlike(verdict.answers, await whySays(far));
  expect(verdict.answers[0]!.verdict).not.toBe('yes');
  expect(verdict.gaps.some(({ cause }) => cause === 'reach')).toBe(true);
}, 120_000);

it('says where the nod runs out of torque, and how much is missing', async () => {
  const { gaps } = await verdictOn(new Verdicts(owl, WASM), dusk);
  const torque = gaps.filter(({ cause }) => cause === 'torque');
  expect(torque.map(({ joint }) => joint)).toContain('nod');
  expect(torque[0]!.words).toMatch(/^nod: out of torque from 9\.\d s to \d+\.\d s, \d+ % short, /);
});

it('retimes as one whole take, its beats on their times', async () => {
  const take: Take = { ...dusk, marks: [{ t_s: 4, name: 'look' }] };
  const done = await fixed(owl, take, { kind: 'retime' });
  if (!('take' in done)) throw new Error(done.refused);
  expect(done.before.use).toBeGreaterThan(1);
  expect(done.after.use).toBeLessThanOrEqual(1);
  expect(done.take.marks).toEqual(take.marks);
  const { gaps } = await verdictOn(new Verdicts(owl, WASM), done.take);
  // Its servos' loops are still late at times; none is asked for more than its servo has.
  expect(gaps.filter(({ words }) => words.includes('short'))).toEqual([]);
});

it('makes a stretch smaller about its mean and leaves the rest alone', async () => {
  const done = await fixed(owl, dusk, { kind: 'smaller', columns: ['nod_deg'], from_s: 9, to_s: 11.5 });
  if (!('take' in done)) throw new Error(done.refused);
  expect(done.after.use).toBeLessThan(done.before.use!);
  const other = (take: Take) => take.curves.filter(({ column }) => column !== 'nod_deg');
  expect(other(done.take)).toEqual(other(dusk));
});

it('ends with four times yes where a take is made smaller until it is followed; retimed alone it is not', async () => {
  const words = (verdict: Verdict) => verdict.answers.map((answer) => answer.verdict);
  const retimed = await fixed(owl, dusk, { kind: 'retime' });
  const steps: string[] = [];
  const made = await untilFollowed(owl, WASM, dusk, (words) => steps.push(words));
  if ('refused' in retimed || 'refused' in made) throw new Error('refused');
  expect(words(await verdictOn(new Verdicts(owl, WASM), retimed.take))).toEqual(['yes', 'yes', 'yes', 'no']);
  expect(made.left).toBe(0);
  expect(steps.slice(0, 2)).toEqual(['it is being retimed', 'retimed; the simulated prop plays it']);
  expect(steps[2]).toMatch(/^round 1 of at most 6: stretch 1 of \d+, from \d+\.\d to \d+\.\d s, is made smaller$/);
  expect(steps.at(-1)).toMatch(/^round \d of at most 6: the simulated prop plays it again$/);
  expect(words(await verdictOn(new Verdicts(owl, WASM), made.take))).toEqual(['yes', 'yes', 'yes', 'yes']);
  expect(made.take.seconds).toBeCloseTo(retimed.take.seconds, 6);
}, 120_000);

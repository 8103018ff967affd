/** A take judged in the page: pulse for pulse what a replay gives, and after any edit what judging it from its beginning gives. */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { RECORD, STOP_NOTE } from '../../../../host/controller/leftovers.ts';
import { playOnMetal } from '../../../../host/replay/on-metal.ts';
import { readRig } from '../../../../host/rig/read.ts';
import { Judge, type Judged } from '../../../../host/stage/page/verdict/judge.ts';
import { type Rows, rowsOf } from '../../../../host/stage/page/verdict/rows.ts';
import { Trace } from '../../../../host/stage/page/verdict/trace.ts';
import { simTarget } from '../../../../host/targets/sim.ts';
import { WASM } from '../../../assembly/prop.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const dusk = readFileSync('host/demo/dusk.csv', 'utf8');
const N = owl.joints.length;
const go = (): Promise<boolean> => Promise.resolve(true);

async function rows(text: string): Promise<Rows> {
  const read = await rowsOf(text, owl);
  if (typeof read === 'string') throw new Error(read);
  return read;
}

it('tells the servos what a replay tells them, pulse for pulse', async () => {
  const there: string[] = [];
  const pulses = (widths_us: Uint16Array): unknown => there.push(widths_us.subarray(0, N).join());
  await playOnMetal(owl, [new TextEncoder().encode(dusk)], simTarget({ wasm: WASM, pulses }), 'dusk');
  const judge = new Judge(owl, WASM);
  const here: string[] = [];
  judge.course.clockwork.ticked = (widths_us) => here.push(widths_us.subarray(0, N).join());
  await judge.judge(await rows(dusk), go);
  expect(here.length).toBeGreaterThan(20 * 200);
  const moves = here.findIndex((row, n) => n > 0 && row !== here[n - 1]);
  const at = there.findIndex(
    (row, n) => row === here[moves] && there.slice(n, n + 200).join() === here.slice(moves, moves + 200).join(),
  );
  expect(at).toBeGreaterThan(0);
  // The replay settles the prop half a second after the end, and so long this one goes on.
  const length = here.length - moves - 100;
  expect(there.slice(at, at + length)).toEqual(here.slice(moves, moves + length));
});

const SEED = 20;
const head = dusk.split('\n').filter((line) => line.startsWith('#') || line.startsWith('t_s'));
const frames = dusk.split('\n').filter((line) => /^[\d.]+,/.test(line));

/** A bump on one column of some frames. */
function bumped(lines: readonly string[], from: number, count: number, column: number, size: number): string[] {
  return lines.map((line, n) => {
    if (n < from || n >= from + count) return line;
    const cells = line.split(',');
    cells[column] = (Number(cells[column]) + size * Math.sin((Math.PI * (n - from)) / count) ** 2).toFixed(6);
    return cells.join(',');
  });
}

/** What of two traces must be the same: the controller's part to the last bit, the metal's nearly. */
function expectSame(one: Judged, other: Judged): void {
  const [a, b] = [one.trace, other.trace];
  expect([a.count, a.played]).toEqual([b.count, b.played]);
  for (const name of ['position', 'lowest', 'highest', 'pulse_us', 'held', 'askedJoints', 'use'] as const)
    expect(a.joint[name], name).toEqual(b.joint[name]);
  for (const name of ['ticks', 'starved', 'unreachable'] as const) expect(a.frame[name], name).toEqual(b.frame[name]);
  // Their numbers are in the order in which they were met.
  const stops = ({ frame, stops }: Trace): unknown[] => Array.from(frame.stop, (n) => stops[n - 1] ?? null);
  expect(stops(a)).toEqual(stops(b));
  let most = 0;
  for (let k = 0; k < a.joint.metal.length; k++) most = Math.max(most, Math.abs(a.joint.metal[k]! - b.joint.metal[k]!));
  expect(most).toBeLessThanOrEqual(1e-6);
}

it(`judges an edit as the whole take is judged (seed ${String(SEED)})`, async () => {
  const random = xoroshiro128plus(SEED);
  const judge = new Judge(owl, WASM);
  let lines: readonly string[] = frames;
  const text = (): string => [...head, ...lines, ''].join('\n');
  await judge.judge(await rows(text()), go);
  let saved = 0;
  for (let k = 0; k < 4; k++) {
    const from = uniformInt(random, 100, 700);
    lines = bumped(lines, from, uniformInt(random, 10, 100), uniformInt(random, 4, 8), 8 * uniformFloat64(random) - 4);
    const now = await judge.judge(await rows(text()), go);
    const whole = await new Judge(owl, WASM).judge(await rows(text()), go);
    expectSame(now!, whole!);
    saved += whole!.anew.to - (now!.anew.to - now!.anew.from);
  }
  expect(saved).toBeGreaterThan(4 * 500);
}, 60_000);

it('gives up a take when a newer one comes, and knows the one before still', async () => {
  const judge = new Judge(owl, WASM);
  const before = await judge.judge(await rows(dusk), go);
  const lines = bumped(frames, 300, 50, 7, 3);
  const edit = await rows([...head, ...lines, ''].join('\n'));
  expect(await judge.judge(edit, () => Promise.resolve(false))).toBeNull();
  expectSame((await judge.judge(await rows(dusk), go))!, before!);
  const whole = await new Judge(owl, WASM).judge(edit, go);
  expectSame((await judge.judge(edit, go))!, whole!);
}, 60_000);

it('judges a take that has grown longer, and one whose beginning changes', async () => {
  const judge = new Judge(owl, WASM);
  await judge.judge(await rows(dusk), go);
  const last = frames.at(-1)!.split(',');
  const longer = [
    ...frames,
    ...Array.from({ length: 60 }, (_, n) => [(20.02 + n / 50).toFixed(2), ...last.slice(1)].join(',')),
  ];
  for (const lines of [longer, bumped(longer, 0, 30, 7, 5)]) {
    const now = await rows([...head, ...lines, ''].join('\n'));
    expectSame((await judge.judge(now, go))!, (await new Judge(owl, WASM).judge(now, go))!);
  }
}, 60_000);

/** Pitch by far more than the neck reaches. */
const outOfReach = (lines: readonly string[], from: number): string[] => bumped(lines, from, 50, 5, 60);
const stream = (lines: readonly string[]): Promise<Rows> => rows([...head, ...lines, ''].join('\n'));
const stopped = ({ trace }: Judged): number => trace.frame.unreachable.reduce((sum, ticks) => sum + ticks, 0);

it('judges no more than its stretch where an edit asks for what is out of reach, and knows what it left behind', async () => {
  const judge = new Judge(owl, WASM);
  await judge.judge(await stream(frames), go);
  const once = await stream(outOfReach(frames, 300));
  const now = (await judge.judge(once, go))!;
  expect(stopped(now)).toBeGreaterThan(100);
  expect(now.anew.to - now.anew.from).toBeLessThan(250);
  expectSame(now, (await new Judge(owl, WASM).judge(once, go))!);
  // Out of reach again, further on: what the first time has left behind counts, or the bits would differ.
  const twice = await stream(outOfReach(outOfReach(frames, 300), 700));
  expectSame((await judge.judge(twice, go))!, (await new Judge(owl, WASM).judge(twice, go))!);
  // And back, with the second one still to come.
  const later = await stream(outOfReach(frames, 700));
  expectSame((await judge.judge(later, go))!, (await new Judge(owl, WASM).judge(later, go))!);
}, 60_000);

it('has the controller’s note of what stopped a pose where it stands: all that is left of one, seconds later', async () => {
  const memories: Uint8Array[] = [];
  for (const lines of [frames, outOfReach(frames, 300)]) {
    const judge = new Judge(owl, WASM);
    const read = await stream(lines);
    judge.course.begin(read);
    const trace = new Trace(N, 700);
    for (let f = 0; f < 700; f++) judge.course.frame(f, trace);
    memories.push(judge.course.checkpoint().memory);
  }
  const places = [...memories[0]!.keys()].filter((k) => memories[0]![k] !== memories[1]![k]);
  expect(places.length).toBeGreaterThan(0);
  const isIn = ({ at, bytes }: { at: number; bytes: number }, k: number): boolean => k >= at && k < at + bytes;
  expect(places.filter((k) => !isIn(STOP_NOTE, k) && !isIn(RECORD, k))).toEqual([]);
  expect(places.some((k) => isIn(STOP_NOTE, k))).toBe(true);
}, 60_000);

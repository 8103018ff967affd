/** A take judged in the page: pulse for pulse what a replay gives, and after any edit what judging it from its beginning gives. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { playOnMetal } from '../../../../host/replay/on-metal.ts';
import { readRig } from '../../../../host/rig/read.ts';
import { Judge } from '../../../../host/stage/page/verdict/judge.ts';
import { type Rows, rowsOf } from '../../../../host/stage/page/verdict/rows.ts';
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
  const at = there.findIndex((row, n) => row === here[moves] && there.slice(n, n + 200).join() === here.slice(moves, moves + 200).join());
  expect(at).toBeGreaterThan(0);
  // The replay settles the prop half a second after the end, and so long this one goes on.
  const length = here.length - moves - 100;
  expect(there.slice(at, at + length)).toEqual(here.slice(moves, moves + length));
});

/** The stand in the page and the replay of the command line are one controller: what either tells the servos is the same. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { playOnMetal } from '../../../host/replay/on-metal.ts';
import { readRig } from '../../../host/rig/read.ts';
import { Stand } from '../../../host/stage/page/engine/stand.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const dusk = readFileSync('host/demo/dusk.csv', 'utf8');

/** Every joint's pulse on every tick of a replay. */
async function replayed(): Promise<number[][]> {
  const ticks: number[][] = [];
  const pulses = (widths_us: Uint16Array): unknown => ticks.push([...widths_us.subarray(0, owl.joints.length)]);
  await playOnMetal(owl, [new TextEncoder().encode(dusk)], simTarget({ wasm: WASM, pulses }), 'dusk');
  return ticks;
}

async function played(): Promise<number[][]> {
  const stand = await Stand.open(owl, WASM);
  await stand.follower.play(dusk, 0);
  for (let to_us = stand.now_us; ; to_us += 16_667) {
    stand.run(to_us);
    const pulses = stand.played();
    if (!pulses) continue;
    const n = owl.joints.length;
    return Array.from({ length: pulses.length / n }, (_, k) => [...pulses.subarray(k * n, (k + 1) * n)]);
  }
}

it('tells the servos what a replay tells them, pulse for pulse', async () => {
  const [there, here] = [await replayed(), await played()];
  expect(here.length).toBeGreaterThan(20 * 200);
  const rows = there.map((row) => row.join());
  const moves = here.map((row) => row.join());
  const first = moves.findIndex((row, n) => n > 0 && row !== moves[n - 1]);
  const at = rows.findIndex(
    (row, n) => row === moves[first] && rows[n + 1] === moves[first + 1] && rows[n + 2] === moves[first + 2],
  );
  expect(at).toBeGreaterThan(0);
  expect(rows.slice(at, at + moves.length - first)).toEqual(moves.slice(first));
});

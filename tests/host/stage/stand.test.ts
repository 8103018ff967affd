/** The stand in the page and the replay of the command line are one controller: what either tells the servos is the same. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { controllerFor } from '../../../host/cli/own-controller.ts';
import { playOnMetal } from '../../../host/replay/on-metal.ts';
import type { Sensed } from '../../../host/replay/sensed.ts';
import { readRig } from '../../../host/rig/read.ts';
import { Stand } from '../../../host/stage/page/engine/stand.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';
import { scratch } from '../cli/fixture.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const dusk = readFileSync('host/demo/dusk.csv', 'utf8');
const OPEN: Sensed = { closed: 0, analog: [] };

/** Every joint's pulse on every tick of a replay. */
async function replayed(rig = owl, wasm = WASM, sensed: Sensed = OPEN): Promise<number[][]> {
  const ticks: number[][] = [];
  const pulses = (widths_us: Uint16Array): unknown => ticks.push([...widths_us.subarray(0, rig.joints.length)]);
  const target = simTarget({ wasm, pulses, sensed: () => sensed });
  await playOnMetal(rig, [new TextEncoder().encode(dusk)], target, 'dusk');
  return ticks;
}

async function played(rig = owl, wasm = WASM, sensed: Sensed = OPEN): Promise<number[][]> {
  const stand = await Stand.open(rig, wasm);
  stand.sense(sensed);
  await stand.follower.play(dusk, 0);
  for (let to_us = stand.now_us; ; to_us += 16_667) {
    stand.run(to_us);
    const pulses = stand.played();
    if (!pulses) continue;
    const n = rig.joints.length;
    return Array.from({ length: pulses.length / n }, (_, k) => [...pulses.subarray(k * n, (k + 1) * n)]);
  }
}

/** Where the take moves, both have the same rows. */
function expectSame(there: number[][], here: number[][]): void {
  expect(here.length).toBeGreaterThan(20 * 200);
  const rows = there.map((row) => row.join());
  const moves = here.map((row) => row.join());
  const first = moves.findIndex((row, n) => n > 0 && row !== moves[n - 1]);
  const at = rows.findIndex(
    (row, n) => row === moves[first] && rows[n + 1] === moves[first + 1] && rows[n + 2] === moves[first + 2],
  );
  expect(at).toBeGreaterThan(0);
  expect(rows.slice(at, at + moves.length - first)).toEqual(moves.slice(first));
}

it('tells the servos what a replay tells them, pulse for pulse', async () => {
  expectSame(await replayed(), await played());
});

it('and so it does where the rig responds to its inputs', async () => {
  const folder = scratch();
  const text = readFileSync('host/demo/night-owl.yaml', 'utf8');
  const path = folder.put('owl.yaml', `${text}night:\n  inputs: { step: { pin: 27 } }\n  analog: { near: 26 }\n`);
  folder.put(
    'responses.ts',
    `import { add, closed, level } from './senses';
import { Level, Pin, Value } from './named';
export function respond(): void {
  add(Value.ears, level(Level.near) * 20.0);
  if (closed(Pin.step)) add(Value.yaw, 2.0);
}`,
  );
  const rig = readRig(readFileSync(path, 'utf8')).rig!;
  const made = await controllerFor(path, rig);
  if (!('wasm' in made) || !made.wasm) throw new Error(JSON.stringify(made));
  const here = await played(rig, made.wasm, { closed: 1, analog: [40_000, 0, 0, 0] });
  expectSame(await replayed(rig, made.wasm, { closed: 1, analog: [40_000, 0, 0, 0] }), here);
  const quiet = await played(rig, made.wasm);
  const ears = rig.joints.findIndex(({ name }) => name === 'ears');
  const [most, least] = [here, quiet].map((rows) => Math.max(...rows.map((row) => row[ears]!)));
  expect(most! - least!).toBeGreaterThan(30);
  folder.remove();
});

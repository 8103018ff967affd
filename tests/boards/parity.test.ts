/** Every board gives the bits of the controller in V8: a thousand poses without limits, and the demo. `npm run bench:boards` has the long runs. */
import { describe, expect, it, vi } from 'vitest';
import { type Parity, Twins } from '../../host/build/bench/boards/parity.ts';
import { demoRig } from '../../host/build/bench/boards/rerun.ts';
import {
  type Script,
  type Watched,
  WHOLE,
  posesScript,
  quiet,
  roughScript,
  streamScript,
  withoutLimits,
} from '../../host/build/bench/boards/scripts.ts';
import { BOARD_NAMES, type BoardName } from '../../host/build/bench/boards/stepped.ts';
import type { Link } from '../../host/rig/links.ts';
import type { Rig } from '../../host/rig/rig.ts';
import { firmwareOf, has } from './firmware.ts';

const TOOLS: Readonly<Record<BoardName, readonly string[]>> = {
  native: ['gcc'],
  f405: ['arm-none-eabi-gcc', 'qemu-system-arm'],
  pico: ['arm-none-eabi-gcc'],
};
// Emulators are slow on a busy machine.
vi.setConfig({ testTimeout: 600_000 });
const SEED = 3;
const rig = demoRig();

async function play(
  name: BoardName,
  itsRig: Rig,
  script: (board: Watched) => Script | Promise<Script>,
  link?: Link,
): Promise<Parity> {
  const twins = await Twins.start(name, firmwareOf(name), itsRig, link);
  try {
    return await twins.play(await script(twins.watched));
  } finally {
    await twins.board.close();
  }
}

describe.each(BOARD_NAMES)('%s', (name) => {
  const run = it.skipIf(!has(...TOOLS[name]));

  run('a thousand poses', async () => {
    const free = withoutLimits(rig);
    const parity = await play(name, free, (board) => posesScript(free, board, 1000, SEED));
    expect(parity).toMatchObject({ differing: 0, missing: 0, first: null });
    // The poses are different, and they come out.
    expect(parity.widths.size).toBeGreaterThan(600);
    expect(parity.pulsing).toBeGreaterThan(1400);
  });

  run('the demo', async () => {
    const parity = await play(name, rig, (board) => streamScript(rig, board, 'host/demo/dusk.csv', WHOLE, quiet));
    expect(parity).toMatchObject({ differing: 0, missing: 0, first: null });
    expect(parity.widths.size).toBeGreaterThan(600);
  });

  run('a rough stream', async () => {
    const parity = await play(name, rig, (board) => roughScript(rig, board, name === 'native' ? 10_000 : 600, SEED));
    expect(parity, `seed ${String(SEED)}`).toMatchObject({ differing: 0, missing: 0, first: null });
  });
});

it.skipIf(!has(...TOOLS.pico))('pico over its USB cable: a rough stream', async () => {
  const parity = await play('pico', rig, (board) => roughScript(rig, board, 500, SEED), 'usb');
  expect(parity).toMatchObject({ differing: 0, missing: 0, first: null });
  expect(parity.widths.size).toBeGreaterThan(400);
  expect(parity.frames).toBeGreaterThan(100);
});

it.skipIf(!has('gcc'))('a difference is seen: one side hears a frame more, and counts it', async () => {
  const twins = await Twins.start('native', firmwareOf('native'), rig);
  const script = function* (): Script {
    yield* posesScript(rig, twins.watched, 20, SEED);
    twins.controller.receive(Uint8Array.of(9, 9, 0));
    yield new Uint8Array(0);
  };
  const parity = await twins.play(script());
  expect(parity.differing).toBeGreaterThan(0);
  expect(parity.first).toContain('a frame');
  await twins.board.close();
});

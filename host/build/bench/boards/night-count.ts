/**
 * What ticks cost while the board has a night: on the emulated pico in cycles, link over UART0, and on the emulated f405 in instructions.
 * The same emulators, counted as pico-count.ts and tick-count.ts do.
 */
import { readFileSync } from 'node:fs';
import { INPUT, OUTPUT } from '../../../controller/layout.ts';
import type { Firmware } from '../../../firmware/compile.ts';
import { elfSymbols } from '../../../targets/elf.ts';
import { f405Board } from '../../../targets/f405.ts';
import { connectGdb } from '../../../targets/gdb.ts';
import { flashOf } from '../../../targets/pico.ts';
import { startQemu } from '../../../targets/qemu.ts';
import { PicoMachine } from '../../../targets/rp2040/machine.ts';
import { withPages } from './f405-pages.ts';
import { type NightShow, checkTicks, rigScript, sendScript, startScript } from './night-show.ts';
import { Clock, type Script, type Watched } from './scripts.ts';
import { INSTRUCTIONS_PER_US, SHIFT } from './tick-count.ts';

const TICK_US = 5000;
const RAM_AT = 0x20000000;
const LIMP_TICKS = 400;
/** Rousing has ended, and the first tick of being live may do more. */
const SKIPPED = 2;

export interface NightCount {
  readonly what: string;
  /** Of its ticks. */
  readonly median: number;
  readonly longest: number;
}

/** A board that counts: one tick, and what it took; NaN: not known. */
interface Counting {
  readonly watched: Watched;
  tick(bytes: Uint8Array): Promise<number>;
}

const offsetOf = (wasm: string, name: string): number =>
  Number((new WebAssembly.Instance(new WebAssembly.Module(readFileSync(wasm))).exports[name] as WebAssembly.Global).value);
const arenaOf = (elf: string): number => elfSymbols(readFileSync(elf)).get('wasm_arena') ?? NaN;

async function countAll(board: Counting, show: NightShow, seconds: number): Promise<NightCount[]> {
  const clock = new Clock();
  const counts: NightCount[] = [];
  const run = async (what: string | null, script: Script): Promise<void> => {
    const ticks: number[] = [];
    for (const bytes of script) ticks.push(await board.tick(bytes));
    const known = ticks.slice(SKIPPED).filter((count) => count > 0).toSorted((a, b) => a - b);
    if (what !== null) counts.push({ what, median: known[known.length >> 1] ?? NaN, longest: known.at(-1) ?? NaN });
  };
  const hz = show.rig.motion.tick_hz;
  await run(null, rigScript(clock, show, board.watched));
  await run('limp, no night', clock.wait(LIMP_TICKS));
  await run('limp, a night arrives', sendScript(clock, show));
  await run('limp, its bytes are checked', clock.wait(checkTicks(show)));
  await run('limp, a night in force', clock.wait(LIMP_TICKS));
  await run('warning and rousing', startScript(clock, board.watched));
  await run('the way to the show, and the show', clock.wait((seconds + 1) * hz));
  await run('idle life', clock.wait(2 * hz));
  return counts;
}

export function countPicoNight({ elf, image }: Firmware, wasm: string, show: NightShow, seconds: number): Promise<NightCount[]> {
  let last = NaN;
  const machine = new PicoMachine(flashOf(readFileSync(image)), {
    byte: () => undefined,
    tick: (count) => (last = count ?? NaN),
  });
  const stateAt = arenaOf(elf) - RAM_AT + offsetOf(wasm, 'outputs') + OUTPUT.state;
  let n = 0;
  const board: Counting = {
    watched: {
      ahead: 1,
      get state() {
        return machine.ram[stateAt] ?? 0;
      },
    },
    tick(bytes) {
      n++;
      last = NaN;
      if (bytes.length > 0) machine.write(bytes, machine.now_us);
      machine.run(n * TICK_US + TICK_US / 2);
      if (machine.faults.length > 0) throw new Error(machine.faults.join('; '));
      return Promise.resolve(last);
    },
  };
  return countAll(board, show, seconds);
}

export async function countF405Night({ elf }: Firmware, wasm: string, show: NightShow, seconds: number): Promise<NightCount[]> {
  const arena = arenaOf(elf);
  const tickUsAt = arena + offsetOf(wasm, 'inputs') + INPUT.tick_us;
  const stateAt = arena + offsetOf(wasm, 'outputs') + OUTPUT.state;
  const qemu = await startQemu(elf, { counted: true, shift: SHIFT });
  try {
    const gdb = await withPages(await connectGdb(qemu.socket, 20_000), elf);
    const f405 = await f405Board(gdb, { elf }, { bytes: () => undefined });
    let state = 0;
    const board: Counting = {
      watched: {
        get state() {
          return state;
        },
      },
      async tick(bytes) {
        if ((await f405.receive(bytes)) < bytes.length) throw new Error('the receive ring is full');
        await f405.tick();
        const [us, now] = await Promise.all([gdb.read(tickUsAt, 4), gdb.read(stateAt, 1)]);
        state = now[0]!;
        return Buffer.from(us).readUInt32LE() * INSTRUCTIONS_PER_US;
      },
    };
    const counts = await countAll(board, show, seconds);
    gdb.close();
    return counts;
  } finally {
    await qemu.close();
  }
}

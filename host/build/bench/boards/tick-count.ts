/**
 * Instructions of whole ticks: the f405's firmware in the emulator measures them itself, in microseconds, with a clock so slow
 * that one is eight instructions. It is stopped only between ticks: a stop lets the emulator's clock run on to the next interrupt.
 */
import { readFileSync } from 'node:fs';
import { packImage } from '../../../controller/image.ts';
import { INPUT } from '../../../controller/layout.ts';
import { TYPE, sender } from '../../../controller/messages.ts';
import type { Rig } from '../../../rig/rig.ts';
import { f405Board } from '../../../targets/f405.ts';
import { elfSymbols } from '../../../targets/elf.ts';
import { connectGdb } from '../../../targets/gdb.ts';
import { startQemu } from '../../../targets/qemu.ts';

/** 128 ns an instruction. */
export const SHIFT = 7;
export const INSTRUCTIONS_PER_US = 1000 / 2 ** SHIFT;
/** What the controller takes in one tick at most. */
const FULL = 512;
const ROUSE_TICKS = 2000;
const PLAY_TICKS = 400;
const WORST_TICKS = 100;
/** A pose every so many ticks, and telemetry: 50 a second. */
const EVERY = 4;
const TICK_US = 5000;

export interface TickCounts {
  /** Of the ticks of a motion within reach. */
  readonly median: number;
  readonly mean: number;
  readonly p99: number;
  readonly longest: number;
  /** The longest with the receive ring full of poses out of reach and telemetry on every tick. */
  readonly worst: number;
}

export function countsOf(motion: readonly number[], worst: number): TickCounts {
  const sorted = motion.toSorted((a, b) => a - b);
  const at = (share: number): number => sorted[Math.floor(share * (sorted.length - 1))] ?? NaN;
  const mean = motion.reduce((sum, count) => sum + count, 0) / motion.length;
  return { median: at(0.5), mean, p99: at(0.99), longest: at(1), worst };
}

/** Pose and joints (mm, rad) of a slow look about on tick n, or of one far out of reach. */
export function swing(n: number, joints: number, far: boolean): Float64Array {
  return Float64Array.from({ length: joints }, (_, k) => {
    const reach = k < 3 ? (far ? 300 : 4) : k < 6 ? (far ? 1.5 : 0.06) : far ? 9 : 0.1;
    return Math.sin(n / 40 + k) * reach;
  });
}

/** Counts a motion within reach, then ticks with everything against them. wasm: the controller's file. */
export async function countTicks(elf: string, wasm: string, rig: Rig): Promise<TickCounts> {
  const inputs = new WebAssembly.Instance(new WebAssembly.Module(readFileSync(wasm))).exports['inputs'];
  const arena = elfSymbols(readFileSync(elf)).get('wasm_arena');
  if (!(inputs instanceof WebAssembly.Global) || arena === undefined) throw new Error('this is not the controller');
  const tickUsAt = arena + Number(inputs.value) + INPUT.tick_us;
  const qemu = await startQemu(elf, { counted: true, shift: SHIFT });
  try {
    const gdb = await connectGdb(qemu.socket, 20_000);
    const board = await f405Board(gdb, { elf }, { bytes: () => undefined });
    const send = sender();
    const joints = rig.joints.length;
    let n = 0;
    let pending = Buffer.alloc(0);
    const pose = (far: boolean, ahead_us: number): Uint8Array =>
      send.pose((n * TICK_US + ahead_us) >>> 0, swing(n, joints, far), 6);
    /** One tick; instructions of the one before. */
    const run = async (bytes?: Uint8Array): Promise<number> => {
      n++;
      if (bytes) pending = pending.subarray(await board.receive((pending = Buffer.concat([pending, bytes]))));
      await board.tick();
      return Buffer.from(await gdb.read(tickUsAt, 4)).readUInt32LE() * INSTRUCTIONS_PER_US;
    };
    const play = (): Uint8Array | undefined => (n % EVERY === 0 ? pose(false, 20_000) : undefined);
    for (const frame of send.image(packImage(rig))) await run(frame);
    await run(send.report(EVERY));
    await run(send.command(TYPE.rouse));
    while (n < ROUSE_TICKS) await run(play());
    const motion: number[] = [];
    for (let k = 0; k < PLAY_TICKS; k++) motion.push(await run(play()));
    await run(send.report(1));
    await run();
    let worst = 0;
    for (let k = 0; k < WORST_TICKS; k++) {
      const frames: Uint8Array[] = [];
      for (let bytes = pending.length; bytes < FULL; bytes += frames.at(-1)?.length ?? 0)
        frames.push(pose(true, 20_000 + 500 * frames.length));
      worst = Math.max(worst, await run(Buffer.concat(frames)));
    }
    gdb.close();
    return countsOf(motion, worst);
  } finally {
    await qemu.close();
  }
}

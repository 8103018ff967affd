/**
 * Boards that are run one tick at a time beside the controller in V8, with what each shows of itself: what it sends, the widths
 * at its servo pins, and, of the emulated ones, the controller's memory.
 */
import { readFileSync } from 'node:fs';
import type { Firmware } from '../../../firmware/compile.ts';
import type { Link } from '../../../rig/links.ts';
import { elfSymbols } from '../../../targets/elf.ts';
import { f405Board } from '../../../targets/f405.ts';
import { connectGdb } from '../../../targets/gdb.ts';
import { flashOf } from '../../../targets/pico.ts';
import { startQemu } from '../../../targets/qemu.ts';
import { PicoMachine } from '../../../targets/rp2040/machine.ts';
import { F405_STORE, withPages } from './f405-pages.ts';
import { Lockstep } from './lockstep.ts';

export const SERVO_PINS = 16;
export const FIRST_PIN = 2;

export interface SteppedBoard {
  readonly name: BoardName;
  /** Its number in "I am". */
  readonly kind: number;
  /** Its flash takes rig images: QEMU's of the f405 does not. */
  readonly stores: boolean;
  /**
   * Hands it bytes and runs one tick. Returns what has arrived for that tick: what is handed over may take its time on the line.
   */
  tick(bytes: Uint8Array): Promise<readonly Uint8Array[]>;
  /** Ticks that it makes before it hears anything; its first calls of tick() stand for them. */
  readonly ahead?: number;
  readonly showsMemory: boolean;
  /** Bytes of the controller's memory as the tick left it, where it shows it. */
  memory(at: number, n: number): Promise<Uint8Array>;
  /** Its pages for nights, blank at the start. */
  readonly store: { readonly pages: number; readonly sectorPages: number };
  /** Widths that the servo pins have been given, us; null: looked at elsewhere. */
  readonly widths: Uint16Array | null;
  close(): Promise<void>;
}

export type BoardName = 'native' | 'f405' | 'pico';
export const BOARD_NAMES: readonly BoardName[] = ['native', 'f405', 'pico'];

/** Starts a board from power-up. sent: what it sends, in order. hz: ticks a second of the rig that it will have. link: the pico's. */
export function startStepped(
  name: BoardName,
  { elf, image }: Firmware,
  hz: number,
  sent: (bytes: Uint8Array) => void,
  link: Link = 'uart0',
): Promise<SteppedBoard> {
  if (name === 'native') return Promise.resolve(steppedNative(elf, sent));
  return name === 'f405' ? steppedF405(elf, sent) : Promise.resolve(steppedPico(elf, image, hz, sent, link));
}

function steppedNative(elf: string, sent: (bytes: Uint8Array) => void): SteppedBoard {
  const board = new Lockstep(elf);
  const widths = new Uint16Array(SERVO_PINS);
  return {
    name: 'native',
    kind: 3,
    stores: true,
    store: { pages: 2048, sectorPages: 16 },
    widths,
    showsMemory: false,
    memory: () => Promise.reject(new Error('a program of its own')),
    async tick(bytes) {
      board.ask([bytes]);
      const tick = await board.tick();
      widths.set(tick.pulses);
      sent(tick.bytes);
      return [bytes];
    },
    async close() {
      await board.end();
    },
  };
}

async function steppedF405(elf: string, sent: (bytes: Uint8Array) => void): Promise<SteppedBoard> {
  const qemu = await startQemu(elf, { counted: true });
  const gdb = await withPages(await connectGdb(qemu.socket, 20_000), elf);
  const arena = elfSymbols(readFileSync(elf)).get('wasm_arena') ?? NaN;
  const widths = new Uint16Array(SERVO_PINS);
  const board = await f405Board(gdb, { elf, widths: (now) => widths.set(now) }, { bytes: sent });
  let waiting = Buffer.alloc(0);
  return {
    name: 'f405',
    kind: 2,
    stores: false,
    store: F405_STORE,
    widths,
    showsMemory: true,
    memory: (at, n) => gdb.read(arena + at, n),
    async tick(bytes) {
      waiting = Buffer.concat([waiting, bytes]);
      const n = await board.receive(waiting);
      const taken = waiting.subarray(0, n);
      waiting = waiting.subarray(n);
      await board.tick();
      return [taken];
    },
    async close() {
      gdb.close();
      await qemu.close();
    },
  };
}

const BYTE_US = 20;
const RAM_AT = 0x20000000;
/** A board that does not begin a tick within so many periods has stopped. */
const STOPPED_PERIODS = 8;
/** A cable that was plugged in at the start is a port that is open. */
const OPENED_US = 200_000;
/** Stretch between two looks whether a tick has begun. */
const LOOK_US = 50;

/**
 * The tick begins by the board's own alarm. Then it is given time to end, which the rest of the period is there for: what is handed
 * over then takes the line's time, 20 us a byte; over USB it is there before the next tick, or an error.
 */
function steppedPico(elf: string, uf2: string, hz: number, sent: (bytes: Uint8Array) => void, link: Link): SteppedBoard {
  const arena = (elfSymbols(readFileSync(elf)).get('wasm_arena') ?? NaN) - RAM_AT;
  const period_us = 1e6 / hz;
  const done_us = 0.6 * period_us;
  const byUsb = link === 'usb';
  let ticks = 0;
  const machine = new PicoMachine(flashOf(readFileSync(uf2)), {
    byte: (value) => byUsb || sent(Uint8Array.of(value)),
    usb: sent,
    tick: () => ticks++,
  });
  const line: { readonly bytes: Uint8Array; readonly end_us: number }[] = [];
  let free_us = 0;
  const runToTick = (): void => {
    const [before, end_us] = [ticks, machine.now_us + STOPPED_PERIODS * period_us];
    while (ticks === before && machine.now_us < end_us) machine.run(machine.now_us + LOOK_US);
    if (ticks === before) throw new Error('the emulated board does not tick');
  };
  if (byUsb) {
    machine.cable.plug();
    machine.run(OPENED_US);
    if (!machine.cable.open) throw new Error('the emulated board does not come up on USB');
  }
  // Before its first tick it does not listen.
  runToTick();
  machine.run(machine.now_us + done_us);
  const ahead = ticks;
  let caughtUp = 0;
  return {
    name: 'pico',
    kind: 1,
    stores: true,
    store: { pages: 7648, sectorPages: 16 },
    widths: null,
    ahead,
    showsMemory: true,
    memory: async (at, n) => Uint8Array.from(machine.ram.subarray(arena + at, arena + at + n)),
    async tick(bytes) {
      if (caughtUp < ahead) {
        caughtUp++;
        return [];
      }
      if (bytes.length > 0) {
        (byUsb ? machine.cable : machine).write(bytes, machine.now_us);
        free_us = byUsb ? machine.now_us : Math.max(machine.now_us, free_us) + BYTE_US * bytes.length;
        line.push({ bytes, end_us: free_us });
      }
      runToTick();
      const tick_us = machine.now_us;
      const arrived: Uint8Array[] = [];
      while (line[0] && line[0].end_us <= tick_us) arrived.push(line.shift()!.bytes);
      if (machine.cable.link.owes) throw new Error('the cable has not carried all of it before the tick');
      machine.run(tick_us + done_us);
      if (machine.faults.length > 0 || machine.lost > 0)
        throw new Error(`the emulated board: ${[...machine.faults, `${String(machine.lost)} bytes lost`].join(', ')}`);
      return arrived;
    },
    close: () => Promise.resolve(),
  };
}

/**
 * The f405 board's firmware on an emulated STM32F405, tick by tick: at the end of each the emulator stands still, what the board
 * sent is read from its ring and what is due is put into the other. The same run every time; the chip's clock is its count of
 * instructions. What is not here: the serial line itself, and time that passes on its own (tests/boards has that).
 */
import { existsSync, readFileSync } from 'node:fs';
import { TargetError } from '../replay/conversation.ts';
import type { Listener, Session, Target } from '../replay/target.ts';
import { elfSymbols } from './elf.ts';
import { type Gdb, GdbError, connectGdb } from './gdb.ts';
import { startQemu } from './qemu.ts';

/** boards/f405/link.c: head, tail, then the bytes. */
const RING_BYTES = 1024;
const RING_DATA_AT = 8;
/** The controller takes so many bytes a tick at most; more would only wait in another place than in the simulator. */
const RX_BYTES = 512;
/** CCR1 of the timers in the order of the servo pins: boards/f405/pulses.c. */
const CCR_AT = [0x40000c34, 0x40000034, 0x40000434, 0x40000834];
const SERVO_PINS = 16;
/** A tick takes milliseconds here; a firmware that is stuck takes for ever. */
const STUCK_MS = 20_000;

export interface F405Options {
  /** The f405 board's ELF file. */
  readonly elf: string;
  /** After every tick: the widths in the timers' registers in us, by servo pin from the first. Costs some time. */
  readonly widths?: (width_us: Uint16Array) => void;
}

/** The board between two ticks. */
export interface F405Board {
  /** Runs one tick; what is sent goes to the listener. */
  tick(): Promise<void>;
  /** Puts bytes into the receive ring; how many had room. */
  receive(bytes: Uint8Array): Promise<number>;
  /** Rate of the ticks, and how often it has been set. */
  readonly hz: number;
  readonly rates: number;
}

const u32 = (bytes: Uint8Array, at: number): number =>
  new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(at, true);
const u32Bytes = (value: number): Uint8Array => new Uint8Array(Uint32Array.of(value).buffer);

/** A piece of a ring at a free-running count, in at most two parts. */
function parts(ring: number, count: number, n: number): { at: number; from: number; n: number }[] {
  const index = count % RING_BYTES;
  const straight = Math.min(n, RING_BYTES - index);
  const first = { at: ring + RING_DATA_AT + index, from: 0, n: straight };
  return straight === n ? [first] : [first, { at: ring + RING_DATA_AT, from: straight, n: n - straight }];
}

/** What the board has sent since the last look goes to the listener. ring: its address. */
function takenFrom(gdb: Gdb, ring: number, listener: Listener): (head: number) => Promise<void> {
  let sent = 0;
  return async (head) => {
    const n = (head - sent) >>> 0;
    if (n === 0) return;
    const pieces = await Promise.all(parts(ring, sent, n).map((part) => gdb.read(part.at, part.n)));
    sent = (sent + n) >>> 0;
    // Taken: else the board would send them once more over a line that the emulator is slow at.
    await gdb.write(ring + 4, u32Bytes(sent));
    for (const piece of pieces) listener.bytes(piece);
  };
}

/** Reads the timers' registers, and hands on the widths. */
function widthsOf(gdb: Gdb, told: (width_us: Uint16Array) => void): () => Promise<void> {
  const widths = new Uint16Array(SERVO_PINS);
  return async () => {
    const timers = await Promise.all(CCR_AT.map((at) => gdb.read(at, 16)));
    timers.forEach((registers, timer) => {
      for (let channel = 0; channel < 4; channel++) widths[4 * timer + channel] = u32(registers, 4 * channel);
    });
    told(widths);
  };
}

/** Addresses of a firmware's symbols. Throws TargetError when it is not the board's. */
function addressesOf(elf: string): (name: string) => number {
  const symbols = elfSymbols(readFileSync(elf));
  return (name) => {
    const at = symbols.get(name);
    if (at === undefined) throw new TargetError(`${elf} is not firmware of the f405 board: it has no '${name}'`);
    return at;
  };
}

/** Runs it from reset to where it waits for its first tick. Throws GdbError, TargetError. */
export async function f405Board(gdb: Gdb, options: F405Options, listener: Listener): Promise<F405Board> {
  const address = addressesOf(options.elf);
  const [rx, tx, rate] = [address('link_rx'), address('link_tx'), address('tick_rate')];
  const takeSent = takenFrom(gdb, tx, listener);
  const tellWidths = options.widths && widthsOf(gdb, options.widths);
  const now = { hz: 0, rates: 0, rxHead: 0, rxTail: 0 };
  const look = async (): Promise<void> => {
    const [rateNow, rxNow, txNow] = await Promise.all([gdb.read(rate, 8), gdb.read(rx, 8), gdb.read(tx, 4)]);
    now.hz = u32(rateNow, 0);
    now.rates = u32(rateNow, 4);
    now.rxHead = u32(rxNow, 0);
    now.rxTail = u32(rxNow, 4);
    await takeSent(u32(txNow, 0));
    await tellWidths?.();
  };
  await gdb.breakAt(address('tick_done'));
  await gdb.resume();
  await look();
  const waiting = await gdb.returnAddress();
  return {
    async tick() {
      // Back from tick_done, which does nothing: cheaper than a single step off the breakpoint.
      await gdb.goOnAt(waiting);
      await gdb.resume();
      await look();
    },
    async receive(bytes) {
      const n = Math.min(bytes.length, RX_BYTES - ((now.rxHead - now.rxTail) >>> 0));
      if (n === 0) return 0;
      const writes = parts(rx, now.rxHead, n).map((part) =>
        gdb.write(part.at, bytes.subarray(part.from, part.from + part.n)),
      );
      now.rxHead = (now.rxHead + n) >>> 0;
      await Promise.all([...writes, gdb.write(rx, u32Bytes(now.rxHead))]);
      return n;
    },
    get hz() {
      return now.hz;
    },
    get rates() {
      return now.rates;
    },
  };
}

function sessionOf(board: F405Board, close: () => Promise<void>): Session {
  const waiting: { bytes: Uint8Array; at_us: number }[] = [];
  let rates = board.rates;
  // The rate's own origin: tick n of it is at from_us + floor(n · 1e6 / hz).
  let from_us = 0;
  let n = 0;
  let now_us = 0;
  const deliver = async (tick_us: number): Promise<void> => {
    for (let next = waiting[0]; next && next.at_us <= tick_us; next = waiting[0]) {
      const taken = await board.receive(next.bytes);
      if (taken < next.bytes.length) {
        next.bytes = next.bytes.subarray(taken);
        return;
      }
      waiting.shift();
    }
  };
  return {
    get now_us() {
      return now_us;
    },
    sharesClock: true,
    write(bytes, at_us) {
      waiting.push({ bytes, at_us });
    },
    async advance(to_us) {
      for (;;) {
        const tick_us = from_us + Math.floor(((n + 1) * 1e6) / board.hz);
        if (tick_us > to_us) break;
        n++;
        now_us = tick_us;
        await deliver(tick_us);
        await board.tick();
        if (board.rates === rates) continue;
        rates = board.rates;
        from_us = tick_us;
        n = 0;
      }
      now_us = Math.max(now_us, to_us);
    },
    close,
  };
}

export function f405Target(options: F405Options): Target {
  return {
    name: 'emulated:f405',
    proven: 'emulator',
    clock: 'the emulated chip, 8 ns an instruction',
    async open(listener) {
      if (!existsSync(options.elf))
        throw new TargetError(`there is no firmware ${options.elf}: "posewright build --board f405" makes it`);
      const qemu = await startQemu(options.elf, { counted: true });
      let gdb: Gdb | null = null;
      const close = async (): Promise<void> => {
        gdb?.close();
        await qemu.close();
      };
      try {
        gdb = await connectGdb(qemu.socket, STUCK_MS);
        const session = sessionOf(await f405Board(gdb, options, listener), close);
        return {
          ...session,
          get now_us() {
            return session.now_us;
          },
          advance: (to_us) => inWords(session.advance(to_us)),
        };
      } catch (error) {
        await close();
        throw error instanceof GdbError ? new TargetError(stuck(error)) : error;
      }
    },
  };
}

const stuck = (error: GdbError): string => `the emulated board stopped: ${error.message}`;

async function inWords(work: void | Promise<void>): Promise<void> {
  try {
    await work;
  } catch (error) {
    throw error instanceof GdbError ? new TargetError(stuck(error)) : error;
  }
}

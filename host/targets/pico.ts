/** The `pico` board's firmware in an emulator, in this process: its own instructions, its own timers, its pulses at the pins. */
import { readFileSync } from 'node:fs';
import type { Target } from '../replay/target.ts';
import { intoFlash } from './rp2040/boot-drive.ts';
import { FLASH_BYTES, PINS, type PicoEvents, PicoMachine } from './rp2040/machine.ts';

/** Bytes from the board are handed on in pieces of at most so many. */
const PIECE_BYTES = 512;
/** A board that is plugged in has started, and over USB a host has opened its port, before anyone speaks to it. */
const STARTED_US = { uart0: 20_000, usb: 250_000 } as const;

/** The flash as it is after the file was dropped on the board's drive. Throws when it is no UF2 file for this flash. */
export function flashOf(uf2: Uint8Array): Uint8Array {
  const flash = new Uint8Array(FLASH_BYTES).fill(0xff);
  intoFlash(flash, uf2);
  return flash;
}

export interface PicoOptions {
  /** The firmware's file as it goes onto the board. */
  readonly uf2: string;
  /** The line that the bytes take; default USB. */
  readonly link?: 'usb' | 'uart0';
  /** Of the rig's stop loop, which is closed, since nobody is there who could close it; every other input is open. Default: there is none. */
  readonly stopPin?: number | null;
  /** Called at every edge at a pin, at session time: below 0 while the board starts. */
  readonly edge?: PicoEvents['edge'];
  /** Called as each tick begins; see PicoEvents. */
  readonly tick?: PicoEvents['tick'];
}

export function picoTarget({ uf2, link = 'usb', stopPin = null, edge, tick }: PicoOptions): Target {
  const started_us = STARTED_US[link];
  return {
    name: 'emulated:pico',
    proven: 'emulator',
    clock: "the board's own timer, emulated",
    open(listener) {
      const piece = new Uint8Array(PIECE_BYTES);
      let n = 0;
      const flush = (): void => {
        if (n > 0) listener.bytes(piece.subarray(0, n));
        n = 0;
      };
      const machine = new PicoMachine(flashOf(readFileSync(uf2)), {
        usb: (bytes) => {
          listener.bytes(bytes);
        },
        byte(value) {
          if (link !== 'uart0') return;
          piece[n++] = value;
          if (n === PIECE_BYTES) flush();
        },
        edge: (pin, high, at_us) => edge?.(pin, high, at_us - started_us),
        tick: (cycles) => tick?.(cycles),
      });
      const run = (to_us: number): void => {
        machine.run(to_us + started_us);
        flush();
        if (machine.faults.length > 0)
          throw new Error(`the firmware did what the chip does not allow: ${machine.faults.join('; ')}`);
      };
      for (let pin = 0; pin < PINS; pin++) if (pin !== stopPin) machine.letGo(pin);
      if (link === 'usb') machine.cable.plug();
      run(0);
      if (link === 'usb' && !machine.cable.open) throw new Error('the firmware does not come up on USB');
      return {
        get now_us() {
          return machine.now_us - started_us;
        },
        sharesClock: false,
        write(bytes, at_us) {
          (link === 'usb' ? machine.cable : machine).write(bytes, at_us + started_us);
        },
        advance: run,
        close: flush,
      };
    },
  };
}

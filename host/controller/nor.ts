/**
 * A board's flash for nights, as main.c has it: pages of 256 bytes that are erased by the sector. Erasing sets bits, programming only
 * clears them, and the power may go at any byte of either.
 */
import { PAGE_BYTES } from './layout.ts';

/** The power went, in the middle of a byte. */
export class PowerFailed extends Error {}

export interface Nor {
  /** All of it, from page 0 on; it outlives the controller. */
  readonly bytes: Uint8Array;
  readonly pages: number;
  readonly sectorPages: number;
  /** How often each sector was erased. */
  readonly erasures: Uint32Array;
  /** Bytes that may still be changed before the power goes: erase and program then throw PowerFailed. Infinity: it stays. */
  failsAfter: number;
  /** Bytes that may still be changed before it is worn out: it then takes erasures and programs, and nothing changes. */
  wearsOutAfter: number;
  /** A copy of a page. */
  read(page: number): Uint8Array;
  /** Sets the sector that begins at a page to 0xff; whether it is. */
  erase(page: number): boolean;
  /** Clears the bits of a page that are 0 in `from`; whether the page then reads as `from`. */
  program(page: number, from: Uint8Array): boolean;
}

/** Blank flash. @param pages of 256 bytes, a multiple of sectorPages */
export function blankNor({ pages, sectorPages }: { pages: number; sectorPages: number }): Nor {
  const bytes = new Uint8Array(pages * PAGE_BYTES).fill(0xff);
  const nor: Nor = {
    bytes,
    pages,
    sectorPages,
    erasures: new Uint32Array(pages / sectorPages),
    failsAfter: Infinity,
    wearsOutAfter: Infinity,
    read: (page) => bytes.slice(page * PAGE_BYTES, (page + 1) * PAGE_BYTES),
    erase(page) {
      if (page % sectorPages !== 0) return false;
      nor.erasures[page / sectorPages]! += 1;
      const n = sectorPages * PAGE_BYTES;
      change(page * PAGE_BYTES, n, () => 0xff);
      return bytes.subarray(page * PAGE_BYTES, page * PAGE_BYTES + n).every((byte) => byte === 0xff);
    },
    program(page, from) {
      const first = page * PAGE_BYTES;
      change(first, PAGE_BYTES, (i) => bytes[first + i]! & from[i]!);
      return from.every((byte, i) => i >= PAGE_BYTES || bytes[first + i] === byte);
    },
  };
  const change = (first: number, n: number, to: (i: number) => number): void => {
    for (let i = 0; i < n; i++) {
      const byte = to(i);
      if (nor.failsAfter === 0) {
        // Some of its bits have changed.
        bytes[first + i]! &= byte | 0x0f;
        throw new PowerFailed(`in byte ${String(first + i)} of the flash`);
      }
      nor.failsAfter--;
      if (nor.wearsOutAfter === 0) continue;
      nor.wearsOutAfter--;
      bytes[first + i] = byte;
    }
  };
  return nor;
}

/** What the boot loader of the RP2040 does with a UF2 file that is dropped on its drive (USB Flashing Format; data sheet 2.8.4). */
import { blockSize, decodeBlock } from 'uf2';
import type { PicoMachine } from './machine.ts';

const FLASH_AT = 0x10000000;
const SECTOR_BYTES = 4096;

/** Writes the blocks of a file into flash: each sector is erased before its first one. Throws when it is no UF2 file for this flash. */
export function intoFlash(flash: Uint8Array, uf2: Uint8Array): void {
  const erased = new Set<number>();
  for (let at = 0; at < uf2.length; at += blockSize) {
    const { flashAddress, payload } = decodeBlock(uf2.subarray(at, at + blockSize));
    const to = flashAddress - FLASH_AT;
    const sector = to - (to % SECTOR_BYTES);
    if (!erased.has(sector)) flash.fill(0xff, sector, sector + SECTOR_BYTES);
    erased.add(sector);
    flash.set(payload, to);
  }
}

/** A board in its boot loader gets a file, and starts what it holds now, by the watchdog as the ROM does. */
export function dropOn(machine: PicoMachine, uf2: Uint8Array): void {
  if (machine.bootLoader === null) throw new Error('the board is not in its boot loader: it has no drive');
  intoFlash(machine.flash, uf2);
  machine.reset('watchdog');
}

/**
 * Puts firmware and rig onto a board in one step: a UF2 file on the drive of a board that waits for one, or a BIN through
 * dfu-util. Refuses what is not the board, and reads back what can be read back.
 */
import { spawnSync } from 'node:child_process';
import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readFileSync,
  readdirSync,
  rmSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import { type BoardFile, FirmwareError } from './compile.ts';
import { slotsWith } from './slot.ts';
import { toUf2 } from './uf2.ts';

/** It was written, and the board does not hold it, in words. */
export class NotWritten extends FirmwareError {}

/** Firmware and rig as one file: its bytes and what they are called. */
export function flashFile(board: BoardFile, bin: Uint8Array, image: Uint8Array): { bytes: Uint8Array; name: string } {
  if (!board.flash) throw new Error(`${board.name} has no flash: see placeOf`);
  const { address, slots_address, slot_bytes } = board.flash;
  const slots = slotsWith(image, slot_bytes);
  const gap = Number(slots_address) - Number(address);
  if (board.image === 'bin') {
    if (bin.subarray(gap, gap + slots.length).some((byte) => byte !== 0xff))
      throw new Error(`${board.name}: its code stands in the slots`);
    const bytes = new Uint8Array(Math.max(bin.length, gap + slots.length)).fill(0xff);
    bytes.set(bin);
    bytes.set(slots, gap);
    return { bytes, name: `posewright-${board.name}.bin` };
  }
  if (bin.length > gap) throw new Error(`${board.name}: its code reaches into the slots`);
  const stretches = [
    { address: Number(address), data: bin },
    { address: Number(slots_address), data: slots },
  ];
  const bytes = toUf2(stretches, board.flash.family ?? '');
  if (!bytes) throw new Error(`board.json of ${board.name}: no UF2 family`);
  return { bytes, name: `posewright-${board.name}.uf2` };
}

/** Drives mounted now that might be a board's, where Linux and macOS mount them, and by letter on Windows. */
export function bootDrives(): string[] {
  const list = (folder: string): string[] => {
    try {
      return readdirSync(folder).map((name) => join(folder, name));
    } catch {
      return [];
    }
  };
  const letters =
    process.platform === 'win32' ? 'DEFGHIJKLMNOPQRSTUVWXYZ'.split('').map((letter) => `${letter}:\\`) : [];
  return ['/media', '/run/media', '/Volumes']
    .flatMap(list)
    .flatMap((at) => [at, ...list(at)])
    .concat(letters)
    .filter((at) => isBootDrive(at));
}

/** Whether a board that waits for firmware has its drive there. */
export const isBootDrive = (at: string): boolean => existsSync(join(at, INFO));

/** A UF2 drive's account of itself: plain text, a line "Board-ID: …" (USB Flashing Format). */
const INFO = 'INFO_UF2.TXT';

/** Where a board is written to: the folder of a UF2 drive, or through dfu-util. */
export type Place = { readonly drive: string } | 'dfu-util';

/**
 * Where the board is to be written to, asked before the compiler takes its minute. `to`: the folder of its drive; undefined: the
 * one that is mounted. Throws FirmwareError when there is no such place.
 */
export function placeOf(board: BoardFile, to: string | undefined, drives: () => readonly string[] = bootDrives): Place {
  if (!board.flash) throw new FirmwareError(`${board.name} has no flash to write: send it the rig over its link`);
  if (board.image === 'uf2') return { drive: driveOf(board, to === undefined ? drives() : [to]) };
  if (to !== undefined)
    throw new FirmwareError(`${board.name} is written through dfu-util, which finds it by itself: leave --to out`);
  dfuUtil('--version');
  return 'dfu-util';
}

/** The drive of a board that waits for one. */
function driveOf(board: BoardFile, found: readonly string[]): string {
  const [drive] = found;
  if (drive === undefined)
    throw new FirmwareError(
      `no drive of a ${board.name} is mounted: hold its BOOTSEL button while you plug it in, or say where it is with --to`,
    );
  if (found.length > 1)
    throw new FirmwareError(`there are ${String(found.length)} such drives (${found.join(', ')}): say which with --to`);
  if (!existsSync(drive)) throw new FirmwareError(`${drive} is not there`);
  if (!isBootDrive(drive))
    throw new FirmwareError(`${drive} is no drive of a board that waits for firmware: it has no ${INFO}`);
  const id = /^Board-ID:\s*(\S+)/m.exec(readFileSync(join(drive, INFO), 'utf8'))?.[1] ?? 'nothing';
  if (id !== board.flash?.board_id)
    throw new FirmwareError(
      `${drive} says it is ${id}, a ${board.name} says ${board.flash?.board_id ?? 'nothing'}: nothing was written`,
    );
  return drive;
}

/** Writes firmware and rig to the board. Returns what happened, in words. `folder` holds files for dfu-util meanwhile. */
export function placeFile(
  board: BoardFile,
  file: { bytes: Uint8Array; name: string },
  place: Place,
  folder: string,
): string {
  return place === 'dfu-util' ? placeBin(board, file, folder) : placeUf2(file, place.drive);
}

function placeUf2(file: { bytes: Uint8Array; name: string }, drive: string): string {
  const at = join(drive, file.name);
  const took = `${drive} took it and restarted`;
  try {
    writeThrough(at, file.bytes);
  } catch (error) {
    // A board restarts at the last block, which may be before the system has closed the file.
    if (existsSync(drive)) throw error;
    return took;
  }
  if (!existsSync(at)) return took;
  if (Buffer.compare(readFileSync(at), file.bytes) !== 0) {
    rmSync(at, { force: true });
    throw new NotWritten(`${drive} does not hold what was written: try again, or another cable`);
  }
  return `written to ${at} and read back`;
}

function writeThrough(at: string, bytes: Uint8Array): void {
  rmSync(at, { force: true });
  const fd = openSync(at, 'wx');
  try {
    for (let done = 0; done < bytes.length;) done += writeSync(fd, bytes, done);
    fsyncSync(fd);
  } finally {
    closeSync(fd);
  }
}

/** Runs dfu-util. Returns what it said of what went wrong; null: nothing. */
function dfuUtil(...args: string[]): string | null {
  const { error, status, stderr } = spawnSync('dfu-util', args, { encoding: 'utf8' });
  if (error)
    throw new FirmwareError('dfu-util is not on this machine: install it (Debian, Ubuntu: apt install dfu-util)');
  return status === 0 ? null : stderr;
}

/** Writes through dfu-util, then reads the same stretch back and compares. `folder` holds the two files meanwhile. */
function placeBin(board: BoardFile, file: { bytes: Uint8Array; name: string }, folder: string): string {
  const address = board.flash?.address ?? '';
  const [sent, read] = [join(folder, file.name), join(folder, `${file.name}.read`)];
  writeFileSync(sent, file.bytes);
  rmSync(read, { force: true });
  const dfu = (...args: string[]): void => {
    const fault = dfuUtil('-a', '0', ...args);
    if (fault === null) return;
    if (/no dfu capable/i.test(fault))
      throw new FirmwareError(
        `no ${board.name} waits for firmware: hold BOOT0 high while it is reset, with USB plugged in`,
      );
    throw new NotWritten(`dfu-util failed: ${fault.trim().split('\n').at(-1) ?? 'without a word'}`);
  };
  dfu('-s', address, '-D', sent);
  dfu('-s', `${address}:${String(file.bytes.length)}`, '-U', read);
  if (Buffer.compare(readFileSync(read), file.bytes) !== 0)
    throw new NotWritten('the board does not hold what was written: try again');
  rmSync(read, { force: true });
  return 'written through dfu-util and read back; reset the board';
}

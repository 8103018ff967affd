/** Which way firmware goes onto a board, and the way gone: a drive that is mounted, or a running board that is restarted into its own. */
import { type BoardFile, FirmwareError } from '../../firmware/compile.ts';
import { type Place, bootDrives, isBootDrive, placeFile, placeOf } from '../../firmware/place.ts';
import { serialTarget } from '../../targets/serial.ts';
import { type FoundPort, thisComputer } from '../../targets/usb.ts';
import type { Io } from '../io.ts';
import { type Cable, type Tell, boardsNow, hasLeft, intoBootLoader, runningBoard, waitForReturn } from './reboot.ts';

/** This computer's USB. */
export const cableOf = (io: Io): Cable => ({
  ...thisComputer,
  target: (path) => serialTarget(path, () => io.now()),
  drives: bootDrives,
  isThere: isBootDrive,
  now_ms: () => io.now(),
  pause: (ms) => new Promise((resolve) => setTimeout(resolve, ms)),
});

/** A place that takes a file now, or a running board that has to be restarted first. */
export type Way = { readonly place: Place } | { readonly running: FoundPort };

export interface WayOptions {
  /** Folder of the board's drive. */
  readonly to?: string | undefined;
  /** Serial number of the running board. */
  readonly usb?: string | undefined;
}

/**
 * The way to a board, asked before the compiler takes its minute; nothing is restarted yet. Rejects with FirmwareError or TargetError
 * when there is none.
 */
export async function wayTo(cable: Cable, board: BoardFile, { to, usb }: WayOptions): Promise<Way> {
  if (board.image !== 'uf2' && usb !== undefined)
    throw new FirmwareError(`${board.name} is written through dfu-util, not over its link: leave --on out`);
  const mounted = to !== undefined || (usb === undefined && cable.drives().length > 0);
  if (board.image !== 'uf2' || mounted || !board.flash) return { place: placeOf(board, to, cable.drives) };
  return { running: await runningBoard(cable, board, usb ?? '') };
}

export interface Written {
  /** What happened, in words. */
  readonly placed: string;
  /** The board as it came back with this rig; null: it was not waited for, since its drive is still there, or it has none. */
  readonly back: FoundPort | null;
}

/** What is written: a file, and the fingerprint of the rig in it. */
export interface Flashed {
  readonly file: { readonly bytes: Uint8Array; readonly name: string };
  readonly fingerprint: number;
}

/**
 * Writes a file the way that was found, and waits for the board where it can be heard. `folder` holds files for dfu-util meanwhile.
 * Rejects with FirmwareError (NotWritten, NotBack) or TargetError.
 */
export async function writeOver(
  cable: Cable,
  way: Way,
  board: BoardFile,
  { file, fingerprint }: Flashed,
  folder: string,
  tell: Tell,
): Promise<Written> {
  const running = 'running' in way ? way.running : null;
  const before = await boardsNow(cable);
  const place = 'running' in way ? await intoBootLoader(cable, way.running, board, tell) : way.place;
  const placed = placeFile(board, file, place, folder);
  // What is still mounted is a folder, or a board that did not take the file: nothing is known of it but what was read back.
  if (place === 'dfu-util' || (running === null && !(await hasLeft(cable, place.drive)))) return { placed, back: null };
  const others = before.filter((port) => port !== running && port.path !== running?.path);
  const isIt = (port: FoundPort): boolean =>
    running?.serialNumber === undefined
      ? !others.some(({ path, serialNumber }) => path === port.path && serialNumber === port.serialNumber)
      : port.serialNumber === running.serialNumber;
  return { placed, back: await waitForReturn(cable, isIt, fingerprint, tell) };
}

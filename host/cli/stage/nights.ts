/** Takes of the rig's folder as a night for a board, packed as `shows pack` packs them, written beside them. */
import { basename, dirname, join } from 'node:path';
import { imageFingerprint, packImage } from '../../controller/image.ts';
import type { Rig } from '../../rig/rig.ts';
import type { NightAnswer } from '../../stage/about.ts';
import { type Folder, nameFault } from '../../stage/folder.ts';
import type { Io } from '../io.ts';
import { type Problem } from '../output.ts';
import { type Reading, packNight, streamNameFaults } from '../pack-night.ts';
import { readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';
import { isPort } from '../targets.ts';

export interface Packer {
  readonly rigPath: string;
  /** As the stage has it. */
  readonly rig: Rig;
  readonly folder: Folder;
  /** Where the stage's board is; null: there is none. */
  readonly on: string | null;
  /** A prop moves by this program: packing would keep its frames waiting. */
  readonly isBusy: () => boolean;
  readonly io: Io;
}

const words = ({ file, line, path, message }: Problem): string => {
  const where = [basename(file), ...(line > 0 ? [`line ${String(line)}`] : []), ...(path === '' ? [] : [path])];
  return `${where.join(', ')}: ${message}`;
};

const refusal = (...refused: string[]): NightAnswer => ({ refused });

/** What packs the takes of these files' names as the night of this one. */
export function nightsOf(packer: Packer): (file: string, takes: readonly string[]) => Promise<NightAnswer> {
  return async (file, takes) => {
    const { folder, rigPath, rig, isBusy } = packer;
    const fault = nameFault(file, 'night');
    if (fault !== null) return refusal(fault);
    const missing = takes.filter((take) => folder.read(take, 'stream') === null);
    if (missing.length > 0) return refusal(...missing.map((take) => `there is no take ${take} in the rig’s folder`));
    if (isBusy()) return refusal('the board is awake, and packing keeps this computer from it: settle it first');
    const read = await readRigFile(rigPath, packer.io);
    if (!read.rig) return refusal(...read.problems.map(words));
    if (imageFingerprint(packImage(read.rig)) !== imageFingerprint(packImage(rig)))
      return refusal(`${basename(rigPath)} has changed since the stage was started: end it, and start it again`);
    return packed(packer, read.rig, read, file, takes);
  };
}

async function packed(
  packer: Packer,
  rig: Rig,
  reading: Reading,
  file: string,
  takes: readonly string[],
): Promise<NightAnswer> {
  const { folder, rigPath, io } = packer;
  const streams = takes.map((take) => join(folder.path, take));
  const named = streamNameFaults(streams);
  if (named.length > 0) return refusal(...named.map(words));
  // Nobody waits at the terminal that the stage was started from.
  const quiet: Io = { ...io, now: () => io.now(), stderr: { write: () => true } };
  const night = await packNight(rig, reading, rigPath, streams, file, quiet);
  if ('refused' in night) return refusal(...night.refused.map(words));
  const unwritten = folder.write(file, 'night', night.file);
  if (unwritten !== null) return refusal(unwritten);
  return {
    file,
    bytes: night.bytes,
    shows: night.packed.map(({ show, frames }) => ({ name: show.name, seconds: frames.seconds })),
    warnings: night.warnings.map(words),
    next: nextStep(packer, file),
  };
}

/** How it comes onto the board. The stage holds the line of a board that it plays on. */
function nextStep({ rigPath, on }: Packer, file: string): string {
  const path = shownName(join(dirname(rigPath), file));
  const isHeld = on !== null && isPort(on);
  const command = `posewright shows send ${/^[\w./-]+$/.test(path) ? path : `"${path}"`} --on ${isHeld ? on : 'usb'}`;
  return isHeld ? `${command}, once this stage has ended: it holds the board’s line` : command;
}

/** `posewright flash`: firmware and rig onto a board, in one step. */
import { readFileSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Command } from 'commander';
import { packImage } from '../../controller/image.ts';
import { slowWords, slowed } from '../../controller/slowed.ts';
import { compileBoard, readBoard } from '../../firmware/compile.ts';
import { NotWritten, flashFile, placeFile, placeOf } from '../../firmware/place.ts';
import { createHash } from 'node:crypto';
import type { Rig } from '../../rig/rig.ts';
import { capital } from '../../rig/words.ts';
import { firmwarePlaces } from '../assets.ts';
import { boardsHelp, firmwareFault } from '../boards-help.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { isError, misfits } from '../misfits.ts';
import { printJson, printProblems, problemOf, refuse } from '../output.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';

const HELP = `
pico: hold its BOOTSEL button while you plug it in; its drive is found without
your help, or name it with --to.
f405: hold BOOT0 high during reset, with USB plugged in; needs dfu-util.
This replaces everything stored on the board. Place the prop in its rest position and keep hands
clear before you power it.
Exit code 1: it was written, but the board does not hold it.

Example:
  posewright flash --board pico night-owl.yaml`;

export function registerFlash(program: Command, io: Io, done: Done): void {
  program
    .command('flash')
    .description('Builds the firmware, adds the rig, writes both to the board and reads back what can be read.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .requiredOption('--board <name>', `which board: ${boardsHelp((board) => board.flash !== undefined)}`)
    .option('--to <place>', "the folder where the board's drive is mounted")
    .option('--json', 'one JSON document: {image, bytes, flash_used, ram_used, sha256, placed}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: { board: string; to?: string; json?: true }) => {
      done(await flash(path, options, io));
    });
}

async function flash(
  path: string,
  { board: name, to, json }: { board: string; to?: string; json?: true },
  io: Io,
): Promise<ExitCode> {
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json === true, problems);
  const faults = misfits(rig, name, shownName(path), `firmware for ${name}`);
  if (faults.some(isError)) return refuse(io, json === true, faults);
  countWarnings(io, path, problems);
  printProblems(io, io.stderr, faults);
  try {
    const places = firmwarePlaces();
    const board = readBoard(places.boards, name);
    const place = placeOf(board, to);
    const { bin, image, flash_used, ram_used } = compileBoard(places, name);
    const file = flashFile(board, bin === null ? new Uint8Array() : readFileSync(bin), packImage(slowed(rig)));
    const placed = placeFile(board, file, place, dirname(image));
    const sha256 = createHash('sha256').update(file.bytes).digest('hex');
    if (json) printJson(io, { image: file.name, bytes: file.bytes.length, flash_used, ram_used, sha256, placed });
    else
      io.stdout.write(
        `${file.name}: firmware for ${name} and the rig ${rig.name}, ${String(file.bytes.length)} bytes\n${placed}\n${paceWords(rig)}`,
      );
    return 0;
  } catch (error) {
    const refused = refuse(io, json === true, [problemOf(name, firmwareFault(error))]);
    return error instanceof NotWritten ? 1 : refused;
  }
}

/** That it moves slowly, in a sentence with its line end; '': it does not. */
const paceWords = (rig: Rig): string => {
  const slow = slowWords(rig);
  return slow === null ? '' : `${capital(slow)}\n`;
};

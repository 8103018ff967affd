/** `posewright flash`: firmware and rig onto a board, in one step. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Command } from 'commander';
import { imageFingerprint, packImage } from '../../controller/image.ts';
import { slowWords, slowed } from '../../controller/slowed.ts';
import { compileBoard, readBoard } from '../../firmware/compile.ts';
import { NotWritten, flashFile } from '../../firmware/place.ts';
import { TargetError } from '../../replay/conversation.ts';
import { plainText } from '../../rig/plain-text.ts';
import type { Rig } from '../../rig/rig.ts';
import { capital } from '../../rig/words.ts';
import { boardAt } from '../../targets/usb.ts';
import { boardFault, boardsHelp, firmwareFault, noBoard } from '../boards-help.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { isError, misfits } from '../misfits.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { type Made, controllerFor } from '../own-controller.ts';
import { shownName } from '../stdin.ts';
import { type WayOptions, cableOf, wayTo, writeOver } from './over-usb.ts';
import { type Cable, NotBack } from './reboot.ts';

const HELP = `
pico: its USB cable is enough. A board that runs posewright is asked into its boot loader, if it is
limp, and its drive is waited for. A new one, or one that does not answer: hold its BOOTSEL button
while you plug it in; its drive is found, or name it with --to. Then the board is waited for, and
asked whether it runs this rig. Where drives are not mounted by themselves, mount it meanwhile.
f405: hold BOOT0 high during reset, with USB plugged in; needs dfu-util.
This replaces everything stored on the board. Place the prop in its rest position and keep hands
clear before you power it.
Exit code 1: it was written, but the board does not hold it, or does not come back with this rig.

Examples:
  posewright flash night-owl.yaml
  posewright flash --board pico night-owl.yaml`;

export function registerFlash(program: Command, io: Io, done: Done): void {
  program
    .command('flash')
    .description('Builds the firmware, adds the rig, writes both to the board and reads back what can be read.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option(
      '--board <name>',
      `which board: ${boardsHelp((board) => board.flash !== undefined)}; without, the rig’s board.kind`,
    )
    .option('--to <place>', "the folder where the board's drive is mounted")
    .option('--on <target>', 'which running board, where there are several: usb:SERIAL')
    .option(
      '--json',
      'one JSON document: {image, bytes, flash_used, ram_used, sha256, placed, back: {port, serial, fingerprint}}; back is null where the board could not be heard',
    )
    .addHelpText('after', HELP)
    .action(async (path: string, options: Options) => {
      done(await flash(path, options, io));
    });
}

interface Options {
  readonly board?: string;
  readonly to?: string;
  readonly on?: string;
  readonly json?: true;
}

/** The serial number in `--on usb:SERIAL`; '': any; null: that is no running board on USB. */
function serialOf(on: string): string | null {
  if (on === 'usb') return '';
  return on.startsWith('usb:') && on.length > 4 ? on.slice(4) : null;
}

/** All that is wrong before the rig is read. */
function faultsOf({ board, to, on }: Options): Problem[] {
  const faults = board === undefined ? [] : boardFault(board);
  if (on !== undefined && serialOf(on) === null)
    faults.push(problemOf('--on', `found ${on}; allowed: usb or usb:SERIAL, a running board`));
  else if (on !== undefined && to !== undefined)
    faults.push(problemOf('--on', 'found beside --to; allowed: one of them'));
  return faults;
}

/** The command; `cable`: the USB that it goes over. */
export async function flash(path: string, options: Options, io: Io, cable = cableOf(io)): Promise<ExitCode> {
  const { to, on, json } = options;
  const wrong = faultsOf(options);
  if (wrong.length > 0) return refuse(io, json === true, wrong);
  const usb = on === undefined ? undefined : (serialOf(on) ?? undefined);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json === true, problems);
  const name = options.board ?? rig.board?.kind ?? null;
  const nameless = name === null ? [noBoard(shownName(path))] : boardFault(name);
  if (name === null || nameless.length > 0) return refuse(io, json === true, nameless);
  const faults = misfits(rig, name, shownName(path), `firmware for ${name}`);
  if (faults.some(isError)) return refuse(io, json === true, faults);
  countWarnings(io, path, problems);
  printProblems(io, io.stderr, faults);
  const made = await controllerFor(path, rig);
  if (!('wasm' in made)) return refuse(io, json === true, made);
  try {
    await compileAndWrite(rig, made, name, { to, usb }, cable, io, json === true);
    return 0;
  } catch (error) {
    const words = error instanceof TargetError ? error.message : firmwareFault(error);
    const refused = refuse(io, json === true, [problemOf(name, words)]);
    return error instanceof NotWritten || error instanceof NotBack ? 1 : refused;
  }
}

/** That it moves slowly, in a sentence with its line end; '': it does not. */
const paceWords = (rig: Rig): string => {
  const slow = slowWords(rig);
  return slow === null ? '' : `${capital(slow)}\n`;
};

/** Rejects with FirmwareError or TargetError, in words. */
async function compileAndWrite(
  rig: Rig,
  { places }: Made,
  name: string,
  where: WayOptions,
  cable: Cable,
  io: Io,
  json: boolean,
): Promise<void> {
  const board = readBoard(places.boards, name);
  const way = await wayTo(cable, board, where);
  const { bin, image, flash_used, ram_used } = compileBoard(places, name);
  const packed = packImage(slowed(rig));
  const file = flashFile(board, bin === null ? new Uint8Array() : readFileSync(bin), packed);
  const fingerprint = imageFingerprint(packed);
  const tell = (line: string): void => void io.stderr.write(`${plainText(line)}\n`);
  const { placed, back } = await writeOver(cable, way, board, { file, fingerprint }, dirname(image), tell);
  const shown = fingerprint.toString(16).padStart(8, '0');
  if (json) {
    const sha256 = createHash('sha256').update(file.bytes).digest('hex');
    const came = back && { port: back.path, serial: back.serialNumber ?? null, fingerprint: shown };
    printJson(io, { image: file.name, bytes: file.bytes.length, flash_used, ram_used, sha256, placed, back: came });
    return;
  }
  const size = `${String(file.bytes.length)} bytes`;
  io.stdout.write(`${file.name}: firmware for ${name} and the rig ${rig.name}, ${size}\n${placed}\n`);
  if (back)
    io.stdout.write(`the board is back on ${plainText(boardAt(back))}, and runs this rig (fingerprint ${shown})\n`);
  io.stdout.write(paceWords(rig));
}

/** `posewright build`: the controller and a board's folder become firmware. */
import { stat } from 'node:fs/promises';
import type { Command } from 'commander';
import { compileBoard } from '../../firmware/compile.ts';
import { firmwarePlaces } from '../assets.ts';
import { boardsHelp, firmwareFault } from '../boards-help.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { labelled, printJson, problemOf, refuse } from '../output.ts';
import { widthOf } from '../io.ts';

const HELP = `
Needs a C compiler: for microcontrollers gcc-arm-none-eabi and its C library ("npm run setup"
installs them on Debian and Ubuntu, and says elsewhere what to install); for the native board this
machine's gcc.

Example:
  posewright build --board native`;

export function registerBuild(program: Command, io: Io, done: Done): void {
  program
    .command('build')
    .description(
      'Compiles the controller and a board into firmware: the same controller, bit for bit, that the simulation runs.',
    )
    .requiredOption('--board <name>', `which board: ${boardsHelp(() => true)}`)
    .option('--json', 'one JSON document: {image, bytes, flash_used, ram_used, sha256}')
    .addHelpText('after', HELP)
    .action(async ({ board, json }: { board: string; json?: true }) => {
      done(await build(board, json === true, io));
    });
}

async function build(name: string, json: boolean, io: Io): Promise<ExitCode> {
  const places = firmwarePlaces();
  try {
    const { image, flash_used, ram_used, sha256 } = compileBoard(places, name);
    const { size: bytes } = await stat(image);
    if (json) {
      printJson(io, { image, bytes, flash_used, ram_used, sha256 });
      return 0;
    }
    const rows = [
      ['image', `${image}, ${String(bytes)} bytes`],
      [
        'uses',
        `${kib(flash_used)} of flash, ${kib(ram_used)} of memory, including the stack where the board reserves one`,
      ],
      ['SHA-256', sha256],
    ] as const;
    io.stdout.write(`firmware for ${name}\n\n${labelled(rows, widthOf(io.stdout))}\n`);
    return 0;
  } catch (error) {
    return refuse(io, json, [problemOf('--board', firmwareFault(error))]);
  }
}

const kib = (bytes: number): string => `${(bytes / 1024).toFixed(1)} KiB`;

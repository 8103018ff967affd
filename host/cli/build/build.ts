/** `posewright build`: the controller and a board's folder become firmware. */
import { stat } from 'node:fs/promises';
import type { Command } from 'commander';
import { compileBoard } from '../../firmware/compile.ts';
import { CYCLES, fuelOf, tryResponses } from '../../firmware/responses/trial.ts';
import { short } from '../../rig/words.ts';
import { boardsHelp, firmwareFault } from '../boards-help.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, labelled, printJson, problemOf, refuse } from '../output.ts';
import { type Made, controllerFor, sharedController } from '../own-controller.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { widthOf } from '../io.ts';

const HELP = `
Needs a C compiler: for microcontrollers gcc-arm-none-eabi and its C library ("npm run setup"
installs them on Debian and Ubuntu, and says elsewhere what to install); for the native board this
machine's gcc.

With a rig whose folder holds responses.ts, those are checked, tried in simulation and compiled in.

Examples:
  posewright build --board native
  posewright build --board pico night-owl.yaml`;

export function registerBuild(program: Command, io: Io, done: Done): void {
  program
    .command('build')
    .description(
      'Compiles the controller and a board into firmware: the same controller, bit for bit, that the simulation runs.',
    )
    .argument('[rig]', 'the rig file (YAML): with responses.ts beside it, its own controller is compiled')
    .requiredOption('--board <name>', `which board: ${boardsHelp(() => true)}`)
    .option(
      '--json',
      'one JSON document: {image, bytes, flash_used, ram_used, sha256}; with responses also {responses: {fuel, fuel_budget, cycles, cycles_budget}}',
    )
    .addHelpText('after', HELP)
    .action(async (rig: string | undefined, { board, json }: { board: string; json?: true }) => {
      done(await build(board, rig, json === true, io));
    });
}

/** What the rig's responses cost: fuel, and cycles of a Cortex-M0+. */
interface Cost {
  readonly fuel: number;
  readonly fuel_budget: number;
  readonly cycles: number;
  readonly cycles_budget: number;
}

async function build(name: string, rigPath: string | undefined, json: boolean, io: Io): Promise<ExitCode> {
  const made = rigPath === undefined ? { ...(await sharedController()), cost: null } : await ownController(rigPath, io);
  if (!('places' in made)) return refuse(io, json, made);
  const { cost } = made;
  try {
    const { image, flash_used, ram_used, sha256 } = compileBoard(made.places, name);
    const { size: bytes } = await stat(image);
    if (json) {
      printJson(io, { image, bytes, flash_used, ram_used, sha256, ...(cost && { responses: cost }) });
      return 0;
    }
    const rows = [
      ['image', `${image}, ${String(bytes)} bytes`],
      [
        'uses',
        `${kib(flash_used)} of flash, ${kib(ram_used)} of memory, including the stack where the board reserves one`,
      ],
      ['SHA-256', sha256],
      ...(cost ? [['responses', costWords(made.responses, cost)]] : []),
    ] as [string, string][];
    io.stdout.write(`firmware for ${name}\n\n${labelled(rows, widthOf(io.stdout))}\n`);
    return 0;
  } catch (error) {
    return refuse(io, json, [problemOf('--board', firmwareFault(error))]);
  }
}

/** The controller of the rig in this file and what its responses cost, or what is wrong with it. */
async function ownController(path: string, io: Io): Promise<(Made & { cost: Cost | null }) | readonly Problem[]> {
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return problems;
  countWarnings(io, path, problems);
  const made = await controllerFor(path, rig);
  if (!('wasm' in made)) return made;
  if (made.responses === null || !made.wasm) return { ...made, cost: null };
  const { most, failed_s } = tryResponses(made.wasm, rig);
  const { tick_hz } = rig.motion;
  const budget = fuelOf(tick_hz);
  if (failed_s !== null)
    return [
      problemOf(
        made.responses,
        `in simulation, with inputs drawn by chance, it failed after ${short(failed_s)} s: it divided whole numbers by zero, or would have burnt more than ${String(budget)} of fuel in a tick at ${String(tick_hz)} a second (at most ${String(most)} before)`,
      ),
    ];
  return {
    ...made,
    cost: { fuel: most, fuel_budget: budget, cycles: most * CYCLES, cycles_budget: budget * CYCLES },
  };
}

const costWords = (file: string | null, { fuel, fuel_budget, cycles, cycles_budget }: Cost): string =>
  `${file ?? ''}: at most ${String(fuel)} of ${String(fuel_budget)} of fuel a tick, which is ${String(cycles)} of ${String(cycles_budget)} cycles of the slowest chip (Cortex-M0+)`;

const kib = (bytes: number): string => `${(bytes / 1024).toFixed(1)} KiB`;

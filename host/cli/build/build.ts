/** `posewright build`: the controller and a board's folder become firmware. */
import { stat } from 'node:fs/promises';
import type { Command } from 'commander';
import { compileBoard } from '../../firmware/compile.ts';
import { CYCLES, type Trial, tryResponses } from '../../firmware/responses/trial.ts';
import { failureWords, fuelOf } from '../../rig/response-limits.ts';
import { counted, short } from '../../rig/words.ts';
import { boardsHelp, firmwareFault, noBoard } from '../boards-help.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, labelled, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { type Made, controllerFor, sharedController } from '../own-controller.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';
import { widthOf } from '../io.ts';

const HELP = `
Needs a C compiler: for microcontrollers gcc-arm-none-eabi and its C library ("npm run setup"
installs them on Debian and Ubuntu, and says elsewhere what to install); for the native board this
machine's gcc.

With a rig whose folder holds responses.ts, those are checked, tried in simulation and compiled in.

Examples:
  posewright build --board native
  posewright build night-owl.yaml`;

export function registerBuild(program: Command, io: Io, done: Done): void {
  program
    .command('build')
    .description(
      'Compiles the controller and a board into firmware: the same controller, bit for bit, that the simulation runs.',
    )
    .argument('[rig]', 'the rig file (YAML): with responses.ts beside it, its own controller is compiled')
    .option('--board <name>', `which board: ${boardsHelp(() => true)}; without, the rig’s board.kind`)
    .option(
      '--json',
      'one JSON document: {image, bytes, flash_used, ram_used, sha256}; with responses also {responses: {fuel, fuel_budget, cycles, cycles_budget}}',
    )
    .addHelpText('after', HELP)
    .action(async (rig: string | undefined, { board, json }: { board?: string; json?: true }) => {
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

async function build(
  board: string | undefined,
  rigPath: string | undefined,
  json: boolean,
  io: Io,
): Promise<ExitCode> {
  if (board === undefined && rigPath === undefined)
    return refuse(io, json, [problemOf('--board', `is needed without a rig; allowed: ${boardsHelp(() => true)}`)]);
  const made =
    rigPath === undefined
      ? { ...(await sharedController()), cost: null, kind: null }
      : await ownController(rigPath, io);
  if (!('places' in made)) return refuse(io, json, made);
  const { cost } = made;
  const name = board ?? made.kind;
  if (name === null) return refuse(io, json, [noBoard(shownName(rigPath ?? ''))]);
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

/** A rig's controller, what its responses cost, and the kind of its board; null: it has none. */
type Own = Made & { readonly cost: Cost | null; readonly kind: string | null };

/** The controller of the rig in this file and what its responses cost, or what is wrong with it. */
async function ownController(path: string, io: Io): Promise<Own | readonly Problem[]> {
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return problems;
  countWarnings(io, path, problems);
  const made = await controllerFor(path, rig);
  if (!('wasm' in made)) return made;
  const kind = rig.board?.kind ?? null;
  if (made.responses === null || !made.wasm) return { ...made, cost: null, kind };
  const trial = tryResponses(made.wasm, rig);
  const { most, failed } = trial;
  const { tick_hz } = rig.motion;
  const budget = fuelOf(tick_hz);
  if (failed !== null)
    return [
      problemOf(made.responses, `${IN_TRIAL}, it failed after ${short(failed.at_s)} s: ${failureWords(failed.cause, tick_hz)}`),
    ];
  printProblems(io, io.stderr, doubtsOf(made.responses, trial));
  return {
    ...made,
    kind,
    cost: { fuel: most, fuel_budget: budget, cycles: most * CYCLES, cycles_budget: budget * CYCLES },
  };
}

const IN_TRIAL = 'in simulation, with inputs drawn by chance';

/** What the trial found that is no failure, and yet is meant by nobody. */
function doubtsOf(file: string, { dropped, far }: Trial): Problem[] {
  const said = [
    ...(dropped
      ? [
          `it asks for what is no number, which is dropped: ${counted(dropped.count, 'time')}, first after ${short(dropped.at_s)} s`,
        ]
      : []),
    ...far.map(
      ({ name, by, unit, at_s }) =>
        `it asks for ${name} ${short(by)} ${unit}, after ${short(at_s)} s: further than any prop is moved`,
    ),
  ];
  return said.map((words) => ({ ...problemOf(file, `${IN_TRIAL}, ${words}`), severity: 'warning' }));
}

const costWords = (file: string | null, { fuel, fuel_budget, cycles, cycles_budget }: Cost): string =>
  `${file ?? ''}: at most ${String(fuel)} of ${String(fuel_budget)} of fuel a tick, which is ${String(cycles)} of ${String(cycles_budget)} cycles of the slowest chip (Cortex-M0+)`;

const kib = (bytes: number): string => `${(bytes / 1024).toFixed(1)} KiB`;

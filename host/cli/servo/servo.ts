/** `posewright servo`: which servo classes would do for each joint, and what would make a smaller one do. */
import type { Command } from 'commander';
import { sizing } from '../../load/sizing/sizing.ts';
import type { Offer } from '../../load/sizing/result.ts';
import { offersOf, readClasses } from '../../rig/class-file.ts';
import type { Rig, Servo } from '../../rig/rig.ts';
import { storeStream } from '../../stream/store.ts';
import { readText, refusedInput } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { sharedStdin, shownName } from '../stdin.ts';
import { readStreamFile } from '../stream-input.ts';
import { servoJson } from './json.ts';
import { servoWords } from './words.ts';

interface Options {
  readonly stream?: string;
  readonly classes?: string;
  readonly armMm: string;
  readonly all?: true;
  readonly json?: true;
}

const HELP = `
Use is the largest share of what the servo can give, moving at that speed or holding at the hardest
pose within the soft limits: at most its peak_use. Heat is its average torque along the stream (root
mean square), or what it holds where it may stay: 100 % is its continuous_use. Margin is how much
larger every torque could be. Without --stream, holding alone counts.
FILE has servos: with classes as in a rig file, and a price where you know it; data-sheet units will
do, and what only pulses need may be left out. A want file of "posewright design" will do too:
  servos:
    small: { price: 12, stall_torque_kgcm: 9, no_load_s_per_60deg: 0.14 }
A gear, a counterweight or a spring is named only if the load, worked out again with it, is within
the limits. Where none of them does alone, the gear that comes nearest is named, and how much slower
the whole stream would have to be; "posewright tune", then "posewright retime" slow it where it must be.
Exit code 1: for some joint no class would do.

Examples:
  posewright servo night-owl.yaml --stream show.csv
  posewright servo night-owl.yaml --stream show.csv --classes shop.yaml --all
  posewright servo night-owl.yaml --arm-mm 150`;

export function registerServo(program: Command, io: Io, done: Done): void {
  program
    .command('servo')
    .description(
      'Says which servo would do for each joint, and which gear, counterweight or spring makes a smaller one do.',
    )
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('--stream <stream>', 'a pose stream (CSV) to move along; - for standard input')
    .option('--classes <file>', 'more servo classes to choose from (YAML), besides those of the rig')
    .option('--arm-mm <mm>', 'how far from its axis a counterweight would sit', '100')
    .option('--all', 'a table of every class for every joint')
    .option('--json', 'one JSON document: {ok, joints}')
    .addHelpText('after', HELP)
    .action(async (rig: string, options: Options) => {
      done(await servo(rig, options, io));
    });
}

/** The arm, mm, or all that is wrong with the command itself, before any file is read. */
function readCommand(
  rig: string,
  { stream, classes, armMm }: Options,
): { readonly arm_mm: number } | { readonly problems: readonly Problem[] } {
  const files = [rig, stream, classes].filter((path) => path !== undefined);
  const problems = [...sharedStdin(files, 'the rig, the stream and the classes')];
  for (const path of new Set(files)) {
    const refusal = refusedInput(path);
    if (refusal !== null) problems.push(problemOf(path, refusal));
  }
  const arm_mm = Number(armMm);
  if (!(arm_mm >= 1 && arm_mm <= 2000) || armMm.trim() === '')
    problems.push(problemOf('--arm-mm', `found "${armMm}"; allowed: a length in mm, from 1 to 2000`));
  return problems.length > 0 ? { problems } : { arm_mm };
}

async function servo(rigPath: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const command = readCommand(rigPath, options);
  if ('problems' in command) return refuse(io, json, command.problems);
  const { rig, servos, problems } = await readRigFile(rigPath, io);
  if (!rig) return refuse(io, json, problems);
  const offered = await offersIn(options.classes, rig, servos, io);
  const stream = await streamIn(options.stream, rig, io);
  const wrong = [offered, stream].flatMap((read) => (read && 'refused' in read ? read.refused : []));
  if ('refused' in offered || (stream && 'refused' in stream)) return refuse(io, json, [...problems, ...wrong]);
  countWarnings(io, rigPath, problems);
  printProblems(io, io.stderr, [...offered.problems, ...(stream?.problems ?? [])]);
  const answer = sizing(rig, { stream, offers: offered.offers, arm_mm: command.arm_mm });
  if (json) printJson(io, servoJson(answer));
  else
    io.stdout.write(
      servoWords(answer, { rig: shownName(rigPath), classes: options.classes, all: options.all === true }, io),
    );
  return answer.ok ? 0 : 1;
}

type Refused = { readonly refused: readonly Problem[] };

/** The rig's classes, and those of the file. */
async function offersIn(
  path: string | undefined,
  rig: Rig,
  own: readonly Servo[],
  io: Io,
): Promise<{ readonly offers: readonly Offer[]; readonly problems: readonly Problem[] } | Refused> {
  if (path === undefined) return { offers: offersOf(own, []).offers, problems: [] };
  const file = shownName(path);
  const text = await readText(path, io);
  if ('fault' in text) return { refused: [problemOf(file, text.fault)] };
  const { classes, problems: found } = readClasses(text.text, file, rig.supply?.voltage_v ?? null, own);
  const problems = found.map((problem): Problem => ({ file, ...problem }));
  if (!classes) return { refused: problems };
  const { offers, clashes } = offersOf(own, classes);
  return clashes.length > 0
    ? {
        refused: [
          ...problems,
          ...clashes.map((clash) => ({ ...problemOf(file, clash.message), path: `servos.${clash.name}` })),
        ],
      }
    : { offers, problems };
}

async function streamIn(path: string | undefined, rig: Rig, io: Io) {
  if (path === undefined) return null;
  const { source, problems } = await readStreamFile(path, rig, io);
  if (source === null) return { refused: problems };
  return { name: shownName(path), stored: await storeStream(source, rig), problems };
}

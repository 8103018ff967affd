/** `posewright shows pack`: streams that replay calls within limits become one file of shows for a board's flash. */
import type { Command } from 'commander';
import { refusedInput } from '../files.ts';
import { isError } from '../misfits.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { refusedOutput, writeAll } from '../outputs.ts';
import { nightWarnings, packNight, showFaults, streamNameFaults } from '../pack-night.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { isStdin, shownName } from '../stdin.ts';
import { readStreamFile } from '../stream-input.ts';
import { nightJson, nightWords } from './pack-words.ts';

interface Options {
  readonly output: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Each stream is sampled 50 times a second, in steps of 0.02 mm and 0.02 deg, and replayed as the
board will play it; what replay does not call within limits is refused, with its words. Responses in
the rig's folder take part, with every input open; what they add counts for no warmth.
A show is known by its stream's name without .csv. What starts it and which sound goes with it
stands in the rig file, under night.
Warmest: how warm the warmest servo gets from cold; 100 % is what it may bear for ever.
Above 95 % the show is refused: what is still warm from before counts too, so the board would hardly
ever be cool enough to start it.

Example:
  posewright shows pack night-owl.yaml dusk.csv startle.csv -o night.pwshow`;

export function registerPack(shows: Command, io: Io, done: Done): void {
  shows
    .command('pack')
    .description('Packs streams that are within limits into one file of shows, checked for this rig and for no other.')
    .argument('<rig>', 'the rig file (YAML)')
    .argument('<stream...>', 'pose streams (CSV), one for each show')
    .requiredOption('-o, --output <file.pwshow>', 'the file to write')
    .option('--force', 'overwrite a file that exists already')
    .option('--json', 'one JSON document: the whole answer')
    .addHelpText('after', HELP)
    .action(async (rig: string, streams: readonly string[], options: Options) => {
      done(await pack(rig, streams, options, io));
    });
}

/** All that is wrong with the command itself, before any file is read. */
function commandFaults(rigPath: string, streams: readonly string[], { output, force }: Options): Problem[] {
  const problems: Problem[] = [];
  for (const path of new Set([rigPath, ...streams])) {
    const refusal = isStdin(path) ? 'name a file: a show is known by its name' : refusedInput(path);
    if (refusal !== null && !(path === rigPath && isStdin(path))) problems.push(problemOf(path, refusal));
  }
  const unwritable = output.toLowerCase().endsWith('.pwshow')
    ? refusedOutput(output, force === true, [rigPath, ...streams])
    : 'a night of shows is a .pwshow file: name one that ends in .pwshow';
  if (unwritable !== null) problems.push(problemOf(output, unwritable));
  return [...problems, ...streamNameFaults(streams)];
}

/** Faults of the command, and what else is wrong with the files that can be read: in one go, and nothing is replayed for it. */
async function allFaults(
  faults: readonly Problem[],
  rigPath: string,
  streams: readonly string[],
  io: Io,
): Promise<Problem[]> {
  const isTold = (path: string): boolean => faults.some(({ file }) => file === path || file === shownName(path));
  if (isTold(rigPath) || isStdin(rigPath)) return [...faults];
  const { rig, problems } = await readRigFile(rigPath, io);
  if (!rig) return [...faults, ...problems];
  const read: Problem[] = [];
  for (const path of streams.filter((one) => !isTold(one)))
    read.push(...(await readStreamFile(path, rig, io)).problems);
  return [...faults, ...[...read, ...showFaults(rig, rigPath, streams)].filter(isError)];
}

async function pack(rigPath: string, streams: readonly string[], options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const faults = commandFaults(rigPath, streams, options);
  if (faults.length > 0) return refuse(io, json, await allFaults(faults, rigPath, streams, io));
  const reading = await readRigFile(rigPath, io);
  const { rig, problems } = reading;
  if (!rig) return refuse(io, json, problems);
  const night = await packNight(rig, reading, rigPath, streams, options.output, io);
  if ('refused' in night) return refuse(io, json, night.refused);
  const told = nightWarnings(reading);
  countWarnings(
    io,
    rigPath,
    problems.filter((one) => !told.includes(one)),
  );
  printProblems(io, io.stderr, night.warnings);
  const unwritten = writeAll([{ path: options.output, text: night.file }], options.force === true);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  if (json) printJson(io, { ...nightJson(night), file: shownName(options.output) });
  else io.stdout.write(nightWords(night, shownName(options.output), io));
  return 0;
}

/** `posewright shows pack`: streams that replay calls within limits become one file of shows for a board's flash. */
import { basename } from 'node:path';
import type { Command } from 'commander';
import { imageFingerprint, packImage } from '../../controller/image.ts';
import { slowWords } from '../../controller/slowed.ts';
import type { Rig } from '../../rig/rig.ts';
import { nearest, together } from '../../rig/words.ts';
import { writeNight } from '../../shows/night-file.ts';
import { type Packed, heardAt, missingShows, nameFaults, packShow } from '../../shows/pack.ts';
import { buildPlan } from '../../shows/plan.ts';
import { boardsFor, roomFault } from '../../shows/room.ts';
import { storeStream } from '../../stream/store.ts';
import { readText, refusedInput } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { refusedOutput, writeAll } from '../outputs.ts';
import { type Made, controllerFor } from '../own-controller.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { isStdin, shownName } from '../stdin.ts';
import { readStreamFile } from '../stream-input.ts';
import { limitFault } from './limits.ts';
import { type Night, nightJson, nightWords } from './pack-words.ts';

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

const UNWALKED =
  'not every joint has been walked (bringup): until then a real board gets a slower rig, and refuses this night as one for another rig';

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

const nameOf = (path: string): string => basename(path).replace(/\.csv$/i, '');

/** All that is wrong with the command itself, before any file is read. */
function commandFaults(rigPath: string, streams: readonly string[], { output, force }: Options): Problem[] {
  const problems: Problem[] = [];
  for (const path of new Set([rigPath, ...streams])) {
    const refusal = isStdin(path) ? 'name a file: a show is known by its name' : refusedInput(path);
    if (refusal !== null && !(path === rigPath && isStdin(path))) problems.push(problemOf(path, refusal));
  }
  const unwritable = refusedOutput(output, force === true, [rigPath, ...streams]);
  if (unwritable !== null) problems.push(problemOf(output, unwritable));
  const names = streams.map(nameOf);
  for (const { name, message } of nameFaults(names))
    problems.push(problemOf(shownName(streams[names.lastIndexOf(name)] ?? name), message));
  return problems;
}

async function pack(rigPath: string, streams: readonly string[], options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const faults = commandFaults(rigPath, streams, options);
  if (faults.length > 0) return refuse(io, json, faults);
  const { rig, problems } = await readRigFile(rigPath, io);
  if (!rig) return refuse(io, json, problems);
  const made = await controllerFor(rigPath, rig);
  if (!('wasm' in made)) return refuse(io, json, made);
  const names = streams.map(nameOf);
  const missing = missingFaults(rig, rigPath, names);
  const packed: Packed[] = [];
  const refused: Problem[] = missing.filter(({ severity }) => severity === 'error');
  for (const path of streams) {
    const one = await packOne(rig, made, path, io);
    if ('problems' in one) refused.push(...one.problems);
    else packed.push(one);
  }
  if (refused.length > 0) return refuse(io, json, refused);
  countWarnings(io, rigPath, problems);
  printProblems(io, io.stderr, missing);
  if (slowWords(rig) !== null)
    printProblems(io, io.stderr, [{ ...problemOf(shownName(rigPath), UNWALKED), severity: 'warning' }]);

  const fingerprint = imageFingerprint(packImage(rig));
  const plan = buildPlan(rig, names, fingerprint);
  const bytes = writeNight({ fingerprint, plan: plan.bytes, shows: packed.map(({ show }) => show) });
  const tooLong = roomFault(rig.board?.kind ?? null, bytes.length);
  if (tooLong !== null) return refuse(io, json, [problemOf(options.output, tooLong)]);
  const unwritten = writeAll([{ path: options.output, text: bytes }], options.force === true);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  const night: Night = { rig, packed, bytes: bytes.length, idle: plan.idle, fits: boardsFor(bytes.length) };
  if (json) printJson(io, { ...nightJson(night), file: shownName(options.output) });
  else io.stdout.write(nightWords(night, shownName(options.output), io));
  return 0;
}

/** Shows that the rig file names and nobody gave: an error where one would start by itself, else a warning. */
function missingFaults(rig: Rig, rigPath: string, names: readonly string[]): Problem[] {
  return missingShows(rig, names).map(({ path, name, starts }) => {
    const close = nearest(name, names);
    const packed = `packed here: ${together(names)}${names.length > 2 && close !== undefined ? ` (nearest: ${close})` : ''}`;
    return {
      ...problemOf(shownName(rigPath), `found ${name}, and no stream of that name is given; ${packed}`),
      path,
      severity: starts ? 'error' : 'warning',
    };
  });
}

/** The show of a stream, or why it cannot be one. */
async function packOne(
  rig: Rig,
  controller: Made,
  path: string,
  io: Io,
): Promise<Packed | { readonly problems: readonly Problem[] }> {
  const { source, problems } = await readStreamFile(path, rig, io);
  if (source === null) return { problems };
  printProblems(io, io.stderr, problems);
  const read = await readText(path, io);
  const made = packShow(rig, nameOf(path), await storeStream(source, rig), 'text' in read ? heardAt(read.text) : null);
  const fault = typeof made === 'string' ? made : await limitFault(rig, controller, made.frames, path, io);
  if (typeof made !== 'string' && fault === null) return made;
  return { problems: [problemOf(shownName(path), fault ?? '')] };
}

/** `posewright design`: from what a character must do to geometries and servos that do it, before metal is cut. */
import type { Command } from 'commander';
import { describeProblem, subjectOf } from '../../design/problem-of.ts';
import { type Plan, type Search, searchOf } from '../../design/search/search.ts';
import { misfit, writeSearch } from '../../design/search/state.ts';
import { wantSchemaJson } from '../../design/want/read.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { filesBeside } from '../mesh-files.ts';
import { printJson, printProblems, problemOf, refuse } from '../output.ts';
import { answer } from './answer.ts';
import { registerMerge } from './merge.ts';
import { type Asked, type Options, readOptions } from './options.ts';
import { refusedFolder, searchIn, writeAsked, writeState } from './result-folder.ts';
import { openEvaluator, searchOn } from './searching.ts';
import { type WantInput, readWantFile } from './want-file.ts';

const HELP = `
The want file says what the platform must reach, the room it has, which cranks and rods exist, which
servos may be bought, and what counts as better. What is found is a front: at most eight designs, none
of them better than another in all that counts, each a rig file that check, reach and load agree
with. The folder gets the rig files, front.html, front.json, and search.json to go on from.
The same seed finds the same designs, whatever the number of workers. With --minutes the time
decides how many are looked at.
Exit code 1: no design holds all that was asked; then it says which wish to relax, and by how much.

Examples:
  posewright design --want owl-neck.yaml -o neck
  posewright design --want owl-neck.yaml -o neck --minutes 10
  posewright design --want owl-neck.yaml -o part2 --evaluations 100000 --shard 2/4   one machine of four
  posewright design merge part1 part2 part3 part4 -o neck
  posewright design --schema > want.schema.json    for an editor that completes and checks as you type`;

export function registerDesign(program: Command, io: Io, done: Done): void {
  const command = program
    .command('design')
    .description('Searches for geometries and servos that do what a want file asks, and shows the best trade-offs.')
    .option('--want <file>', 'the want file (YAML); - for standard input')
    .option('-o, --output <folder>', 'the folder for the designs')
    .option('--seed <n>', 'random seed: the same seed finds the same designs', '1')
    .option('--evaluations <n>', 'designs to look at (18000 unless said)')
    .option('--minutes <n>', 'look for so long instead')
    .option('--workers <n>', 'threads (as many as there are cores unless said)')
    .option('--shard <k/n>', 'only this share of the search, to be merged')
    .option('--resume', 'go on with the search in the folder')
    .option('--force', 'write over the results of an earlier search')
    .option('--schema', 'print the JSON Schema of want files instead')
    .option('--json', 'one JSON document: {front, relax, evaluated}')
    .addHelpText('after', HELP)
    .action(async (options: Options) => {
      done(await design(options, io));
    });
  registerMerge(command, io, done);
}

async function design(options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  if (options.schema) {
    printJson(io, wantSchemaJson());
    return 0;
  }
  const asked = readOptions(options);
  if ('problems' in asked) return refuse(io, json, asked.problems);
  const refused = refusedFolder(asked.folder, asked.resume || asked.force);
  if (refused) return refuse(io, json, [refused]);
  const input = await readWantFile(asked.want, io);
  if ('problems' in input) return refuse(io, json, input.problems);
  printProblems(io, io.stderr, input.warnings);
  const subject = subjectOf(describeProblem(input.want));
  const begun = beginning(asked, input, subject.problem);
  if ('because' in begun) return refuse(io, json, [problemOf(asked.folder, begun.because)]);
  const evaluator = await openEvaluator(subject, asked);
  try {
    const interrupted = await searchOn(begun, subject, evaluator, asked.folder, asked, io);
    const told = { folder: asked.folder, texts: input.texts, files: filesBeside(input.rig), json, interrupted };
    if (asked.shard.of === 1) return await answer(subject, [begun], evaluator, told, io);
    return shardTold(begun, asked, input, json, io);
  } finally {
    await evaluator.close();
  }
}

/** Of an island: what finds a front (measured); three of them are merged. */
const ISLAND = 6000;
const ISLANDS = 3;

/** Islands of equal budgets, as many as make up the evaluations. */
function planOf({ seed, evaluations, minutes, shard }: Asked, { digest }: WantInput): Plan {
  if (minutes !== null) return { subject: digest, seed, islands: null, each: ISLAND };
  const all = evaluations ?? ISLAND * ISLANDS;
  const islands = Math.max(shard.of, Math.round(all / ISLAND), 1);
  return { subject: digest, seed, islands, each: Math.ceil(all / islands) };
}

/** A search that begins, or the one in the folder, to go on with. */
function beginning(
  asked: Asked,
  input: WantInput,
  shape: Parameters<typeof searchOf>[0],
): Search | { readonly because: string } {
  const { dims, objectives, constraints } = shape;
  const fresh = searchOf({ dims, objectives, constraints }, planOf(asked, input), asked.shard);
  if (!asked.resume) return fresh;
  const left = searchIn(asked.folder);
  if (!left.search) return { because: left.problem };
  const same = asked.minutes === null ? left.search : { ...left.search, plan: fresh.plan };
  const because = misfit({ ...fresh, islands: [] }, { ...same, islands: [] });
  return because === null ? { ...same, shard: asked.shard } : { because: `the search there does not fit: ${because}` };
}

/** A shard has no front of its own: it is merged. */
function shardTold(search: Search, { folder, shard }: Asked, { texts }: WantInput, json: boolean, io: Io): ExitCode {
  const problem = writeState(folder, writeSearch(search)) ?? writeAsked(folder, texts);
  if (problem) return refuse(io, json, [problem]);
  const evaluated = search.islands.reduce((sum, { used }) => sum + used, 0);
  if (json) printJson(io, { front: [], relax: [], evaluated, shard: `${String(shard.k)}/${String(shard.of)}` });
  else
    io.stdout.write(
      `shard ${String(shard.k)} of ${String(shard.of)}: ${String(evaluated)} designs looked at, in ${folder}\nNext: posewright design merge FOLDER… -o FRONT, with all ${String(shard.of)} shards, shows the front.\n`,
    );
  return 0;
}

/** `posewright design`: from what a character must do to geometries and servos that do it, before metal is cut. */
import type { Command } from 'commander';
import { describeProblem, subjectOf } from '../../design/problem-of.ts';
import { SPREAD } from '../../design/search/island.ts';
import type { Search } from '../../design/search/search.ts';
import { writeSearch } from '../../design/search/state.ts';
import { wantSchemaJson } from '../../design/want/read.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { filesBeside } from '../mesh-files.ts';
import { printJson, printProblems, refuse } from '../output.ts';
import { answer } from './answer.ts';
import { beginning } from './beginning.ts';
import { registerMerge } from './merge.ts';
import { type Asked, type Options, readOptions } from './options.ts';
import { refusedFolder, refusedMeshes, writeAsked, writeState } from './result-folder.ts';
import { openEvaluator, searchOn } from './searching.ts';
import { type WantInput, readWantFile } from './want-file.ts';

const HELP = `
The want file says what the platform must reach, the room it has, which cranks and rods exist, which
servos may be bought, and what counts as better. What is found is a front: at most eight designs, none
of them better than another in all that counts, each a rig file that check, reach and load agree
with. The folder gets the rig files, front.html, front.json, and search.json to go on from.
The same seed and evaluations find the same designs, whatever the number of workers, and in shards
that are merged the same as on one machine. With --minutes the time decides how many are looked at.
--resume needs no more than the want file and the folder; a larger multiple of 6000 --evaluations
goes on beyond a search that had one.
Exit code 1: no design holds all that was asked; then it says which wish to relax, and by how much.

A want file, beside the rig and the stream that it names:
  want: steady                          # designs are named after it
  from: owl.yaml                        # all that is not designed here
  must: { yaw_deg: 14, z_mm: [-8, 4], follow: show.csv }        # from home, at least
  room: { base_radius_mm: 80, plate_radius_mm: 62, height_mm: 170 }
  stock:                                # what there is
    crank_mm: [20, 22, 24]
    rod_mm: { from: 100, to: 140, step: 5 }
  firm: { lowest_hz: 5, use: 0.8, hold_use: 0.5 }
  servos: { small: { price: 14, stall_torque_nm: 1.1, no_load_speed_deg_s: 430 } }
  axes: { nod: { gear_ratio: { from: 2, to: 4 } } }             # of joints that are no legs
  better: [travel, use, price, size]
"posewright new owl --from demo" writes one with its rig and stream.

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
    .option('--seed <n>', 'random seed: the same seed finds the same designs (1 unless said)')
    .option('--evaluations <n>', `designs to look at (18000 unless said; ${String(SPREAD)} or more)`)
    .option('--minutes <n>', 'look for so long instead')
    .option('--workers <n>', 'threads (as many as there are cores unless said)')
    .option('--shard <k/n>', 'only this share of the search, to be merged: at most one shard for each 6000 evaluations')
    .option('--resume', 'go on with the search in the folder, as it was asked for')
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
  const taken = refusedMeshes(asked.folder, input.meshes, asked.force);
  if (taken) return refuse(io, json, [taken]);
  printProblems(io, io.stderr, input.warnings);
  const subject = subjectOf(describeProblem(input.want));
  const begun = beginning(asked, input.digest, subject.problem);
  if ('problem' in begun) return refuse(io, json, [begun.problem]);
  const evaluator = await openEvaluator(subject, asked);
  try {
    const interrupted = await searchOn(begun, subject, evaluator, asked.folder, io);
    const { texts, meshes, rig } = input;
    const told = { folder: asked.folder, texts, meshes, files: filesBeside(rig), json, interrupted };
    if (begun.shard.of === 1) return await answer(subject, [begun], evaluator, told, io);
    return shardTold(begun, asked, input, json, io);
  } finally {
    await evaluator.close();
  }
}

/** A shard has no front of its own: it is merged. */
function shardTold(search: Search, { folder }: Asked, { texts }: WantInput, json: boolean, io: Io): ExitCode {
  const { shard } = search;
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

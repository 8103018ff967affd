/** `posewright design merge`: what the shards of one search found, put together: the same as if one machine had searched. */
import type { Command } from 'commander';
import { dirname } from 'node:path';
import { describeProblem, subjectOf } from '../../design/problem-of.ts';
import { isSpent } from '../../design/search/island.ts';
import type { Search } from '../../design/search/search.ts';
import { misfit } from '../../design/search/state.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { filesBeside } from '../mesh-files.ts';
import { type Problem, printProblems, problemOf, refuse } from '../output.ts';
import { answer } from './answer.ts';
import { askedWant, refusedFolder, refusedMeshes, searchIn } from './result-folder.ts';
import { evaluatedHere } from '../../design/search/problem.ts';
import { readWantFile } from './want-file.ts';

interface Options {
  readonly output?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Each folder is one shard of the same search (--shard K/N): the same want, seed and evaluations.

Example:
  posewright design merge part1 part2 -o neck`;

export function registerMerge(design: Command, io: Io, done: Done): void {
  design
    .command('merge')
    .description('Puts the shards of one search together, and shows their front.')
    .argument('<folders...>', 'the folders of the shards')
    .option('-o, --output <folder>', 'the folder for the designs')
    .option('--force', 'write over the results of an earlier search')
    .option('--json', 'one JSON document: {front, relax, evaluated}')
    .addHelpText('after', HELP)
    .action(async (folders: string[], _: Options, command: Command) => {
      // The options are those of `design` as well.
      done(await merge(folders, command.optsWithGlobals<Options>(), io));
    });
}

async function merge(
  folders: readonly string[],
  { output, force, json: asksJson }: Options,
  io: Io,
): Promise<ExitCode> {
  const json = asksJson === true;
  if (output === undefined)
    return refuse(io, json, [problemOf('-o', 'is missing: into which folder? For example: -o neck')]);
  const refused = refusedFolder(output, force === true);
  if (refused) return refuse(io, json, [refused]);
  const read = shardsIn(folders);
  if ('problems' in read) return refuse(io, json, read.problems);
  const want = askedWant(folders[0]!);
  const input = await readWantFile(want, io);
  if ('problems' in input) return refuse(io, json, input.problems);
  if (input.digest !== read.searches[0]!.plan.subject)
    return refuse(io, json, [problemOf(dirname(want), 'what was asked there has been changed since the search')]);
  const taken = refusedMeshes(output, input.meshes, force === true);
  if (taken) return refuse(io, json, [taken]);
  printProblems(io, io.stderr, input.warnings);
  const subject = subjectOf(describeProblem(input.want));
  const told = {
    folder: output,
    texts: input.texts,
    meshes: input.meshes,
    files: filesBeside(input.rig),
    json,
    interrupted: false,
    missing: missingIn(read.searches),
  };
  return answer(subject, read.searches, evaluatedHere(subject.problem), told, io);
}

/** Which shards are not there, and which were stopped before their end. */
function missingIn(searches: readonly Search[]): string[] {
  const [first] = searches;
  if (!first) return [];
  const { shard, plan } = first;
  const all = Array.from({ length: shard.of }, (_, k) => k + 1);
  return all.flatMap((k) => {
    const name = `shard ${String(k)} of ${String(shard.of)}`;
    const own = searches.find((search) => search.shard.k === k && search.shard.of === shard.of);
    if (!own) return [`${name} is missing`];
    const count = Math.ceil(((plan.islands ?? 0) - k + 1) / shard.of);
    return own.islands.length === count && own.islands.every(isSpent) ? [] : [`${name} was stopped early`];
  });
}

/** All of them, where they fit together. */
function shardsIn(
  folders: readonly string[],
): { readonly searches: readonly Search[] } | { readonly problems: readonly Problem[] } {
  const searches: Search[] = [];
  const problems: Problem[] = [];
  for (const folder of folders) {
    const { search, problem } = searchIn(folder);
    const because = search ? searches.map((other) => misfit(other, search)).find((words) => words !== null) : problem;
    if (because !== undefined && because !== null) problems.push(problemOf(folder, because));
    else if (search) searches.push(search);
  }
  return problems.length > 0 ? { problems } : { searches };
}

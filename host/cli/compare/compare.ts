/** `posewright compare`: rigs side by side, differences first. */
import { basename } from 'node:path';
import type { Command } from 'commander';
import { type Candidate, compare as compareRigs } from '../../compare/compare.ts';
import { flatKeys } from '../../compare/keys.ts';
import { renderCompareReport } from '../../report/compare-report.ts';
import { readDocument } from '../../rig/document.ts';
import { readRig } from '../../rig/read.ts';
import type { Rig } from '../../rig/rig.ts';
import { storeStream } from '../../stream/store.ts';
import { readText, refusedInput } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { filesBeside } from '../mesh-files.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { isSameFile, refusedPage, writeAll } from '../outputs.ts';
import { countWarnings } from '../rig-input.ts';
import { isStdin, sharedStdin, shownName } from '../stdin.ts';
import { readStreamFile } from '../stream-input.ts';
import { compareWords } from './words.ts';

interface Options {
  readonly stream?: string;
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const [FEWEST, MOST] = [2, 8];

const HELP = `
First what differs in the files, then how far each goes and what stops it, how hard its servos work,
its lowest natural frequency, its current and its size. Figures that differ by less than they may be
off are called alike: dimensions as the file says, else 0.5 mm and 0.5 deg as plates are built;
masses and servo figures as the file says, else 10 %. What all files have alike is off in all alike.
Exit code 1: for some rig a figure is out of limits, as "posewright load" would say.

Examples:
  posewright compare owl.yaml owl-2.yaml
  posewright compare front/*.yaml --stream dusk.csv --report front.html`;

export function registerCompare(program: Command, io: Io, done: Done): void {
  program
    .command('compare')
    .description('Sets two to eight rigs side by side: what differs, and what that changes.')
    .argument('<rigs...>', 'rig files (YAML) of one drive; the first is the one that others are held against')
    .option('--stream <stream>', 'a pose stream (CSV) that each is to move along')
    .option('--report <file.html>', 'write a page: the rigs drawn to one scale, and tables')
    .option('--force', 'overwrite a report that exists already')
    .option('--json', 'one JSON document: {rigs, stream, keys, figures, ok}')
    .addHelpText('after', HELP)
    .action(async (rigs: readonly string[], options: Options) => {
      done(await compare(rigs, options, io));
    });
}

/** All that is wrong with the command itself, before any file is read. */
function faults(paths: readonly string[], { stream, report, force }: Options): Problem[] {
  const problems: Problem[] = [...sharedStdin(paths, 'the rigs')];
  if (paths.length < FEWEST || paths.length > MOST)
    problems.push(
      problemOf('compare', `found ${String(paths.length)} rig${paths.length === 1 ? '' : 's'}; allowed: two to eight`),
    );
  paths.forEach((path, i) => {
    const same = paths.slice(0, i).find((other) => !isStdin(path) && isSameFile(path, other));
    if (same !== undefined)
      problems.push(problemOf(path, `this is the same file as ${same}: there is nothing to compare`));
  });
  if (isStdin(stream)) problems.push(problemOf('--stream', 'each rig reads the stream: it must be a file'));
  for (const path of new Set([...paths, ...(stream === undefined ? [] : [stream])])) {
    const refusal = refusedInput(path);
    if (refusal !== null) problems.push(problemOf(path, refusal));
  }
  const inputs = [...paths, ...(stream === undefined ? [] : [stream])];
  const unwritable = report === undefined ? null : refusedPage(report, force === true, inputs);
  if (report !== undefined && unwritable !== null) problems.push(problemOf(report, unwritable));
  return problems;
}

interface Read {
  readonly rig: Rig | null;
  readonly keys: ReadonlyMap<string, string>;
  readonly problems: readonly Problem[];
}

/** A rig, and its file's keys as they stand there. */
async function readOne(path: string, io: Io): Promise<Read> {
  const file = shownName(path);
  const text = await readText(path, io);
  if ('fault' in text) return { rig: null, keys: new Map(), problems: [problemOf(file, text.fault)] };
  const { rig, problems } = readRig(text.text, undefined, filesBeside(path));
  const { document } = readDocument(text.text, file);
  return { rig, keys: flatKeys(document?.data ?? {}), problems: problems.map((problem) => ({ file, ...problem })) };
}

/** Short names that tell the files apart: without folder and ending, else as they were given. */
function namesOf(paths: readonly string[]): string[] {
  const short = paths.map((path) =>
    isStdin(path) ? shownName(path) : shownName(basename(path).replace(/\.ya?ml$/i, '')),
  );
  return new Set(short).size === short.length ? short : paths.map(shownName);
}

const driveWords = ({ platform }: Rig): string =>
  platform ? (platform.drive === 'crank' ? 'cranks' : 'linear actuators') : 'joints only';

/** What is driven in another way goes and works in other units. */
function driveFaults(rigs: readonly Rig[], paths: readonly string[]): Problem[] {
  const [first] = rigs;
  return rigs.flatMap((rig, i) =>
    first && driveWords(rig) !== driveWords(first)
      ? [
          problemOf(
            shownName(paths[i] ?? ''),
            `this rig has ${driveWords(rig)}, and ${shownName(paths[0] ?? '')} has ${driveWords(first)}; allowed: rigs of one drive`,
          ),
        ]
      : [],
  );
}

async function compare(paths: readonly string[], options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const wrong = faults(paths, options);
  if (wrong.length > 0) return refuse(io, json, wrong);
  const read: Read[] = [];
  for (const path of paths) read.push(await readOne(path, io));
  const rigs = read.flatMap(({ rig }) => rig ?? []);
  if (rigs.length < paths.length)
    return refuse(
      io,
      json,
      read.flatMap(({ problems }) => problems),
    );
  const others = driveFaults(rigs, paths);
  if (others.length > 0) return refuse(io, json, others);
  const candidates = await candidatesOf(paths, read, rigs, options.stream, io);
  if ('refused' in candidates) return refuse(io, json, candidates.refused);
  paths.forEach((path, i) => {
    countWarnings(io, path, read[i]?.problems ?? []);
  });
  const answer = compareRigs(candidates, options.stream === undefined ? null : shownName(options.stream));
  if ('refused' in answer) return refuse(io, json, [problemOf(answer.name, answer.refused)]);
  const { report } = options;
  const page = report === undefined ? [] : [{ path: report, text: renderCompareReport(rigs, answer) }];
  const unwritten = writeAll(page, options.force === true);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  if (json) printJson(io, answer);
  else io.stdout.write(compareWords(answer, report ?? null, io));
  return answer.ok.every((ok) => ok) ? 0 : 1;
}

async function candidatesOf(
  paths: readonly string[],
  read: readonly Read[],
  rigs: readonly Rig[],
  path: string | undefined,
  io: Io,
): Promise<readonly Candidate[] | { readonly refused: readonly Problem[] }> {
  const names = namesOf(paths);
  const candidates: Candidate[] = [];
  for (const [i, rig] of rigs.entries()) {
    const stream = path === undefined ? null : await readStreamFile(path, rig, io);
    if (stream?.source === null) return { refused: stream.problems };
    if (i === 0) printProblems(io, io.stderr, stream?.problems ?? []);
    candidates.push({
      name: names[i] ?? rig.name,
      rig,
      keys: read[i]?.keys ?? new Map(),
      stream: stream?.source ? await storeStream(stream.source, rig) : null,
    });
  }
  return candidates;
}

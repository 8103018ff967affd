/** `posewright load`: can the servos carry it, hold it and move it, what does that draw, and how much more could they carry. */
import type { Command } from 'commander';
import { load as loadOf } from '../../load/load.ts';
import { HOME, type Pose, type Rig } from '../../rig/rig.ts';
import { either, nearest } from '../../rig/words.ts';
import { storeStream } from '../../stream/store.ts';
import type { StoredStream } from '../../stream/stored.ts';
import { renderLoadReport } from '../../report/load-report.ts';
import { refusedInput } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { loadJson } from './json.ts';
import { loadWords } from './words.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { refusedPage, writeAll } from '../outputs.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName, sharedStdin } from '../stdin.ts';
import { readPose } from '../six-numbers.ts';
import { readStreamFile } from '../stream-input.ts';

interface Options {
  readonly pose?: string;
  readonly stream?: string;
  readonly without: readonly string[];
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Torques are at the servo, gear losses included. Percentages are of the torque available at that
speed. The stream is evaluated as written, before the rig's limits slow it. "Hardest found" is the
hardest pose to hold that was found within the soft limits (limit_deg and limit_mm in the rig
file).
Exit code 1: a servo needs more torque than it has, or more than its continuous limit; or the
supply gives too little current.

Examples:
  posewright load night-owl.yaml                    holding at home, and the hardest pose
  posewright load night-owl.yaml --stream show.csv  what moving takes
  posewright load night-owl.yaml --stream show.csv --report load.html
  posewright load night-owl.yaml --without beak     what removing it would change
  posewright load night-owl.yaml --pose 0,0,0,0,8,0 --json`;

const collect = (name: string, before: readonly string[]): readonly string[] => [...before, name];

export function registerLoad(program: Command, io: Io, done: Done): void {
  program
    .command('load')
    .description(
      'Says whether the servos can hold the prop and move it, how hot they get, and how much current they draw.',
    )
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('--pose <x,y,z,roll,pitch,yaw>', 'the pose to hold, from home, in mm and degrees')
    .option('--stream <stream>', 'a pose stream (CSV) to move along; - for standard input')
    .option('--without <part>', 'leave out a part; may be repeated', collect, [])
    .option('--report <file.html>', 'write a page: load bars, the hardest moments, current, how it swings')
    .option('--force', 'overwrite a report that exists already')
    .option('--json', 'one JSON document: the whole answer')
    .addHelpText('after', HELP)
    .action(async (rig: string, options: Options) => {
      done(await load(rig, options, io));
    });
}

/** The pose, or all that is wrong with the command itself, before any file is read. */
function readCommand(
  rigPath: string,
  { pose, stream, report, force }: Options,
): { pose: Pose } | { problems: readonly Problem[] } {
  const problems: Problem[] = [];
  const read = pose === undefined ? { pose: HOME } : readPose('--pose', pose);
  if ('problems' in read) problems.push(...read.problems);
  problems.push(...sharedStdin([rigPath, stream], 'the rig and the stream'));
  for (const path of new Set([rigPath, stream ?? rigPath])) {
    const refusal = refusedInput(path);
    if (refusal !== null) problems.push(problemOf(path, refusal));
  }
  const unwritable = report === undefined ? null : refusedPage(report, force === true, [rigPath, stream ?? rigPath]);
  if (report !== undefined && unwritable !== null) problems.push(problemOf(report, unwritable));
  return 'problems' in read || problems.length > 0 ? { problems } : read;
}

/** What of the command does not fit the rig. */
function misfits(rig: Rig, { pose, without }: Options): Problem[] {
  const names = rig.parts.map(({ name }) => name);
  const wrong = without
    .filter((name) => !names.includes(name))
    .map((name) => {
      const close = nearest(name, names);
      const allowed = close === undefined ? 'this rig has no parts' : `allowed: ${either(names)} (nearest: ${close})`;
      return problemOf('--without', `found ${name}, which is not a part of this rig; ${allowed}`);
    });
  if (pose !== undefined && !rig.platform)
    wrong.push(problemOf('--pose', 'this rig has joints only: without a platform there is no pose'));
  return wrong;
}

async function load(rigPath: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const command = readCommand(rigPath, options);
  if ('problems' in command) return refuse(io, json, command.problems);
  const { rig, problems } = await readRigFile(rigPath, io);
  if (!rig) return refuse(io, json, problems);
  const wrong = misfits(rig, options);
  if (wrong.length > 0) return refuse(io, json, [...problems, ...wrong]);
  const stream = await storedStream(options.stream, rig, io);
  if (stream && 'refused' in stream) return refuse(io, json, [...problems, ...stream.refused]);
  countWarnings(io, rigPath, problems);
  printProblems(io, io.stderr, stream?.problems ?? []);

  const answer = loadOf(rig, { pose: command.pose, without: options.without, stream });
  if ('refused' in answer)
    return refuse(io, json, [problemOf(options.pose === undefined ? 'home' : '--pose', answer.refused)]);
  const { report = null } = options;
  const pages = report === null ? [] : [{ path: report, text: renderLoadReport(rig, answer, stream?.stored ?? null) }];
  const unwritten = writeAll(pages, options.force === true);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  const files = { rig: shownName(rigPath), stream: stream?.name ?? null, report: report && shownName(report) };
  if (json) printJson(io, loadJson(answer));
  else io.stdout.write(loadWords(rig, answer, files, io));
  return answer.ok ? 0 : 1;
}

interface Stored {
  readonly name: string;
  readonly stored: StoredStream;
  readonly problems: readonly Problem[];
}

/** Null: none was asked for. */
async function storedStream(
  path: string | undefined,
  rig: Rig,
  io: Io,
): Promise<Stored | { readonly refused: readonly Problem[] } | null> {
  if (path === undefined) return null;
  const { source, problems } = await readStreamFile(path, rig, io);
  if (source === null) return { refused: problems };
  return { name: shownName(path), stored: await storeStream(source, rig), problems };
}

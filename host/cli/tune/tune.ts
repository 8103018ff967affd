/** `posewright tune`: speed and acceleration limits that the servos can keep, tried on simulated metal, into a new rig file. */
import type { Command } from 'commander';
import { dirname, resolve } from 'node:path';
import { TargetError } from '../../replay/conversation.ts';
import { readRig } from '../../rig/read.ts';
import type { Rig } from '../../rig/rig.ts';
import type { StreamSource } from '../../stream/read.ts';
import { type Tuned, tune as tuneRig } from '../../tune/tune.ts';
import { type WobbleCure, cureFor } from '../../tune/wobble.ts';
import { type TriedCure, tryWobble } from '../../tune/wobble-trial.ts';
import { showTuned } from '../../tune/shown.ts';
import { renderTuneReport } from '../../report/tune-report.ts';
import { withNewWobble } from '../../tune/wobble-file.ts';
import { withNewLimits } from '../../tune/write.ts';
import { readText, refusedInput } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { filesBeside } from '../mesh-files.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { type TextFile, isSameFile, refusedOutput, refusedPage, writeAll } from '../outputs.ts';
import { startProgress } from '../progress.ts';
import { countWarnings } from '../rig-input.ts';
import { isStdin, shownName, sharedStdin } from '../stdin.ts';
import { readStreamFile } from '../stream-input.ts';
import { targetOf } from '../targets.ts';
import { tuneJson } from './json.ts';
import {
  WOBBLE_HELP,
  type WobbleTexts,
  addWobbleOptions,
  knownWobble,
  wobbleFaults,
  wobbleJson,
  wobbleSaid,
} from './wobble.ts';
import { tuneWords } from './words.ts';

interface Options extends WobbleTexts {
  readonly stream?: string;
  readonly output?: string;
  readonly faster?: true;
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
A joint jerks when its limits ask its servo for more torque than it has at that speed. The new
limits come from the weight, the gear and the servo's torque and speed: at most the fraction
peak_use of the available torque is used. They are then tried in a simulation of servos and loads.
Plus and minus are a joint's acceleration upward (toward larger values) and downward.
No limit is raised above the file's without --faster. The new file keeps the comments and the
order of the old one.
Exit code 1: a joint is out of torque whatever its limits; suggestions are printed. Joints with
unknown figures are left alone.

Examples:
  posewright tune night-owl.yaml                                   what would change, and why
  posewright tune night-owl.yaml -o night-owl-tuned.yaml
  posewright tune night-owl.yaml --stream show.csv -o for-the-show.yaml
  posewright tune night-owl.yaml --stream show.csv --report tuned.html
  posewright tune night-owl.yaml --shake phone.csv -o still-owl.yaml
${WOBBLE_HELP}`;

export function registerTune(program: Command, io: Io, done: Done): void {
  const command = program
    .command('tune')
    .description(
      'Finds speed and acceleration limits the servos can keep, and tries them in a simulation of servos and loads.',
    )
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('--stream <stream.csv>', 'find limits for this stream only, rather than for any motion')
    .option('-o, --output <rig2.yaml>', 'write the rig with the new limits to this file')
    .option('--faster', 'also raise limits, as far as the servos can go');
  addWobbleOptions(command)
    .option('--report <file.html>', 'write a page: torque, limits and wobble, before and after')
    .option('--force', 'overwrite a file that exists already, the rig itself included')
    .option('--json', 'one JSON document: {joints, advice, wobble, …}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: Options) => {
      done(await tune(path, options, io));
    });
}

/** All that is wrong with the command itself, before any file is read. */
function faultsOf(path: string, options: Options): Problem[] {
  const { stream, shake, output, force } = options;
  const problems = wobbleFaults(options);
  const read = [stream, shake].filter((input) => input !== undefined);
  problems.push(...sharedStdin([path, ...read], 'the rig, the stream and the shake'));
  for (const input of new Set([path, ...(stream === undefined ? [] : [stream])])) {
    const refusal = refusedInput(input);
    if (refusal !== null) problems.push(problemOf(input, refusal));
  }
  // The rig itself may be written over, if that is said: a file that is there already, like any other.
  const refusal = output === undefined ? null : refusedOutput(output, force === true, read);
  if (output !== undefined && refusal !== null) problems.push(problemOf(output, refusal));
  return [...problems, ...reportFaults(path, options)];
}

/** What is wrong with where the page is to go: over nothing that is read or written here. */
function reportFaults(path: string, { stream, shake, output, report, force }: Options): Problem[] {
  if (report === undefined) return [];
  if (isSameFile(report, output)) return [problemOf('--report', 'the page and the new rig cannot be the same file')];
  const inputs = [path, stream, shake].filter((input) => input !== undefined);
  const refusal = refusedPage(report, force === true, inputs);
  return refusal === null ? [] : [problemOf(report, refusal)];
}

/** A rig file finds its meshes in its own folder. */
function meshesApart({ parts }: Rig, path: string, output: string | undefined): Problem | null {
  const mesh = parts.find(({ shape }) => shape?.kind === 'mesh');
  if (!mesh || output === undefined || isStdin(path) || resolve(dirname(output)) === resolve(dirname(path)))
    return null;
  return problemOf(
    output,
    `the rig has a mesh (${mesh.name}) that stands beside it: write the new rig into the same folder`,
  );
}

async function tune(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const faults = faultsOf(path, options);
  if (faults.length > 0) return refuse(io, json, faults);
  const file = shownName(path);
  const read = await readText(path, io);
  if ('fault' in read) return refuse(io, json, [problemOf(file, read.fault)]);
  const { rig, problems: found } = readRig(read.text, undefined, filesBeside(path));
  const problems = found.map((problem): Problem => ({ file, ...problem }));
  if (!rig) return refuse(io, json, problems);
  const apart = meshesApart(rig, path, options.output);
  if (apart) return refuse(io, json, [apart]);
  const cure = await cureOf(rig, file, options, io);
  if (cure && 'message' in cure) return refuse(io, json, [...problems, cure]);
  const stream = options.stream === undefined ? null : await readStreamFile(options.stream, rig, io);
  const known = [...problems, ...(stream?.problems ?? [])];
  if (stream && stream.source === null) return refuse(io, json, known);
  countWarnings(io, path, problems);
  printProblems(io, io.stderr, stream?.problems ?? []);

  const asked = stream?.source == null ? null : { source: stream.source, name: shownName(options.stream ?? '') };
  const tuned = await run(rig, asked, options.faster === true, io);
  if (typeof tuned === 'string') return refuse(io, json, [problemOf('sim', tuned)]);
  const { answer } = tuned;
  const { output = null, report = null } = options;
  const text = output === null ? '' : newText(read.text, tuned, cure);
  if (text === null) return refuse(io, json, [problemOf(output ?? '', SHARED_FIGURES)]);
  const wobble = cure && (await triedOn(tuned.rig, cure, io));
  const files: TextFile[] = output === null ? [] : [{ path: output, text }];
  if (report !== null) files.push({ path: report, text: await pageText(rig, tuned, asked, wobble, io) });
  const unwritten = writeAll(files, options.force === true);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  if (json) printJson(io, tuneJson(answer, wobble && wobbleJson(wobble), output));
  else
    io.stdout.write(
      tuneWords(
        answer,
        wobble && wobbleSaid(wobble),
        {
          rig: file,
          output: output && shownName(output),
          report: report && shownName(report),
          stream: asked?.name ?? null,
        },
        io,
      ),
    );
  return answer.ok ? 0 : 1;
}

/** The cure on simulated metal, and how it did. */
async function triedOn(rig: Rig, cure: WobbleCure, io: Io): Promise<TriedCure> {
  return { cure, tried: await tryWobble(rig, cure, await targetOf('sim', io)) };
}

/** Plays what is to be shown; the page. */
async function pageText(
  rig: Rig,
  tuned: Tuned,
  stream: NamedStream | null,
  wobble: TriedCure | null,
  io: Io,
): Promise<string> {
  const shown = await showTuned(rig, tuned, await targetOf('sim', io), stream);
  return renderTuneReport(rig, { answer: tuned.answer, shown, wobble });
}

/** The cure of the wobble that is known; null: none is. */
async function cureOf(rig: Rig, file: string, options: Options, io: Io): Promise<WobbleCure | Problem | null> {
  const measured = await knownWobble(rig, options, io);
  if (!measured || 'message' in measured) return measured;
  const cure = cureFor(rig, measured);
  return 'problem' in cure ? { ...problemOf(file, cure.problem), path: 'motion.wobble' } : cure;
}

interface NamedStream {
  readonly source: StreamSource;
  readonly name: string;
}

async function run(rig: Rig, stream: NamedStream | null, faster: boolean, io: Io): Promise<Tuned | string> {
  const progress = startProgress(io, 'tuning', 100, '%');
  try {
    const update = (share: number): void => {
      progress.update(100 * share);
    };
    return await tuneRig(rig, await targetOf('sim', io), { faster, stream, progress: update });
  } catch (error) {
    if (error instanceof TargetError) return error.message;
    throw error;
  } finally {
    progress.stop();
  }
}

const SHARED_FIGURES =
  'nothing is written: joints of this rig share figures (YAML anchors), so one cannot be changed alone. Give each its own';

/** The rig file with the new figures; null: see SHARED_FIGURES. */
function newText(text: string, { answer }: Tuned, cure: WobbleCure | null): string | null {
  const changed = withNewLimits(text, answer.joints);
  return changed !== null && cure ? withNewWobble(changed, cure) : changed;
}

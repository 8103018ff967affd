/** `posewright replay`: plays a stream on a target, and answers whether the prop gets there and how smoothly. */
import { type Command, Option } from 'commander';
import { TargetError } from '../../replay/conversation.ts';
import { SUBJECT, type Target } from '../../replay/target.ts';
import type { LinkOptions } from '../../replay/link-model.ts';
import { replay as replayOn } from '../../replay/replay.ts';
import { SensedRows } from '../../replay/sensed.ts';
import type { Replay } from '../../replay/result.ts';
import { TOLERANCE, type Tolerance } from '../../replay/tolerance.ts';
import { canItGetThere, willItBeSmooth } from '../../replay/verdict.ts';
import { renderReport } from '../../report/report.ts';
import type { Rig } from '../../rig/rig.ts';
import { DeliveredFile } from './delivered-file.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type LineTexts, addLineOptions, readLine } from '../line-options.ts';
import { isError, misfitsOf } from '../misfits.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { type Output, writeAll } from '../outputs.ts';
import { startProgress } from '../progress.ts';
import { answerJson } from './json.ts';
import { type Names, replayWords } from './words.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';
import { refusedFiles } from '../stream-files.ts';
import { type StreamInput, readStreamFile } from '../stream-input.ts';
import { type Made, controllerFor } from '../own-controller.ts';
import { TARGET_NAMES, isPort, targetFault, targetOf } from '../targets.ts';
import { readInputs } from './inputs.ts';

interface Options extends LineTexts {
  readonly on: string;
  readonly report?: string;
  readonly output?: string;
  readonly force?: true;
  readonly inputs?: string;
  readonly plant?: true;
  readonly tolerance: string;
  readonly json?: true;
}

const HELP = `
The same controller runs on every target, so the board commands its servos exactly as shown here.
--plant adds a simulation of servos and loads, which shows whether they can follow.
"Asked" is the stream's value at playback time; the playback delay is constant and does not count
as being behind.
Behind: how far a joint lags what is asked of it. Past: how far it overshoots everything asked of
it around that moment.
Plus and minus: acceleration upward (toward larger values of a joint) and downward.
Exit code 1: one of its questions is answered with no, or a tick or the path is out of limits.

The stream is a CSV file with a header, a row for each instant; # begins a comment line:
  t_s,z_mm,yaw_deg,jaw_deg
  0.00,0,0,0
  0.02,0.1,0.5,0
t_s: seconds, increasing. x_mm, y_mm, z_mm, roll_deg, pitch_deg, yaw_deg: the pose; a column left out
is 0. NAME_deg: a joint of the rig that is no leg; left out, it stays where it is.

A rig whose folder holds responses.ts plays with its own controller. On sim the motion is measured
against what the responses make of the stream, and how far they move it is said; elsewhere, where
that is not known, what they change counts as away from the stream. --inputs FILE gives its inputs: a header t_s and names, rows
of seconds and 0 or 1 (closed), analog ones 0 to 1; a row holds until the next.

Examples:
  posewright replay night-owl.yaml show.csv --report show.html
  posewright replay night-owl.yaml show.csv --plant --report show.html            servos too
  posewright replay night-owl.yaml show.csv -o delivered.csv                      what came out
  posewright replay night-owl.yaml show.csv --jitter-ms 30 --loss 0.02 --burst 3  over a poor line
  record-head | posewright replay night-owl.yaml - --json`;

const WITHIN = `${String(TOLERANCE.mm)},${String(TOLERANCE.deg)}`;

/** Both tolerances, or what is wrong with the text. */
function toleranceOf(text: string): Tolerance | string {
  const [mm, deg, ...more] = text.split(',').map((part) => (part.trim() === '' ? NaN : Number(part)));
  const right = (value: number | undefined): value is number => value !== undefined && value >= 0 && value < Infinity;
  if (!right(mm) || !right(deg) || more.length > 0)
    return `is "${text}"; allowed: two numbers that are not negative, mm and degrees, such as ${WITHIN}`;
  return { mm, deg };
}

export function registerReplay(program: Command, io: Io, done: Done): void {
  const command = program
    .command('replay')
    .description('Plays a pose stream through the controller, and says whether the prop gets there and how smoothly.')
    .argument('<rig>', 'the rig file (YAML)')
    .argument('<stream>', 'the pose stream (CSV); - for standard input')
    .option('--on <target>', `where it is played: ${TARGET_NAMES}`, 'sim')
    .option('--plant', 'also simulate servos and loads: servos that run out of torque, lag, or swing after a stop')
    .option(
      '--inputs <file.csv>',
      'what the inputs of the rig’s night are, for its responses: t_s, then inputs by name',
    )
    .option('--report <file.html>', 'write a page with charts and the worst moment')
    .option(
      '-o, --output <file.csv>',
      'write the motion that came out as a stream: poses and joints, without the delay',
    )
    .option('--force', 'overwrite files that exist already')
    .addOption(new Option('--tolerance <mm,deg>', 'how far it may be from what was asked').default(WITHIN, WITHIN));
  addLineOptions(command)
    .option('--json', 'one JSON document: the whole answer')
    .addHelpText('after', HELP)
    .action(async (rig: string, stream: string, options: Options) => {
      done(await replay(rig, stream, options, io));
    });
}

const MEASURED_AFTER = 'the motion is measured against what it makes of the stream';
const MEASURED_BEFORE = 'what it changes counts as away from the stream, since only sim tells what it asks for';

/** How it is to be played. */
interface Play {
  readonly link: LinkOptions;
  readonly tolerance: Tolerance;
  readonly plant: boolean;
}

/** And where what comes out is written; null: nowhere. */
interface Played extends Play {
  readonly made: Made;
  readonly sensed: SensedRows | null;
  readonly file: DeliveredFile | null;
}

/** What the options mean, or all that is wrong with the command itself, before any file is read. */
function readCommand(
  rigPath: string,
  streamPath: string,
  options: Options,
): Play | { readonly problems: readonly Problem[] } {
  const { line, problems: faults } = readLine(options);
  const problems = [...faults];
  const tolerance = toleranceOf(options.tolerance);
  if (typeof tolerance === 'string') problems.push(problemOf('--tolerance', tolerance));
  const target = targetFault(options.on);
  if (target !== null) problems.push(problemOf('--on', target));
  problems.push(...refusedFiles(rigPath, streamPath, options));
  if (problems.length > 0 || typeof tolerance === 'string') return { problems };
  return { link: line, tolerance, plant: options.plant === true };
}

async function replay(rigPath: string, streamPath: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const command = readCommand(rigPath, streamPath, options);
  if ('problems' in command) return refuse(io, json, command.problems);
  const { rig, problems } = await readRigFile(rigPath, io);
  if (!rig) return refuse(io, json, problems);
  const stream = await readStreamFile(streamPath, rig, io);
  if (stream.source === null) return refuse(io, json, [...problems, ...stream.problems]);
  countWarnings(io, rigPath, problems);
  printProblems(io, io.stderr, stream.problems);
  const made = await controllerFor(rigPath, rig);
  if (!('wasm' in made)) return refuse(io, json, made);
  const sensed = await readInputs(options.inputs, options.on, rig, io);
  if (sensed && !(sensed instanceof SensedRows)) return refuse(io, json, sensed);
  if (made.responses !== null && !json)
    io.stderr.write(`with ${made.responses}: ${options.on === 'sim' ? MEASURED_AFTER : MEASURED_BEFORE}\n`);

  const { output = null } = options;
  const words = deliveredWords(rig, streamPath, options.on);
  const file = output === null ? null : new DeliveredFile(output, options.force === true, rig, words);
  try {
    const played = await play(rig, stream, streamPath, options.on, { ...command, file, made, sensed }, io);
    if (typeof played === 'string') return refuse(io, json, [problemOf(options.on, played)]);
    const delivered = file?.finish() ?? null;
    if (typeof delivered === 'string') return refuse(io, json, [problemOf(output ?? '', delivered)]);
    return tell(rig, played, delivered, rigPath, stream.scan.shaking, options, io);
  } finally {
    file?.discard();
  }
}

const namesOf = (rigPath: string, { report, output }: Options): Omit<Names, 'shaking'> => ({
  rig: shownName(rigPath),
  report: report === undefined ? null : shownName(report),
  output: output === undefined ? null : shownName(output),
});

const deliveredWords = (rig: Rig, streamPath: string, on: string): string =>
  `The motion that came out when ${rig.name} played ${shownName(streamPath)} on ${on}, by posewright, without the delay.`;

/** Writes what was asked for, and says how it went. */
function tell(
  rig: Rig,
  played: Replay,
  delivered: Output | null,
  rigPath: string,
  shaking: readonly string[],
  options: Options,
  io: Io,
): ExitCode {
  const json = options.json === true;
  const pages = options.report === undefined ? [] : [{ path: options.report, text: renderReport(rig, played) }];
  const unwritten = writeAll(pages, options.force === true, delivered ? [delivered] : []);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  if (json) printJson(io, { ...answerJson(played.answer), shaking });
  else io.stdout.write(replayWords(rig, played.answer, { ...namesOf(rigPath, options), shaking }, io));
  const saysNo = [canItGetThere, willItBeSmooth].some((judge) => judge(played.answer).word === 'no');
  return played.answer.ok && !saysNo ? 0 : 1;
}

/** What `send` asks of a board at a port, asked here too: the first thing that makes the rig not one for it. Warnings are printed. */
const judge =
  (rig: Rig, target: Target, on: string, io: Io) =>
  (board: number): string | null => {
    const problems = misfitsOf(rig, board, on, SUBJECT[target.proven]);
    const error = problems.find(isError);
    if (error) return error.path === '' ? error.message : `${error.path}: ${error.message}`;
    printProblems(io, io.stderr, problems);
    return null;
  };

/** The replay, or why the target cannot be used. */
async function play(
  rig: Rig,
  stream: StreamInput,
  name: string,
  on: string,
  { file, made, sensed, ...how }: Played,
  io: Io,
): Promise<Replay | string> {
  const { scan, source } = stream;
  if (source === null) throw new Error('a stream with errors is never played');
  const seconds = (scan.last_s ?? 0) - (scan.first_s ?? 0);
  const progress = startProgress(io, `playing on ${on}`, seconds, 's');
  try {
    const target = await targetOf(on, io, rig.board, undefined, {
      ...made,
      ...(sensed && { sensed: sensed.at.bind(sensed) }),
    });
    // A prop that moves is brought to its rest first; a simulation just ends.
    const stop = new AbortController();
    if (target.proven !== 'simulation')
      io.onInterrupt(() => {
        stop.abort();
      });
    return await replayOn(rig, source, target, {
      ...how,
      responds: made.responses !== null && target.proven === 'simulation',
      ...(sensed && {
        began: (zero_us: number) => {
          sensed.zero_us = zero_us;
        },
      }),
      ...(file ? { delivered: file.add.bind(file) } : {}),
      name: shownName(name),
      progress: progress.update,
      signal: stop.signal,
      misfit: isPort(on) ? judge(rig, target, on, io) : () => null,
      warn: (words) => {
        printProblems(io, io.stderr, [{ ...problemOf(on, words), severity: 'warning' }]);
      },
    });
  } catch (error) {
    if (error instanceof TargetError) return error.message;
    throw error;
  } finally {
    io.onInterrupt(null);
    progress.stop();
  }
}

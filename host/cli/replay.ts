/** `posewright replay`: plays a stream on a target, and answers whether the prop gets there and how smoothly. */
import { type Command, InvalidArgumentError, Option } from 'commander';
import { TargetError } from '../replay/conversation.ts';
import { type LinkOptions, PERFECT_LINK, linkProblems } from '../replay/link-model.ts';
import { replay as replayOn } from '../replay/replay.ts';
import type { Replay } from '../replay/result.ts';
import { renderReport } from '../report/report.ts';
import type { Rig } from '../rig/rig.ts';
import { refusedOutput, writeWhole } from './files.ts';
import type { Done, ExitCode, Io } from './io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from './output.ts';
import { startProgress } from './progress.ts';
import { answerJson } from './replay-json.ts';
import { replayWords } from './replay-words.ts';
import { readRigFile, shownName } from './rig-input.ts';
import { type StreamInput, readStreamFile } from './stream-input.ts';
import { TARGET_NAMES, targetFault, targetOf } from './targets.ts';

interface Tolerance {
  readonly mm: number;
  readonly deg: number;
}

interface Options {
  readonly on: string;
  readonly report?: string;
  readonly force?: true;
  readonly tolerance: Tolerance;
  readonly latencyMs: number;
  readonly jitterMs: number;
  readonly loss: number;
  readonly burst: number;
  readonly seed: number;
  readonly json?: true;
}

const HELP = `
The same controller runs in every target, so what is seen here is what the board will do, as far as its servos can follow.
Asked is the stream at the moment it is played; the playback delay is constant and is not counted as being behind.

Examples:
  posewright replay night-owl.yaml show.csv --report show.html
  posewright replay night-owl.yaml show.csv --jitter-ms 30 --loss 0.02 --burst 3     over a poor line
  record-head | posewright replay night-owl.yaml - --json`;

function numberOf(text: string): number {
  const value = text.trim() === '' ? NaN : Number(text);
  if (!Number.isFinite(value)) throw new InvalidArgumentError('This is not a number.');
  return value;
}

function toleranceOf(text: string): Tolerance {
  const [mm, deg, ...more] = text.split(',').map((part) => (part.trim() === '' ? NaN : Number(part)));
  const right = (value: number | undefined): value is number => value !== undefined && value >= 0 && value < Infinity;
  if (!right(mm) || !right(deg) || more.length > 0)
    throw new InvalidArgumentError('It takes two numbers that are not negative, mm and degrees, such as 0.5,0.5.');
  return { mm, deg };
}

export function registerReplay(program: Command, io: Io, done: Done): void {
  program
    .command('replay')
    .summary('play a stream: can it get there, will it be smooth')
    .description('Plays a pose stream through the controller, and says whether the prop gets there and how smoothly.')
    .argument('<rig>', 'the rig file (YAML)')
    .argument('<stream>', 'the pose stream (CSV); - for standard input')
    .option('--on <target>', `where it is played: ${TARGET_NAMES}`, 'sim')
    .option('--report <file.html>', 'write a page with charts and the worst moment')
    .option('--force', 'write over a report that is there already')
    .addOption(
      new Option('--tolerance <mm,deg>', 'how far it may be from what was asked')
        .argParser(toleranceOf)
        .default({ mm: 0.5, deg: 0.5 }, '0.5,0.5'),
    )
    .option('--latency-ms <ms>', 'delay of the line, constant part', numberOf, PERFECT_LINK.latency_ms)
    .option('--jitter-ms <ms>', 'delay of the line, random part, from 0 to this', numberOf, PERFECT_LINK.jitter_ms)
    .option('--loss <share>', 'share of frames the line loses, 0 to 1', numberOf, PERFECT_LINK.loss)
    .option('--burst <frames>', 'how many frames it loses in a row, on average', numberOf, PERFECT_LINK.burst)
    .option('--seed <number>', 'another seed, another fate of the same line', numberOf, PERFECT_LINK.seed)
    .option('--json', 'one JSON document: the whole answer')
    .addHelpText('after', HELP)
    .action(async (rig: string, stream: string, options: Options) => {
      done(await replay(rig, stream, options, io));
    });
}

const linkOf = (options: Options): LinkOptions => ({
  latency_ms: options.latencyMs,
  jitter_ms: options.jitterMs,
  loss: options.loss,
  burst: options.burst,
  seed: options.seed,
});

/** What is wrong with the command itself, before any file is read. */
function commandProblems(rigPath: string, streamPath: string, options: Options): Problem[] {
  const problems = linkProblems(linkOf(options)).map((message) => problemOf('the line', message));
  const target = targetFault(options.on);
  if (target !== null) problems.push(problemOf('--on', target));
  if (rigPath === '-' && streamPath === '-')
    problems.push(problemOf('-', 'the rig and the stream cannot both come from standard input'));
  if (options.report !== undefined) {
    const refusal = refusedOutput(options.report, options.force === true, [rigPath, streamPath]);
    if (refusal !== null) problems.push(problemOf(options.report, refusal));
  }
  return problems;
}

async function replay(rigPath: string, streamPath: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const wrong = commandProblems(rigPath, streamPath, options);
  if (wrong.length > 0) return refuse(io, json, wrong);
  const { rig, problems } = await readRigFile(rigPath, io);
  if (!rig) return refuse(io, json, problems);
  const stream = await readStreamFile(streamPath, rig, io);
  if (stream.source === null) return refuse(io, json, [...problems, ...stream.problems]);
  printProblems(io, io.stderr, [...problems, ...stream.problems]);

  const played = await play(rig, stream, streamPath, options, io);
  if (typeof played === 'string') return refuse(io, json, [problemOf(options.on, played)]);
  if (options.report !== undefined) {
    const fault = writeWhole(options.report, renderReport(rig, played));
    if (fault !== null) return refuse(io, json, [problemOf(options.report, fault)]);
  }
  if (json) printJson(io, answerJson(played.answer));
  else
    io.stdout.write(replayWords(rig, played.answer, { rig: shownName(rigPath), report: options.report ?? null }, io));
  return played.answer.ok ? 0 : 1;
}

/** The replay, or why the target cannot be used. */
async function play(rig: Rig, stream: StreamInput, name: string, options: Options, io: Io): Promise<Replay | string> {
  const { scan, source } = stream;
  if (source === null) throw new Error('a stream with errors is never played');
  const seconds = (scan.last_s ?? 0) - (scan.first_s ?? 0);
  const progress = startProgress(io, `playing on ${options.on}`, seconds, 's');
  try {
    const target = await targetOf(options.on, io);
    return await replayOn(rig, source, target, {
      link: linkOf(options),
      tolerance: options.tolerance,
      name: shownName(name),
      progress: progress.update,
    });
  } catch (error) {
    if (error instanceof TargetError) return error.message;
    throw error;
  } finally {
    progress.stop();
  }
}

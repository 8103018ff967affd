/** `posewright retime`: a stream that asks for too much, slowed where it does and no further, and made to fit if wanted. */
import type { Command } from 'commander';
import { causeWords } from '../../replay/verdict.ts';
import { renderRetimeReport } from '../../report/retime-report.ts';
import { type NotDone, type OutOfReach, type Retimed, retime as retimeStream } from '../../retime/retime.ts';
import { endlessWords, unheldWords } from '../../retime/words.ts';
import type { Rig } from '../../rig/rig.ts';
import { USUAL_CUTOFF_HZ } from '../../stream/smooth.ts';
import { leadingComments } from '../../stream/comments.ts';
import { StreamWriter } from '../../stream/write.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { writeAll } from '../outputs.ts';
import { startProgress } from '../progress.ts';
import { retimeJson } from './json.ts';
import { retimeWords } from './words.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';
import { refusedFiles } from '../stream-files.ts';
import { type StreamInput, readStreamFile } from '../stream-input.ts';

interface Options {
  readonly output?: string;
  readonly fit?: true;
  readonly smooth?: true | string;
  readonly tempo?: string;
  readonly together?: true;
  readonly keep?: string;
  readonly quickest?: true;
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Only passages beyond a joint's speed, acceleration or torque limit are slowed, and only as far as
needed; all other frames stay as they are. Joints that carry nothing (lids, a beak, ears) are
softened separately first, so that they never slow the head; not with --together. Where the
fastest pace would make the head stutter (add speed peaks that the stream does not have), it goes
a little slower and steadier. Plus and minus are a joint's acceleration upward (toward larger
values) and downward.
With --fit each axis is first scaled about its usual position, or shifted, until every frame is in
reach.
With --smooth the stream first goes through a low-pass filter without delay: for a recording that
shakes from frame to frame.
With --tempo the gestures become smaller until the stream takes at most that many times as long.
Where a passage would take more than 20 times as long, or a servo cannot even hold its weight,
slowing ends: exit code 1, and nothing is written.
With --keep the stream's start and these times do not move: the lost time is recovered between
them.

Examples:
  posewright retime night-owl.yaml show.csv -o show-owl.csv --report show-owl.html
  posewright retime night-owl.yaml recorded-head.csv -o head-owl.csv --fit --smooth
  posewright retime night-owl.yaml recorded-head.csv -o head-owl.csv --fit --smooth 3 --tempo 1.2
  posewright retime night-owl.yaml song.csv -o song-owl.csv --keep 4.2,8.4,12.6  beats, in s`;

/** What the low-pass may be set to, Hz: below, nothing of a gesture is left; above, no camera or motion capture records. */
const [LOWEST_HZ, HIGHEST_HZ] = [0.2, 500];
/** What --tempo may be: at 1 itself no search would end. */
const [LEAST_TEMPO, MOST_TEMPO] = [1.01, 100];

export function registerRetime(program: Command, io: Io, done: Done): void {
  program
    .command('retime')
    .description('Slows a pose stream just enough that the prop can follow it, and writes it as a new stream.')
    .argument('<rig>', 'the rig file (YAML)')
    .argument('<stream>', 'the pose stream (CSV); - for standard input')
    .option('-o, --output <stream2.csv>', 'write the new stream to this file')
    .option('--fit', 'first scale or move each axis until every frame is in reach')
    .option(
      '--smooth [hz]',
      `first smooth the stream: low-pass filter, -3 dB at this frequency (default ${String(USUAL_CUTOFF_HZ)})`,
    )
    .option('--tempo <times>', 'with --fit: make gestures smaller until the stream takes at most so many times as long')
    .option('--together', 'let lids, beak and ears slow the whole stream instead of softening each separately')
    .option('--keep <t,…>', 'times in the stream that must not move, in seconds')
    .option('--quickest', 'as fast as possible, even where that adds speed peaks')
    .option('--report <file.html>', 'write a page that shows what was slowed')
    .option('--force', 'overwrite files that exist already')
    .option('--json', 'one JSON document: the whole answer')
    .addHelpText('after', HELP)
    .action(async (rig: string, stream: string, options: Options) => {
      done(await retime(rig, stream, options, io));
    });
}

/** What is to be written, and what is to stay. */
interface Order {
  readonly output: string;
  readonly kept_s: readonly number[];
  readonly smooth_hz: number | undefined;
  readonly tempo: number | undefined;
  readonly fit: boolean;
  readonly together: boolean;
  readonly quickest: boolean;
}

/** What the options mean, or all that is wrong with the command itself, before any file is read. */
function readCommand(rigPath: string, streamPath: string, options: Options): Order | readonly Problem[] {
  const problems: Problem[] = [];
  const kept_s = options.keep === undefined ? [] : keptOf(options.keep);
  if (typeof kept_s === 'string') problems.push(problemOf('--keep', kept_s));
  const smooth_hz = options.smooth === true ? USUAL_CUTOFF_HZ : numberOf(options.smooth);
  if (smooth_hz !== undefined && !(smooth_hz >= LOWEST_HZ && smooth_hz <= HIGHEST_HZ))
    problems.push(
      problemOf(
        '--smooth',
        `is "${String(options.smooth)}"; allowed: ${String(LOWEST_HZ)} to ${String(HIGHEST_HZ)} Hz, such as 6`,
      ),
    );
  const tempo = numberOf(options.tempo);
  if (tempo !== undefined && !(tempo >= LEAST_TEMPO && tempo <= MOST_TEMPO))
    problems.push(
      problemOf(
        '--tempo',
        `is "${String(options.tempo)}"; allowed: ${String(LEAST_TEMPO)} to ${String(MOST_TEMPO)}, such as 1.2 for a fifth longer`,
      ),
    );
  if (tempo !== undefined && options.fit !== true)
    problems.push(problemOf('--tempo', 'makes gestures smaller, which needs --fit too'));
  if (tempo !== undefined && options.keep !== undefined)
    problems.push(problemOf('--tempo', 'cannot be combined with --keep: kept times fix how long the stream takes'));
  if (options.output === undefined)
    problems.push(problemOf('-o', 'where should the new stream be written? For example: -o retimed.csv'));
  problems.push(...refusedFiles(rigPath, streamPath, options));
  const { output } = options;
  if (problems.length > 0 || output === undefined || typeof kept_s === 'string') return problems;
  const isGiven = (key: 'fit' | 'together' | 'quickest'): boolean => options[key] === true;
  const how = { fit: isGiven('fit'), together: isGiven('together'), quickest: isGiven('quickest') };
  return { output, kept_s, smooth_hz, tempo, ...how };
}

/** A number of an option; NaN: it is none; undefined: the option was not given. */
const numberOf = (text: string | true | undefined): number | undefined =>
  text === undefined ? undefined : text === true || text.trim() === '' ? NaN : Number(text);

/** Times in order, or what is wrong with the text. */
function keptOf(text: string): readonly number[] | string {
  const times = text.split(',').map((part) => (part.trim() === '' ? NaN : Number(part)));
  if (!times.every(Number.isFinite)) return `is "${text}"; allowed: times in seconds, such as 4.2,8.4`;
  return [...new Set(times)].sort((a, b) => a - b);
}

async function retime(rigPath: string, streamPath: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const order = readCommand(rigPath, streamPath, options);
  if (!('output' in order)) return refuse(io, json, order);
  const { rig, problems } = await readRigFile(rigPath, io);
  if (!rig) return refuse(io, json, problems);
  const stream = await readStreamFile(streamPath, rig, io);
  const known = [...problems, ...stream.problems];
  if (stream.source === null) return refuse(io, json, known);
  const outside = outsideOf(order.kept_s, stream);
  if (outside !== null) return refuse(io, json, [...known, problemOf('--keep', outside)]);
  countWarnings(io, rigPath, problems);
  printProblems(io, io.stderr, stream.problems);

  const done = await run(rig, stream, shownName(streamPath), order, io);
  if ('because' in done) {
    refuse(io, json, [problemOf(shownName(streamPath), endlessWords(done))]);
    return 1;
  }
  if ('held' in done) {
    refuse(io, json, [problemOf(shownName(streamPath), unheldWords(done))]);
    return 1;
  }
  if ('stops' in done) return refuse(io, json, [problemOf(shownName(streamPath), reachWords(done))]);
  const { report = null } = options;
  const pages = report === null ? [] : [{ path: report, text: renderRetimeReport(done) }];
  const retimed = { path: order.output, text: await streamText(rig, stream, done) };
  const unwritten = writeAll([retimed, ...pages], options.force === true);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  if (json) printJson(io, retimeJson(done.answer, order.output));
  else
    io.stdout.write(
      retimeWords(
        done.answer,
        { rig: shownName(rigPath), output: shownName(order.output), report: report && shownName(report) },
        io,
      ),
    );
  return done.answer.ok ? 0 : 1;
}

/** Which kept time is not in the stream, in words; null: all are. */
function outsideOf(kept_s: readonly number[], { scan: { first_s, last_s } }: StreamInput): string | null {
  if (first_s === null || last_s === null) return null;
  const outside = kept_s.find((t_s) => !(t_s > first_s && t_s <= last_s));
  if (outside === undefined) return null;
  const stays = outside === first_s ? ': its start stays anyway' : '';
  return `${String(outside)} s is outside this stream, which runs from ${String(first_s)} to ${String(last_s)} s${stays}`;
}

async function run(rig: Rig, { source }: StreamInput, name: string, order: Order, io: Io): Promise<Retimed | NotDone> {
  if (source === null) throw new Error('a stream with errors is never retimed');
  const progress = startProgress(io, 'retiming', 100, '%');
  try {
    const update = (share: number): void => {
      progress.update(100 * share);
    };
    return await retimeStream(rig, source, { ...order, name, progress: update });
  } finally {
    progress.stop();
  }
}

const percent = (share: number): string => `${(100 * share).toFixed(share < 0.01 ? 1 : 0)} %`;

/** Why nothing was done. */
function reachWords({ stops, looks, isUnfit }: OutOfReach): string {
  const [most] = stops;
  if (!most) throw new Error('nothing stops it');
  const share = percent(stops.reduce((sum, stop) => sum + stop.looks, 0) / looks);
  const what = `for ${share} of the time it asks for poses out of reach, most often because of ${most.joint}: ${causeWords(most.cause)}, first at ${most.at_s.toFixed(2)} s`;
  return isUnfit
    ? `${what}; and no scale makes it fit: not even home is in reach`
    : `${what}. Slower does not help there: --fit scales and moves it into reach`;
}

/** The new file: the old one's opening comments, a line that says what was done, then the frames. */
async function streamText(rig: Rig, { scan, source }: StreamInput, { answer, stream }: Retimed): Promise<string> {
  const comments = source === null ? [] : await leadingComments(source);
  const writer = new StreamWriter(rig, scan.columns);
  const what = `# Retimed by posewright for ${answer.rig}: ${answer.seconds_before.toFixed(2)} s became ${answer.seconds_after.toFixed(2)} s.`;
  const lines = [...comments, what].map((line) => `${line}\n`);
  lines.push(writer.header);
  for (let f = 0; f < stream.count; f++) lines.push(writer.row(stream.time(f), stream.row(f)));
  return lines.join('');
}

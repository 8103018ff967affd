/** `posewright why`: the front door. Answers the four questions, and for a symptom ranks its causes, each with test, cure and cost. */
import type { Command } from 'commander';
import { TargetError } from '../../replay/conversation.ts';
import { renderWhy } from '../../report/why-report.ts';
import { SYMPTOMS, type Symptom } from '../../why/result.ts';
import { type Reasoned, type WhyStream, whyOf } from '../../why/why.ts';
import type { Rig } from '../../rig/rig.ts';
import { either, found, nearest } from '../../rig/words.ts';
import { refusedInput } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { refusedPage, writeAll } from '../outputs.ts';
import { startProgress } from '../progress.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName, sharedStdin } from '../stdin.ts';
import { readStreamFile } from '../stream-input.ts';
import { targetOf } from '../targets.ts';
import { whyJson } from './json.ts';
import { whyWords } from './words.ts';

interface Options {
  readonly symptom?: string;
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Symptoms: jerk (it moves in jerks), wobble (it keeps swinging after a move), buzz (it hums at
rest), slap (it knocks), short (it does not get there), hot (a servo is hot), twitch (it jumps for
no reason).
Causes are only ranked, by figures of a model; confirm with the test given.
Exit code 1: one of the four questions is answered with no.

Examples:
  posewright why night-owl.yaml show.csv
  posewright why night-owl.yaml show.csv --symptom wobble
  posewright why night-owl.yaml --symptom hot`;

export function registerWhy(program: Command, io: Io, done: Done): void {
  program
    .command('why')
    .description(
      'Can it get there? Can it carry it? Can you power it? Will it be smooth? If not: the likely causes, each with a test to confirm it, and the fix.',
    )
    .argument('<rig>', 'the rig file (YAML)')
    .argument('[stream]', 'the pose stream it is to play (CSV); - for standard input')
    .option('--symptom <symptom>', `what you see, one of ${SYMPTOMS.join(', ')}: lists its causes, likeliest first`)
    .option('--report <file.html>', 'write a page with the worst moment, before and after the fix')
    .option('--force', 'overwrite a report that exists already')
    .option('--json', 'one JSON document: {answers, causes, …}')
    .addHelpText('after', HELP)
    .action(async (rig: string, stream: string | undefined, options: Options) => {
      done(await why(rig, stream, options, io));
    });
}

/** Null: none was asked for, or it is none that is known. */
const symptomOf = ({ symptom }: Options): Symptom | null => SYMPTOMS.find((known) => known === symptom) ?? null;

function readCommand(rig: string, stream: string | undefined, options: Options): Problem[] {
  const paths = [rig, ...(stream === undefined ? [] : [stream])];
  const problems = [...new Set(paths)].flatMap((path) => {
    const refusal = refusedInput(path);
    return refusal === null ? [] : [problemOf(path, refusal)];
  });
  problems.push(...sharedStdin([rig, stream], 'the rig and the stream'));
  if (options.symptom !== undefined && symptomOf(options) === null) {
    const close = nearest(options.symptom, SYMPTOMS) ?? '';
    const known = `allowed: ${either(SYMPTOMS)} (nearest: ${close})`;
    problems.push(problemOf('--symptom', `found ${found(options.symptom)}, which is not a symptom it knows; ${known}`));
  }
  if (options.report === undefined) return problems;
  if (stream === undefined) problems.push(problemOf('--report', 'draws a stream’s worst moment: add a stream'));
  const refusal = refusedPage(options.report, options.force === true, paths);
  return refusal === null ? problems : [...problems, problemOf(options.report, refusal)];
}

async function why(rigPath: string, streamPath: string | undefined, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const faults = readCommand(rigPath, streamPath, options);
  if (faults.length > 0) return refuse(io, json, faults);
  const { rig, problems } = await readRigFile(rigPath, io);
  if (!rig) return refuse(io, json, problems);
  const read = streamPath === undefined ? null : await readStreamFile(streamPath, rig, io);
  if (read && read.source === null) return refuse(io, json, [...problems, ...read.problems]);
  countWarnings(io, rigPath, problems);
  printProblems(io, io.stderr, read?.problems ?? []);
  const stream: WhyStream | null =
    read?.source && streamPath !== undefined
      ? { name: shownName(streamPath), scan: read.scan, source: read.source }
      : null;
  const reasoned = await reason(rig, stream, symptomOf(options), io);
  if (typeof reasoned === 'string') return refuse(io, json, [problemOf(rigPath, reasoned)]);
  if (options.report !== undefined) {
    const text = renderWhy(rig, reasoned);
    const unwritten = writeAll([{ path: options.report, text }], options.force === true);
    if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  }
  const names = {
    stream: stream?.name ?? null,
    report: options.report === undefined ? null : shownName(options.report),
  };
  if (json) printJson(io, whyJson(reasoned.why));
  else io.stdout.write(whyWords(rig.name, reasoned.why, names, io, options.symptom !== undefined));
  return reasoned.why.answers.some(({ verdict }) => verdict === 'no') ? 1 : 0;
}

/** What there is to say, or why the simulation cannot run. */
async function reason(rig: Rig, stream: WhyStream | null, symptom: Symptom | null, io: Io): Promise<Reasoned | string> {
  const length_s = (stream?.scan.last_s ?? 0) - (stream?.scan.first_s ?? 0);
  const bar = startProgress(io, 'simulating', length_s, 's');
  try {
    return await whyOf(rig, { symptom, stream, target: await targetOf('sim', io), progress: bar.update });
  } catch (error) {
    if (error instanceof TargetError) return error.message;
    throw error;
  } finally {
    bar.stop();
  }
}

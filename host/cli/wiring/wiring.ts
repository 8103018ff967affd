/** `posewright wiring`: pins, cables, wires and fuses for this rig, drawn, with what to buy and what to look at before first power. */
import type { Command } from 'commander';
import { renderWiringReport } from '../../report/wiring-report.ts';
import { storeStream } from '../../stream/store.ts';
import { readNumber } from '../../stream/decimal.ts';
import { wiring as wiringOf } from '../../wiring/wiring.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { refusedPage, writeAll } from '../outputs.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { sharedStdin, shownName } from '../stdin.ts';
import { readStreamFile } from '../stream-input.ts';
import { wiringWords } from './words.ts';

interface Options {
  readonly trunk: string;
  readonly branch: string;
  readonly stream?: string;
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Currents are those of a stalled servo, and of one that moves with peak_use of its torque; with a
stream, what the stream asks where that is more. A figure that the rig file does not give stays
unknown, and what rests on it does too. Read the cautions: local codes come first.
Exit code 1: a fuse or a wire does not fit or cannot be chosen, or the supply gives too little.

Examples:
  posewright wiring night-owl.yaml
  posewright wiring night-owl.yaml --report wiring.html     drawing, what to buy, a list to tick
  posewright wiring night-owl.yaml --trunk 3 --branch 0.8   longer cables`;

export function registerWiring(program: Command, io: Io, done: Done): void {
  program
    .command('wiring')
    .description('Says how to wire the rig: pins, cables, currents, wires, fuses, and what keeps it safe at power-up.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .option('--trunk <m>', 'length from the supply to the star point, in m', '1')
    .option('--branch <m>', 'length from the star point to each servo, in m', '0.5')
    .option('--stream <stream>', 'a pose stream (CSV) to move along; - for standard input')
    .option('--report <file.html>', 'write a page: drawing, what to buy, a list to tick before first power')
    .option('--force', 'overwrite a report that exists already')
    .option('--json', 'one JSON document: the whole answer')
    .addHelpText('after', HELP)
    .action(async (rig: string, options: Options) => {
      done(await wiring(rig, options, io));
    });
}

const LONGEST_M = 100;

function readLength(option: string, text: string): { m: number } | { problems: readonly Problem[] } {
  const m = text.trim() === '' ? 'is empty' : readNumber(text);
  if (typeof m === 'string') return { problems: [problemOf(option, m)] };
  if (m > 0 && m <= LONGEST_M) return { m };
  return { problems: [problemOf(option, `is ${text} m; allowed: above 0, up to ${String(LONGEST_M)} m`)] };
}

/** The lengths, or all that is wrong with the command itself. */
function readCommand(rigPath: string, options: Options) {
  const { stream, report } = options;
  const trunk = readLength('--trunk', options.trunk);
  const branch = readLength('--branch', options.branch);
  const inputs = [rigPath, ...(stream === undefined ? [] : [stream])];
  const refusal = report === undefined ? null : refusedPage(report, options.force === true, inputs);
  const problems = [
    ...sharedStdin([rigPath, stream], 'the rig and the stream'),
    ...[trunk, branch].flatMap((read) => ('problems' in read ? read.problems : [])),
    ...(report !== undefined && refusal !== null ? [problemOf(report, refusal)] : []),
  ];
  if ('problems' in trunk || 'problems' in branch || problems.length > 0) return { problems };
  return { lengths: { trunk_m: trunk.m, branch_m: branch.m } };
}

async function wiring(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const command = readCommand(path, options);
  if ('problems' in command) return refuse(io, json, command.problems);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  const read = options.stream === undefined ? null : await readStreamFile(options.stream, rig, io);
  if (read && read.source === null) return refuse(io, json, read.problems);
  const stored = read?.source ? await storeStream(read.source, rig) : null;
  countWarnings(io, path, problems);
  printProblems(io, io.stderr, read?.problems ?? []);
  const answer = wiringOf(rig, command.lengths, stored && { name: shownName(options.stream ?? ''), stored });
  if ('refused' in answer)
    return refuse(
      io,
      json,
      answer.refused.map((refused) => ({ ...problemOf(shownName(path), refused.message), path: refused.path })),
    );
  const { report = null } = options;
  const pages = report === null ? [] : [{ path: report, text: renderWiringReport(answer) }];
  const unwritten = writeAll(pages, options.force === true);
  if (unwritten) return refuse(io, json, [problemOf(unwritten.path, unwritten.fault)]);
  if (json) printJson(io, answer);
  else io.stdout.write(wiringWords(answer, { rig: shownName(path), report }, io));
  return answer.ok ? 0 : 1;
}

/** `posewright bringup`: first power, centres, limits and scales, one joint at a time, at a console or by words. */
import type { Command } from 'commander';
import { Bench } from '../../bringup/session/bench.ts';
import type { VerbOutcome, VerbWords } from '../../bringup/verb.ts';
import { parseVerb, runVerb } from '../../bringup/verbs.ts';
import { endWords } from '../../bringup/verbs/guard.ts';
import { TargetError } from '../../replay/conversation.ts';
import { SUBJECT, type Target, targetWords } from '../../replay/target.ts';
import { readRig } from '../../rig/read.ts';
import { capital } from '../../rig/words.ts';
import { readText, refusedInput } from '../files.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { filesBeside } from '../mesh-files.ts';
import { isError, misfitsOf } from '../misfits.ts';
import { type Problem, plainLines, printJson, problemOf, refuse } from '../output.ts';
import { refusedRigEdit } from '../rig-edit.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { isStdin, shownName } from '../stdin.ts';
import { TARGET_NAMES, targetFault, targetOf } from '../targets.ts';
import { consolePerson, terminalOf } from './console-person.ts';
import { helpWords, runConsole } from './console.ts';
import { rigFiles, withAnswers } from './rig-files.ts';
import { askingPerson, movesIt, wordsPerson } from './words-person.ts';

const HELP = `
Without --do it is a console: Escape settles the prop at any time, Space says that a joint binds.
With --do the verbs run one after another, and readings are given along, in the order in which they
are asked for: reading=2.5, or readings=FILE for many. On a real board you are asked before anything
moves, and for readings that were not given; settle and stop are done at once. A joint moves alone,
at 20 deg/s (10 mm/s) at most, while the other servos are limp; rouse and estimate move the whole
prop as slowly. Figures go into the rig file: the difference is shown first, comments stay, and the
old file is kept beside it.

--hands-clear moves a real prop without asking. You promise that, from start to end, nobody is
within its reach and somebody has a hand on its power switch; and that before each verb the joint is
at its rest, or its rods are off where the verb says so. Software is no safety device.

${helpWords()}

Exit codes: 0 done; 1 a verb ended early, and the prop settled, or the board was lost: its guard
then settles the prop by itself; 2 wrong words, and nothing moved.

Examples:
  posewright bringup night-owl.yaml --on serial:/dev/ttyACM0
  posewright bringup night-owl.yaml --on sim --do "walk lid binds=48" --do "jog lid 10"
  posewright bringup night-owl.yaml --on sim --do "centre leg1 --rods-off reading=0.1 reading=-0.1"
  posewright bringup night-owl.yaml --on sim --do "estimate table=night-owl.readings-1.csv"`;

const NOBODY_ASKED =
  'this moves a real prop, and standard input is no terminal at which somebody could be asked first: run it at one, or give --hands-clear, and keep what that promises (see --help)';

interface Options {
  readonly on?: string;
  readonly do?: readonly string[];
  readonly handsClear?: true;
  readonly json?: true;
}

export function registerBringup(program: Command, io: Io, done: Done): void {
  program
    .command('bringup')
    .description('Brings a prop up: centre, soft limits, scale, sense of each joint, then geometry, into the rig file.')
    .argument('<rig>', 'the rig file (YAML)')
    .option('--on <target>', `where the board is; one of ${TARGET_NAMES}; all but a real board are a rehearsal`)
    .option('--do <verb>', 'a verb with its words, may be given again', (word: string, all?: readonly string[]) => [
      ...(all ?? []),
      word,
    ])
    .option('--hands-clear', 'with --do on a real board: moves without asking; what you promise is below')
    .option('--json', 'one JSON document: {target, proven, verbs: [{verb, joint, before, after, written}]}; needs --do')
    .addHelpText('after', HELP)
    .action(async (path: string, options: Options) => {
      done(await bringup(path, options, io));
    });
}

/** All that is wrong before the rig is read. */
function faultsOf(path: string, options: Options, io: Io): Problem[] {
  const on = options.on === undefined ? `say where the board is: one of ${TARGET_NAMES}` : targetFault(options.on);
  const file = isStdin(path)
    ? 'figures are written into the rig: name a file'
    : (refusedInput(path) ?? refusedRigEdit(path));
  const isBare = options.do === undefined;
  return [
    ...(on === null ? [] : [problemOf('--on', on)]),
    ...(file === null ? [] : [problemOf(shownName(path), file)]),
    ...(isBare && options.handsClear ? [problemOf('--hands-clear', 'needs --do: a console always asks')] : []),
    ...(isBare && options.json ? [problemOf('--json', 'needs --do: a console has no document')] : []),
    ...(isBare && terminalOf(io) === null
      ? [problemOf('--do', 'standard input is no terminal, so say what to do: --do "walk leg1", one --do a verb')]
      : []),
  ];
}

async function bringup(path: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const faults = faultsOf(path, options, io);
  if (faults.length > 0) return refuse(io, json, faults);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  const read = (options.do ?? []).map((words) => ({ words, parsed: withAnswers(parseVerb(words, rig)) }));
  const wrong = read.flatMap(({ words, parsed }) =>
    'problem' in parsed ? [problemOf(`--do "${words}"`, parsed.problem)] : [],
  );
  if (wrong.length > 0) return refuse(io, json, wrong);
  countWarnings(io, path, problems);
  const verbs = read.flatMap(({ parsed }) => ('problem' in parsed ? [] : [parsed]));
  const text = await readText(path, io);
  if ('fault' in text) return refuse(io, json, [problemOf(shownName(path), text.fault)]);
  try {
    const target = await targetOf(options.on ?? '', io, rig.board);
    const isAsked = options.do !== undefined && target.proven === 'hardware' && options.handsClear !== true;
    if (isAsked && terminalOf(io) === null && verbs.some(movesIt))
      return refuse(io, json, [problemOf('--do', NOBODY_ASKED)]);
    return await new Run(path, target, json, io, isAsked).run(text.text, options.do ? verbs : null);
  } catch (error) {
    if (!(error instanceof TargetError)) throw error;
    return refuse(io, json, [problemOf('--on', error.message)]);
  }
}

class Run {
  private readonly path: string;
  private readonly target: Target;
  private readonly json: boolean;
  private readonly io: Io;
  /** Whether somebody at the terminal is asked before the words move anything. */
  private readonly isAsked: boolean;

  constructor(path: string, target: Target, json: boolean, io: Io, isAsked: boolean) {
    [this.path, this.target, this.json, this.io, this.isAsked] = [path, target, json, io, isAsked];
  }

  /** @param verbs null: a console. Rejects with TargetError where the target cannot be opened; then nothing has moved. */
  async run(text: string, verbs: readonly VerbWords[] | null): Promise<ExitCode> {
    const { target, io } = this;
    const files = rigFiles(this.path, (words) => {
      this.tell(words);
    });
    const bench = await Bench.open({
      target,
      text,
      files,
      keep: files.keep,
      named: filesBeside(this.path),
      inRealTime: verbs === null,
      misfit: (board) => this.misfit(board, text),
    });
    if (target.proven !== 'hardware')
      this.tell(
        `This is a rehearsal: ${targetWords(target)} is not a real board. Figures are written into the rig file all the same.`,
      );
    const outcomes: VerbOutcome[] = [];
    try {
      if (verbs) await this.byWords(bench, verbs, outcomes);
      else outcomes.push(...(await this.byConsole(bench)));
      await bench.close();
    } catch (error) {
      if (error instanceof TargetError) await bench.abandon();
      // A fault of this program: the prop is still there, and may be brought to its rest.
      else await bench.close().catch(() => bench.abandon());
      if (!(error instanceof TargetError)) throw error;
      return this.lost(error, outcomes);
    } finally {
      io.onInterrupt(null);
    }
    return this.tellEnd(bench, outcomes, verbs !== null);
  }

  private tell(words: string): void {
    (this.json ? this.io.stderr : this.io.stdout).write(`${plainLines(words)}\n`);
  }

  private misfit(board: number, text: string): string | null {
    const { target, path } = this;
    const { rig } = readRig(text, undefined, filesBeside(path));
    const wrong = rig ? misfitsOf(rig, board, shownName(path), SUBJECT[target.proven]).find(isError) : undefined;
    return wrong?.message ?? null;
  }

  /** One after another, until one ends early. */
  private async byWords(bench: Bench, verbs: readonly VerbWords[], outcomes: VerbOutcome[]): Promise<void> {
    const terminal = this.isAsked ? terminalOf(this.io) : null;
    const output = this.json ? process.stderr : process.stdout;
    const at = terminal && consolePerson(terminal, output, this.json ? this.io.stderr : this.io.stdout);
    const person = at
      ? askingPerson(at)
      : wordsPerson((words) => {
          this.tell(words);
        });
    this.io.onInterrupt(() => {
      person.settleNow();
    });
    try {
      for (const words of verbs) {
        const outcome = await runVerb(bench, person, words, () => person.begin(bench, words));
        outcomes.push(outcome);
        if (outcome.ended === null) continue;
        this.tell(`${capital(words.verb)} ended early: ${outcome.ended}.`);
        return;
      }
    } finally {
      at?.close();
    }
  }

  private async byConsole(bench: Bench): Promise<VerbOutcome[]> {
    const terminal = terminalOf(this.io);
    if (!terminal) throw new TargetError('standard input is no terminal');
    const person = consolePerson(terminal, process.stdout, this.io.stdout);
    // A signal is as if the terminal were gone: what moves ends, and the prop settles.
    this.io.onInterrupt(() => {
      person.close();
    });
    try {
      return await runConsole(bench, person);
    } finally {
      person.close();
    }
  }

  /** The target went away on the way. */
  private lost(error: TargetError, outcomes: readonly VerbOutcome[]): ExitCode {
    refuse(this.io, false, [problemOf('--on', error.message)]);
    if (this.json) printJson(this.io, { ...this.document(outcomes), problems: [problemOf('--on', error.message)] });
    return 1;
  }

  private tellEnd(bench: Bench, outcomes: readonly VerbOutcome[], byWords: boolean): ExitCode {
    this.tell(endWords(bench));
    if (this.json) printJson(this.io, this.document(outcomes));
    return byWords && outcomes.some(({ ended }) => ended !== null) ? 1 : 0;
  }

  private document(outcomes: readonly VerbOutcome[]): object {
    const { target } = this;
    const verbs = outcomes.map(({ verb, joint, before, after, written, ended, readings }) => ({
      ...{ verb, joint, before, after, written, ended },
      ...(readings === undefined ? {} : { readings }),
    }));
    return {
      ok: verbs.every(({ ended }) => ended === null),
      target: targetWords(target),
      proven: target.proven,
      verbs,
    };
  }
}

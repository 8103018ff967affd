/**
 * The command line as a function: arguments in, exit code out. What a command does stands in its own module; the list of
 * them is here.
 */
import { Command, CommanderError } from 'commander';
import about from '../../package.json' with { type: 'json' };
import { registerBuild } from './build/build.ts';
import { registerCheck } from './check/check.ts';
import type { Done, Io } from './io.ts';
import { plainLines, printJson, problemOf } from './output.ts';
import { registerFlash } from './flash/flash.ts';
import { registerLoad } from './load/load.ts';
import { registerReach } from './reach/reach.ts';
import { registerReplay } from './replay/replay.ts';
import { registerRetime } from './retime/retime.ts';
import { registerSend } from './send/send.ts';
import { registerSolve } from './solve/solve.ts';
import { registerTune } from './tune/tune.ts';
import { registerWhy } from './why/why.ts';

/** A command adds itself to the program, and calls `done` with its exit code when it has ended. */
export type Register = (program: Command, io: Io, done: Done) => void;

/** In the order of the work, which is the order of the help. */
const COMMANDS: readonly Register[] = [
  registerWhy,
  registerCheck,
  registerSolve,
  registerReach,
  registerLoad,
  registerReplay,
  registerTune,
  registerRetime,
  registerBuild,
  registerFlash,
  registerSend,
];

/** A fault in this program: neither the prop's nor the user's. */
const FAULT = 3;

const ABOUT = `Motion for character props on a six-servo platform.
Says before anything moves whether the prop can get there, and whether it will be smooth.`;

const AFTER = `
Every command takes --json (one document on standard output, nothing else) and --help, which shows an example.
A file named - is standard input. 
Exit code: 0 done and within limits; 1 done, and something is out of limits; 2 something is wrong with the rig, the stream
or the command, and nothing was done; 3 a fault in posewright: please send what it printed, with the rig and the stream.

Start with:
  posewright check night-owl.yaml
  posewright replay night-owl.yaml show.csv --report show.html`;

function build(io: Io, done: Done): Command {
  const program = new Command('posewright')
    .description(ABOUT)
    .exitOverride()
    .configureOutput({
      writeOut: (text) => io.stdout.write(text),
      // What is not known is told as it was typed: it must not steer the terminal.
      writeErr: (text) => io.stderr.write(plainLines(text)),
      getOutHelpWidth: () => io.stdout.columns ?? 100,
      getErrHelpWidth: () => io.stderr.columns ?? 100,
      getOutHasColors: () => false,
      getErrHasColors: () => false,
    })
    .showHelpAfterError('("--help" shows what the command takes, with an example)')
    .helpCommand('help [command]', 'what a command takes, with an example')
    .helpOption('-h, --help', 'this text')
    .version(about.version, '-V, --version', 'version of this program')
    .addHelpText('after', AFTER);
  for (const register of COMMANDS) register(program, io, done);
  return program;
}

/** Exit code of a command line that asks for help or is not right; the words are out already, the document is not. */
function usage({ exitCode, message }: CommanderError, argv: readonly string[], io: Io): 0 | 2 {
  if (exitCode === 0) return 0;
  if (argv.includes('--json'))
    printJson(io, { ok: false, problems: [problemOf('posewright', message.replace(/^error: /, ''))] });
  return 2;
}

/** The command that is asked for, or asked about. */
const commandOf = ([first, second]: readonly string[]): string | undefined => (first === 'help' ? second : first);

/** Runs one command line, without the program's own name. Resolves its exit code; prints, never exits, never throws. */
export async function runCli(argv: readonly string[], io: Io): Promise<number> {
  let code: number | null = null;
  try {
    const program = build(io, (ended) => (code = ended));
    const name = commandOf(argv);
    // Left to itself, the parser answers "loda --help" with the program's own help, as if all were well.
    const isKnown = name === 'help' || program.commands.some((command) => command.name() === name);
    if (name !== undefined && !name.startsWith('-') && !isKnown) await program.parseAsync([name], { from: 'user' });
    else await program.parseAsync([...argv], { from: 'user' });
    return code ?? 0;
  } catch (error) {
    if (error instanceof CommanderError) return usage(error, argv, io);
    const words = error instanceof Error ? (error.stack ?? error.message) : String(error);
    io.stderr.write(`posewright has a fault; this is not the rig's doing nor yours:\n${words}\n`);
    return FAULT;
  }
}

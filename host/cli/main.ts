/**
 * The command line as a function: arguments in, exit code out. What a command does stands in its own module; the list of
 * them is here.
 */
import { Command, CommanderError } from 'commander';
import about from '../../package.json' with { type: 'json' };
import type { Done, Io } from './io.ts';
import { plainLines, printJson, problemOf } from './output.ts';
import { OutputFault } from './standard.ts';

/** A command adds itself to the program, and calls `done` with its exit code when it has ended. */
export type Register = (program: Command, io: Io, done: Done) => void;

/** What the program's own help says of a command; the command's module is loaded when it is asked for, and not before. */
interface Listed {
  /** Its name, then its arguments. */
  readonly takes: string;
  readonly summary: string;
  load(): Promise<Register>;
}

/** In the order of the work, which is the order of the help. */
export const COMMANDS: readonly Listed[] = [
  {
    takes: 'new <folder>',
    summary: 'a folder for a prop of your own: rig file, first stream',
    load: async () => (await import('./new/new.ts')).registerNew,
  },
  {
    takes: 'why <rig> [stream]',
    summary: 'what is wrong, why, and how to fix it: start here',
    load: async () => (await import('./why/why.ts')).registerWhy,
  },
  {
    takes: 'check [rig]',
    summary: 'is the rig file right, and what it says',
    load: async () => (await import('./check/check.ts')).registerCheck,
  },
  {
    takes: 'draw <rig>',
    summary: 'what the numbers mean: a labelled drawing, and sheets to print at true size',
    load: async () => (await import('./draw/draw.ts')).registerDraw,
  },
  {
    takes: 'solve <rig>',
    summary: 'one pose: can it get there, what stops it, where each leg is',
    load: async () => (await import('./solve/solve.ts')).registerSolve,
  },
  {
    takes: 'reach <rig>',
    summary: 'before cutting: how far it travels and tilts, and what stops it',
    load: async () => (await import('./reach/reach.ts')).registerReach,
  },
  {
    takes: 'design',
    summary: 'before cutting: geometries and servos that do what the character must do',
    load: async () => (await import('./design/design.ts')).registerDesign,
  },
  {
    takes: 'load <rig>',
    summary: 'which servo does the weight need: torque, speed, heat, current',
    load: async () => (await import('./load/load.ts')).registerLoad,
  },
  {
    takes: 'servo <rig>',
    summary: 'which servo would do for each joint; or a gear, a counterweight, a spring',
    load: async () => (await import('./servo/servo.ts')).registerServo,
  },
  {
    takes: 'compare <rigs...>',
    summary: 'two to eight rigs side by side: what differs, and what that changes',
    load: async () => (await import('./compare/compare.ts')).registerCompare,
  },
  {
    takes: 'wiring <rig>',
    summary: 'pins, cables, wires and fuses, drawn, with what to buy',
    load: async () => (await import('./wiring/wiring.ts')).registerWiring,
  },
  {
    takes: 'replay <rig> <stream>',
    summary: 'play a stream: can it get there, will it be smooth',
    load: async () => (await import('./replay/replay.ts')).registerReplay,
  },
  {
    takes: 'stage <rig> [stream...]',
    summary: 'in a browser: see it, move it by hand, record, set it to sound',
    load: async () => (await import('./stage/stage.ts')).registerStage,
  },
  {
    takes: 'tune <rig>',
    summary: 'a joint jerks: limits its servo can keep',
    load: async () => (await import('./tune/tune.ts')).registerTune,
  },
  {
    takes: 'retime <rig> <stream>',
    summary: 'slow a stream where it asks for too much',
    load: async () => (await import('./retime/retime.ts')).registerRetime,
  },
  {
    takes: 'measure <rig> <what>',
    summary: 'workshop measurements: what readings say, into the rig',
    load: async () => (await import('./measure/measure.ts')).registerMeasure,
  },
  {
    takes: 'bringup <rig>',
    summary: 'first power, one joint at a time: centre, limits, scale, into the rig',
    load: async () => (await import('./bringup/bringup.ts')).registerBringup,
  },
  {
    takes: 'build [rig]',
    summary: "make a board's firmware",
    load: async () => (await import('./build/build.ts')).registerBuild,
  },
  {
    takes: 'flash <rig>',
    summary: 'put firmware and rig onto a board',
    load: async () => (await import('./flash/flash.ts')).registerFlash,
  },
  {
    takes: 'send <rig>',
    summary: 'give a running board a changed rig',
    load: async () => (await import('./send/send.ts')).registerSend,
  },
  {
    takes: 'shows',
    summary: 'shows from the board alone: packed into a night, sent, listed, run, stopped, removed',
    load: async () => (await import('./shows/shows.ts')).registerShows,
  },
  {
    takes: 'card <rig>',
    summary: 'the night card: what the light says, and what to do, on one sheet',
    load: async () => (await import('./card/card.ts')).registerCard,
  },
  {
    takes: 'log',
    summary: 'what the board has noted: trips, and the last two minutes',
    load: async () => (await import('./log/log.ts')).registerLog,
  },
];

const nameOf = ({ takes }: Listed): string => takes.replace(/ .*/, '');

/** A fault in this program: neither the prop's nor the user's. */
const FAULT = 3;

const FAULT_WORDS = `This is a fault of posewright, not of your rig, your stream or your command. Please report it: send the lines
below, the command as you typed it, and the files it read.`;

const ABOUT = `Motion for character props on a six-servo platform.
Says before anything moves whether the prop can get there, and whether it will be smooth.`;

const AFTER = `
Every command takes --json (one document on standard output, nothing else) and --help, which shows
an example.
A file named - is standard input.
Exit code: 0 done and within limits; 1 done, and something is out of limits; 2 something is wrong
with the rig, the stream or the command, and nothing was done; 3 a fault in posewright: please
send what it printed, with the rig and the stream.

Start with:
  posewright check night-owl.yaml
  posewright replay night-owl.yaml show.csv --report show.html`;

/** The program, with the command called `name` as it is and the others by name. */
async function build(name: string | undefined, io: Io, done: Done): Promise<Command> {
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
  for (const listed of COMMANDS) {
    if (nameOf(listed) === name) (await listed.load())(program, io, done);
    else program.command(listed.takes);
    program.commands.at(-1)?.summary(listed.summary);
  }
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

/** Says that the program has a fault, and what helps to find it. */
export function faultCode(error: unknown, { stderr }: Pick<Io, 'stderr'>): number {
  const words = error instanceof Error ? (error.stack ?? error.message) : String(error);
  stderr.write(
    `${FAULT_WORDS}\n\nposewright ${about.version}, Node ${process.version}, ${process.platform}\n${words}\n`,
  );
  return FAULT;
}

/** Runs one command line, without the program's own name. Resolves its exit code; prints, never exits, never throws. */
export async function runCli(argv: readonly string[], io: Io): Promise<number> {
  let code: number | null = null;
  try {
    const name = commandOf(argv);
    const program = await build(name, io, (ended) => (code = ended));
    // Left to itself, the parser answers "loda --help" with the program's own help, as if all were well.
    const isKnown = name === 'help' || program.commands.some((command) => command.name() === name);
    if (name !== undefined && !name.startsWith('-') && !isKnown) await program.parseAsync([name], { from: 'user' });
    else await program.parseAsync([...argv], { from: 'user' });
    return code ?? 0;
  } catch (error) {
    return codeOf(error, argv, io);
  }
}

/** As the one document; where standard output fails as well, the words on standard error must do. */
function printFault(error: unknown, io: Io): void {
  const message = `a fault of posewright: ${error instanceof Error ? error.message : String(error)}`;
  try {
    printJson(io, { ok: false, problems: [problemOf('posewright', message)] });
  } catch {
    return;
  }
}

function codeOf(error: unknown, argv: readonly string[], io: Io): number {
  try {
    if (error instanceof CommanderError) return usage(error, argv, io);
  } catch (deeper) {
    return codeOf(deeper, argv, io);
  }
  if (!(error instanceof OutputFault)) {
    if (argv.includes('--json')) printFault(error, io);
    return faultCode(error, io);
  }
  io.stderr.write(`standard output: ${error.message}\n`);
  return 2;
}

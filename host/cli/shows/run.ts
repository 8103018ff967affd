/** `posewright shows run`: one show, played by the board at once and watched from here until it is over. */
import type { Command } from 'commander';
import { imageFingerprint, packImage } from '../../controller/image.ts';
import { RESULT } from '../../controller/messages.ts';
import type { NightEntry } from '../../controller/night-messages.ts';
import { type Conversation, TargetError } from '../../replay/conversation.ts';
import type { Target } from '../../replay/target.ts';
import type { Rig } from '../../rig/rig.ts';
import { together } from '../../rig/words.ts';
import type { PackedShow } from '../../shows/night-file.ts';
import { readLog } from '../../shows/log.ts';
import { runShow } from '../../shows/run.ts';
import { listNight } from '../../shows/send.ts';
import { framesHeld, stillJoints } from '../../shows/still.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { type Made, controllerFor } from '../own-controller.ts';
import { type LogPage, titleOf, toldNow, writeLogPage } from '../log-page.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { refusedPage } from '../outputs.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';
import { SHOW_NAMES, isPort, showFault } from '../targets.ts';
import { limitFault } from '../show-limits.ts';
import { type NightInput, named, readNightFile } from './night-input.ts';
import { ON_WORDS, type Own, refusalWords, withBoard } from './refusals.ts';
import { type RunReport, noteStart, phaseWords, reasonsOf, runWords } from './run-words.ts';

interface Options {
  readonly on: string;
  readonly without?: string;
  readonly night?: string;
  readonly rig?: string;
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
The board warns for five seconds or more before anything moves, rouses slowly, plays the show, and
this command says what it does. Ctrl-C ends the show, and the prop goes to its rest.
--without plays it with joints held still at home, for a night when a servo has failed: the same show
is replayed here first with those joints held, in simulated servos and loads too, with the responses
in the rig's folder, and refused where that is out of limits. A board cannot give its frames back, so
--night and --rig name the files that it has them from. A leg cannot be held: all six carry the plate
together.
On sim, native and emulated:pico, which remember nothing, --night and --rig give it both first.
--report draws the board's log when it is over, the last two minutes of every joint too, as log does.
Exit codes: 0 it played to its end; 1 it ended early, did not start, or its page could not be written;
2 nothing was done.

Examples:
  posewright shows run dusk --on usb
  posewright shows run dusk --on usb --without lid --night night.pwshow --rig night-owl.yaml
  posewright shows run dusk --on sim --night night.pwshow --rig night-owl.yaml --report log.html`;

export function registerShowsRun(shows: Command, io: Io, done: Done): void {
  shows
    .command('run')
    .description('Starts one show of a board and watches it until it is over.')
    .argument('<show>', 'its name, or its number as "shows list" has it')
    .requiredOption('--on <target>', `${ON_WORDS}; one of ${SHOW_NAMES}`)
    .option('--without <joints>', 'hold these joints still at home, such as lid,ears')
    .option('--night <file.pwshow>', 'the night that the board has')
    .option('--rig <rig>', 'the rig file (YAML) of the prop')
    .option('--report <file.html>', 'write a page when it is over: table of events, plots of the last two minutes')
    .option('--force', 'overwrite a report that exists already')
    .option('--json', 'one JSON document: {target, proven, show, held, phases, whole, stopped, reasons}')
    .addHelpText('after', HELP)
    .action(async (show: string, options: Options) => {
      done(await run(show, options, io));
    });
}

/** The show as its files have it. */
interface Given {
  readonly rig: Rig;
  /** The controller of the rig, with its responses. */
  readonly made: Made;
  readonly night: NightInput;
  readonly show: PackedShow;
}

/** What is wrong with the options among themselves. */
function optionFaults({ on, without, night, rig, report, force }: Options): Problem[] {
  const problems: Problem[] = [];
  const place = showFault(on);
  if (place !== null) return [problemOf('--on', place)];
  const files = [night, rig].filter((path) => path !== undefined);
  const unwritable = report === undefined ? null : refusedPage(report, force === true, files);
  if (unwritable !== null) problems.push(problemOf(report ?? '', unwritable));
  const isWhole = night !== undefined && rig !== undefined;
  if (without !== undefined && !isWhole)
    problems.push(
      problemOf(
        '--without',
        'needs --night NIGHT.pwshow and --rig RIG: the show is checked without those joints first',
      ),
    );
  else if ((night === undefined) !== (rig === undefined))
    problems.push(problemOf(night === undefined ? '--rig' : '--night', 'give --night and --rig together, or neither'));
  else if (!isPort(on) && !isWhole)
    problems.push(
      problemOf('--on', `"${on}" keeps no night: give --night NIGHT.pwshow and --rig RIG, which it then plays`),
    );
  return problems;
}

/** Null where no files are named. */
async function readGiven(name: string, options: Options, io: Io): Promise<Given | null | readonly Problem[]> {
  if (options.night === undefined || options.rig === undefined) return null;
  const night = readNightFile(options.night);
  const { rig, problems } = await readRigFile(options.rig, io);
  const file = shownName(options.night);
  if (typeof night === 'string') return [problemOf(file, night), ...(rig ? [] : problems)];
  if (!rig) return problems;
  countWarnings(io, options.rig, problems);
  const show = named(night.shows, name);
  if (typeof show === 'string') return [problemOf(file, show)];
  if (night.fingerprint !== imageFingerprint(packImage(rig)))
    return [problemOf(file, `this night was packed for another rig than ${shownName(options.rig)}: pack it anew`)];
  const made = await controllerFor(options.rig, rig);
  return 'wasm' in made ? { rig, made, night, show } : made;
}

async function run(name: string, options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const faults = optionFaults(options);
  if (faults.length > 0) return refuse(io, json, faults);
  const given = await readGiven(name, options, io);
  if (given && !('rig' in given)) return refuse(io, json, given);
  const names = [...new Set(options.without?.split(',').map((one) => one.trim()))];
  const still = given ? stillJoints(given.rig, names) : 0;
  if (typeof still !== 'number')
    return refuse(
      io,
      json,
      still.map((words) => problemOf('--without', words)),
    );
  const beyond = given && still !== 0 ? await heldFault(given, still, io) : null;
  if (beyond !== null) return refuse(io, json, [problemOf('--without', beyond)]);
  const own = given && !isPort(options.on) ? ownOf(given, options) : null;
  const page = options.report === undefined ? null : { path: options.report, force: options.force === true };
  return withBoard(
    options.on,
    json,
    io,
    async (talk, target) => {
      const entry = await entryFor(name, given, talk, target);
      if (typeof entry === 'string') return refuse(io, json, [problemOf(name, entry)]);
      return watch({ talk, target, entry, still, names, page, rig: given?.rig ?? null }, json, io);
    },
    own,
  );
}

const ownOf = ({ rig, made, night }: Given, options: Options): Own => ({
  rig,
  file: shownName(options.rig ?? ''),
  made,
  night: night.bytes,
});

/**
 * Why the show cannot be played with these joints held; null: it can. Servos and loads count where the whole show is within what they
 * can do: packing does not ask for that.
 */
async function heldFault({ rig, made, show }: Given, still: number, io: Io): Promise<string | null> {
  const held = framesHeld(rig, show, still);
  const beyond = await limitFault(rig, made, held, show.name, io);
  if (beyond !== null) return `without them ${show.name} is out of limits. ${beyond}`;
  const short = await limitFault(rig, made, held, show.name, io, true);
  const all = framesHeld(rig, show, 0);
  if (short === null || (await limitFault(rig, made, all, show.name, io, true)) !== null) return null;
  return `without them ${show.name} is more than its servos can do. ${short}`;
}

/** The board's show of that name, or why it is not run, in words. */
async function entryFor(
  name: string,
  given: Given | null,
  talk: Conversation,
  target: Target,
): Promise<NightEntry | string> {
  const entries = await listNight(talk);
  if (typeof entries === 'number') return refusalWords(target, entries);
  const entry = named(entries, given?.show.name ?? name);
  if (typeof entry === 'string') return `the board ${entry}`;
  if (entry.removed) return 'this show was removed from the board: send the night again';
  if (given && (entry.fingerprint !== given.night.fingerprint || entry.frames !== given.show.frames))
    return 'the board has another show of that name than the night file: send it that night, or name the file it has';
  return entry;
}

interface Watch {
  readonly talk: Conversation;
  readonly target: Target;
  readonly entry: NightEntry;
  readonly still: number;
  readonly names: readonly string[];
  /** Where its log is drawn. */
  readonly page: Pick<LogPage, 'path' | 'force'> | null;
  /** For the names on it. */
  readonly rig: Rig | null;
}

async function watch(watched: Watch, json: boolean, io: Io): Promise<ExitCode> {
  const { talk, target, entry, still, names } = watched;
  const stop = new AbortController();
  // A prop that moves is brought to its rest first; a simulation just ends.
  if (target.proven !== 'simulation')
    io.onInterrupt(() => {
      stop.abort();
    });
  try {
    const mark = await noteStart(talk);
    const held = names.length > 0 ? ` without ${together(names)}` : '';
    if (!json) io.stdout.write(`${target.name} is asked for ${entry.name}${held}\n`);
    const ran = await runShow(talk, entry, still, {
      signal: stop.signal,
      phase: (state, at_s) => {
        if (!json) io.stdout.write(phaseWords(state, at_s, entry));
      },
    });
    if (typeof ran === 'number') return refuse(io, json, [problemOf('--on', refusedWords(target, ran))]);
    const { name, proven } = target;
    const reasons = await reasonsOf(talk, mark);
    const report: RunReport = { target: name, proven, show: entry.name, held: names, ...ran, reasons };
    if (json) printJson(io, report);
    else io.stdout.write(runWords(report));
    const undrawn = await pageFault(watched, io);
    if (undrawn) printProblems(io, io.stderr, [undrawn]);
    return ran.whole && !undrawn ? 0 : 1;
  } finally {
    io.onInterrupt(null);
  }
}

/** Draws the board's log, where that is wanted; or why it is not drawn. */
async function pageFault({ talk, target, page, rig }: Watch, io: Io): Promise<Problem | null> {
  if (!page) return null;
  try {
    const found = await readLog(talk, io.today?.());
    const unwritten = writeLogPage({ ...page, title: titleOf(rig, target.name) }, found, rig, toldNow(rig, io));
    return unwritten && problemOf(unwritten.path, unwritten.fault);
  } catch (error) {
    if (!(error instanceof TargetError)) throw error;
    return problemOf(page.path, error.message);
  }
}

const refusedWords = (target: Target, result: number): string =>
  result === RESULT.notNow
    ? `${target.name} cannot start it now: it is settling, or it is still checking the show’s bytes. Try again in a few seconds`
    : refusalWords(target, result);

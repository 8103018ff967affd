/** `posewright log`: what a board has noted of itself: what happened, and the last two minutes of every joint. */
import type { Command } from 'commander';
import { imageFingerprint, packImage } from '../../controller/image.ts';
import { slowed } from '../../controller/slowed.ts';
import { Conversation, TargetError } from '../../replay/conversation.ts';
import { type Target, targetWords } from '../../replay/target.ts';
import type { Rig } from '../../rig/rig.ts';
import { plainText } from '../../rig/plain-text.ts';
import { counted } from '../../rig/words.ts';
import { type Log, readLog } from '../../shows/log.ts';
import { MODELLED, type Told, eventLine, spell } from '../../shows/log-words.ts';
import { type Done, type ExitCode, type Io, coloursOf, widthOf } from '../io.ts';
import { type Problem, labelled, printJson, problemOf, refuse } from '../output.ts';
import { refusedPage } from '../outputs.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { isStdin } from '../stdin.ts';
import { PORT_NAMES, forgetfulFault, targetOf } from '../targets.ts';
import { titleOf, toldNow, writeLogPage } from '../log-page.ts';

interface Options {
  readonly on: string;
  readonly rig?: string;
  readonly report?: string;
  readonly force?: true;
  readonly json?: true;
}

const HELP = `
Nothing moves. The board is told what time it is, so that what it notes from now on, until its power
goes, has a time of day; what happened before is told by how long after power it was.
With --rig joints have their names, and places their units; it must be the rig that the board runs.
The board keeps the last ten trips, and more of what happened, in flash; the running record is in
its memory, and gone with the power.
Without a board: "posewright shows run SHOW --on sim --night NIGHT.pwshow --rig RIG --report log.html"
draws the same page of a show that is played there.
Exit code 1: a trip has been noted since the last power-on.

Examples:
  posewright log --on usb
  posewright log --on usb --rig night-owl.yaml --report log.html`;

export function registerLog(program: Command, io: Io, done: Done): void {
  program
    .command('log')
    .description('Reads what a board has noted: trips, starts and stops, and the last two minutes of every joint.')
    .requiredOption('--on <target>', `where the board is, such as usb; one of ${PORT_NAMES}`)
    .option('--rig <rig>', 'the rig file (YAML) of the prop: for names and units')
    .option('--report <file.html>', 'write a page: table of events, plots of the last two minutes')
    .option('--force', 'overwrite a report that exists already')
    .option('--json', 'one JSON document: {target, proven, uptime_s, boots, wear, torn, events, records}')
    .addHelpText('after', HELP)
    .action(async (options: Options) => {
      done(await log(options, io));
    });
}

function faultsOf({ on, report, rig, force }: Options): Problem[] {
  const place = forgetfulFault(on);
  const file = report === undefined ? null : refusedPage(report, force === true, rig === undefined ? [] : [rig]);
  return [
    ...(place === null ? [] : [problemOf('--on', place)]),
    ...(file === null ? [] : [problemOf(report ?? '', file)]),
  ];
}

async function log(options: Options, io: Io): Promise<ExitCode> {
  const json = options.json === true;
  const faults = faultsOf(options);
  if (faults.length > 0) return refuse(io, json, faults);
  const read = options.rig === undefined ? null : await readRigFile(options.rig, io);
  if (read && !read.rig) return refuse(io, json, read.problems);
  const rig = read?.rig ?? null;
  if (read && options.rig !== undefined) countWarnings(io, options.rig, read.problems);
  try {
    const target = await targetOf(options.on, io, rig?.board);
    const found = await readFrom(target, io);
    if (rig && !isOf(rig, found))
      return refuse(io, json, [
        problemOf(
          '--rig',
          'the board runs another rig, so its joints have other names and limits: leave --rig out, or give the rig that was sent to it',
        ),
      ]);
    return answer(options, { target, found, rig }, io);
  } catch (error) {
    if (!(error instanceof TargetError)) throw error;
    return refuse(io, json, [problemOf('--on', error.message)]);
  }
}

/** As it was sent, or as it is sent to a real board. */
const isOf = (rig: Rig, { fingerprint }: Log): boolean =>
  [rig, slowed(rig)].some((one) => imageFingerprint(packImage(one)) === fingerprint);

async function readFrom(target: Target, io: Io): Promise<Log> {
  const talk = await Conversation.open(target, { telemetry: () => undefined });
  try {
    return await readLog(talk, io.today?.());
  } finally {
    await talk.session.close();
  }
}

interface Found {
  readonly target: Target;
  readonly found: Log;
  readonly rig: Rig | null;
}

function answer(options: Options, { target, found, rig }: Found, io: Io): ExitCode {
  const told = toldNow(rig, io);
  const title = titleOf(rig, target.name);
  const { report, force } = options;
  const page = report === undefined ? null : { path: report, force: force === true, title };
  const unwritten = page && writeLogPage(page, found, rig, told);
  if (unwritten) return refuse(io, options.json === true, [problemOf(unwritten.path, unwritten.fault)]);
  if (options.json === true) printJson(io, documentOf(target, found, told));
  else io.stdout.write(words(title, found, told, report, io));
  return found.events.some(({ kind, boots }) => kind === 'trip' && boots === found.boots) ? 1 : 0;
}

function documentOf(target: Target, found: Log, told: Told): unknown {
  return {
    target: targetWords(target),
    proven: target.proven,
    uptime_s: found.uptime_s,
    boots: found.boots,
    wear: found.wear,
    torn: found.torn,
    joints: told.names,
    modelled: MODELLED,
    events: found.events.map((event) => ({ ...event, words: eventLine(event, found, told) })),
    records: found.records,
  };
}

/** At most so many lines: the page has all. */
const LINES = 30;

function words(title: string, found: Log, told: Told, report: string | undefined, io: Io): string {
  const lines = found.events.slice(-LINES).map((event) => eventLine(event, found, told));
  const rows = lines.map(({ when, what }): readonly [string, string] => [when, plainText(what)]);
  const more = found.events.length - lines.length;
  const head = `${plainText(title)}: on for ${spell(found.uptime_s)}, power-on ${String(found.boots)}`;
  const last = found.records.at(-1);
  const kept = `${counted(found.records.length, 'record')} of the last motion in memory${last ? `, the newest ${spell(found.uptime_s - last.at_s)} old` : ''}`;
  const torn = found.torn > 0 ? `\n${counted(found.torn, 'place')} of the log cannot be read` : '';
  const where =
    report === undefined ? '"--report log.html" draws it' : `${plainText(isStdin(report) ? '' : report)} draws it`;
  return `${coloursOf(io, io.stdout).bold(head)}\n\n${rows.length === 0 ? 'nothing is noted' : labelled(rows, widthOf(io.stdout))}\n
${more > 0 ? `${String(more)} older ones are left out here\n` : ''}${kept}; ${where}
the log’s flash has been erased ${counted(found.wear, 'time')}${torn}\n`;
}

/** `posewright shows list`: what a board has of nights. */
import type { Command } from 'commander';
import type { NightEntry } from '../../controller/night-messages.ts';
import { listNight } from '../../shows/send.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { printJson, problemOf, refuse, table } from '../output.ts';
import { PORT_NAMES } from '../targets.ts';
import { ON_WORDS, refusalWords, withBoard } from './refusals.ts';

const HELP = `
The board checks every show's bytes after it has started, which takes seconds: until then a show is
"not checked yet".
Exit codes: 0 all shows are whole; 1 one is damaged; 2 there is no night for the rig that it has.

Example:
  posewright shows list --on usb`;

export function registerShowsList(shows: Command, io: Io, done: Done): void {
  shows
    .command('list')
    .description('Says which shows a board has stored, and whether they are whole.')
    .requiredOption('--on <target>', `${ON_WORDS}; one of ${PORT_NAMES}`)
    .option('--json', 'one JSON document: {target, proven, night, sequence, shows}')
    .addHelpText('after', HELP)
    .action(async (options: { on: string; json?: true }) => {
      done(await list(options.on, options.json === true, io));
    });
}

const FRAMES_IN_A_SECOND = 50;

/** What has become of a show. */
function conditionOf({ removed, damaged, checked }: NightEntry): string {
  if (removed) return 'removed';
  if (damaged) return 'damaged: send the night again';
  return checked ? 'whole' : 'not checked yet';
}

const list = (on: string, json: boolean, io: Io): Promise<ExitCode> =>
  withBoard(on, json, io, async (talk, target) => {
    const entries = await listNight(talk);
    if (typeof entries === 'number') return refuse(io, json, [problemOf('--on', refusalWords(target, entries))]);
    const rows = entries.map((entry) => ({
      show: entry.k + 1,
      name: entry.name,
      length_s: entry.frames / FRAMES_IN_A_SECOND,
      condition: conditionOf(entry),
    }));
    const [first] = entries;
    const { name, proven } = target;
    const night = first?.night ?? 'none';
    if (json) printJson(io, { target: name, proven, night, sequence: first?.sequence ?? null, shows: rows });
    else {
      const heads = [
        { head: 'show' },
        { head: 'name', align: 'left' as const },
        { head: 'length, s' },
        { head: 'condition', align: 'left' as const },
      ];
      const cells = rows.map((row) => [String(row.show), row.name, row.length_s.toFixed(1), row.condition]);
      io.stdout.write(`${table(heads, cells)}\n`);
    }
    return entries.some(({ damaged, removed }) => damaged && !removed) ? 1 : 0;
  });

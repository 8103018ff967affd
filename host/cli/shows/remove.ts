/** `posewright shows remove`: takes one show out of a board's night, and leaves the others. */
import type { Command } from 'commander';
import { RESULT } from '../../controller/messages.ts';
import { listNight, removeShow } from '../../shows/send.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { printJson, problemOf, refuse } from '../output.ts';
import { PORT_NAMES } from '../targets.ts';
import { named } from './night-input.ts';
import { ON_WORDS, refusalWords, withBoard } from './refusals.ts';

const HELP = `
The show is never played again, also after the power was off; its room comes free with the next night
that is sent. To have it back, send the night again.
Exit codes: 0 it is removed; 2 nothing was changed.

Example:
  posewright shows remove dusk --on usb`;

export function registerShowsRemove(shows: Command, io: Io, done: Done): void {
  shows
    .command('remove')
    .description("Takes a show out of a board's night; the others stay.")
    .argument('<show>', 'its name, or its number as "shows list" has it')
    .requiredOption('--on <target>', `${ON_WORDS}; one of ${PORT_NAMES}`)
    .option('--json', 'one JSON document: {target, proven, show, name}')
    .addHelpText('after', HELP)
    .action(async (show: string, options: { on: string; json?: true }) => {
      done(await remove(show, options.on, options.json === true, io));
    });
}

const remove = (show: string, on: string, json: boolean, io: Io): Promise<ExitCode> =>
  withBoard(on, json, io, async (talk, target) => {
    const refused = (result: number): ExitCode => refuse(io, json, [problemOf('--on', refusalWords(target, result))]);
    const entries = await listNight(talk);
    if (typeof entries === 'number') return refused(entries);
    const entry = named(entries, show);
    if (typeof entry === 'string') return refuse(io, json, [problemOf(show, `the board ${entry}`)]);
    const result = await removeShow(talk, entry.k);
    if (result !== RESULT.done) return refused(result);
    const { name, proven } = target;
    if (json) printJson(io, { target: name, proven, show: entry.k + 1, name: entry.name });
    else io.stdout.write(`${name} will not play ${entry.name} any more\n`);
    return 0;
  });

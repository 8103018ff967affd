/** `posewright shows stop`: ends what a board plays, and waits until the prop rests. */
import type { Command } from 'commander';
import { RESULT } from '../../controller/messages.ts';
import { stopShow, untilRest } from '../../shows/run.ts';
import { entryOf } from '../../shows/send.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { printJson, problemOf, refuse } from '../output.ts';
import { PORT_NAMES } from '../targets.ts';
import { ON_WORDS, refusalWords, withBoard } from './refusals.ts';

const HELP = `
The prop goes to its rest within its limits. After that nothing starts by itself until someone holds
the button for three seconds at rest, or runs a show. It goes through software and is no safety
device: in an emergency cut the power.
Exit codes: 0 the prop rests; 2 there was nothing to stop, or no board.

Example:
  posewright shows stop --on usb`;

export function registerShowsStop(shows: Command, io: Io, done: Done): void {
  shows
    .command('stop')
    .description('Ends the show that a board plays, or the one that is about to start; the prop goes to its rest.')
    .requiredOption('--on <target>', `${ON_WORDS}; one of ${PORT_NAMES}`)
    .option('--json', 'one JSON document: {target, proven, night}')
    .addHelpText('after', HELP)
    .action(async (options: { on: string; json?: true }) => {
      done(await stop(options.on, options.json === true, io));
    });
}

const stop = (on: string, json: boolean, io: Io): Promise<ExitCode> =>
  withBoard(on, json, io, async (talk, target) => {
    const now = await entryOf(talk, 0);
    const result = typeof now === 'number' ? now : await stopShow(talk);
    if (result === RESULT.notNow)
      return refuse(io, json, [problemOf('--on', `${target.name} plays nothing: its prop rests`)]);
    const night = result === RESULT.done ? await untilRest(talk) : result;
    if (typeof night === 'number') return refuse(io, json, [problemOf('--on', refusalWords(target, night))]);
    const { name, proven } = target;
    if (json) printJson(io, { target: name, proven, night });
    else
      io.stdout.write(
        `stopped: the prop has settled. Nothing starts by itself until its button has been held for three seconds\n`,
      );
    return 0;
  });

/** `posewright shows send`: a night into a board's flash. */
import type { Command } from 'commander';
import { RESULT } from '../../controller/messages.ts';
import { sendNight } from '../../shows/send.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { printJson, problemOf, refuse } from '../output.ts';
import { startProgress } from '../progress.ts';
import { PORT_NAMES } from '../targets.ts';
import { readNightFile } from './night-input.ts';
import { ON_WORDS, refusalWords, withBoard } from './refusals.ts';

const HELP = `
The board takes a night only while it is limp (no pulses to the servos), and only for the rig that it
has. Until the last byte is stored the night before stays in force; after that, the new one is. If
the power goes in between, the old one is still there.
Exit codes: 0 the board has the night; 2 it does not, and has what it had before.

Example:
  posewright shows send night.pwshow --on usb`;

export function registerShowsSend(shows: Command, io: Io, done: Done): void {
  shows
    .command('send')
    .description('Stores a night of shows in a board, which then plays it without a computer.')
    .argument('<night>', 'the night (.pwshow)')
    .requiredOption('--on <target>', `${ON_WORDS}; one of ${PORT_NAMES}`)
    .option('--json', 'one JSON document: {target, proven, bytes, fingerprint, shows}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: { on: string; json?: true }) => {
      done(await send(path, options.on, options.json === true, io));
    });
}

async function send(path: string, on: string, json: boolean, io: Io): Promise<ExitCode> {
  const night = readNightFile(path);
  if (typeof night === 'string') return refuse(io, json, [problemOf(path, night)]);
  const { bytes } = night;
  const names = night.shows.map(({ name }) => name);
  return withBoard(on, json, io, async (talk, target) => {
    const bar = startProgress(io, 'sending', bytes.length / 1024, 'KiB');
    const result = await sendNight(talk, bytes, (share) => {
      bar.update((share * bytes.length) / 1024);
    }).finally(() => {
      bar.stop();
    });
    if (result !== RESULT.done) return refuse(io, json, [problemOf('--on', refusalWords(target, result))]);
    const fingerprint = night.fingerprint.toString(16).padStart(8, '0');
    const { name, proven } = target;
    if (json) printJson(io, { target: name, proven, bytes: bytes.length, fingerprint, shows: names });
    else io.stdout.write(`${name} has the night: ${names.join(', ')} (${(bytes.length / 1024).toFixed(1)} KiB)\n`);
    return 0;
  });
}

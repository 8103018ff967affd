/** `posewright send`: a new rig image for a board that runs, without flashing it. */
import type { Command } from 'commander';
import { imageFingerprint, packImage } from '../../controller/image.ts';
import { slowWords, slowed } from '../../controller/slowed.ts';
import { Conversation, TargetError } from '../../replay/conversation.ts';
import { SUBJECT, type Target, targetWords } from '../../replay/target.ts';
import type { Rig } from '../../rig/rig.ts';
import type { Done, ExitCode, Io } from '../io.ts';
import { isError, misfitsAt } from '../misfits.ts';
import { type Problem, printJson, printProblems, problemOf, refuse } from '../output.ts';
import { countWarnings, readRigFile } from '../rig-input.ts';
import { shownName } from '../stdin.ts';
import { controllerFor } from '../own-controller.ts';
import { LINK_NAMES, isPort, playWords, targetFault, targetOf } from '../targets.ts';

const HELP = `
The board accepts a rig only while it is limp (no pulses to the servos), and only as a whole. It
keeps the rig when the power goes, and says so if it could not store it. As before flashing, it is
checked that the rig is for this board and that the board has the pins.
native and an emulated board take it and forget it with the command: they only show that it is taken.
Exit codes: 0 the board has the rig; 1 it runs the rig but could not store it; 2 it still has the
rig it had before.

Example:
  posewright send night-owl.yaml --on usb`;

export function registerSend(program: Command, io: Io, done: Done): void {
  program
    .command('send')
    .description('Sends the rig to a board over its link, to change its settings without flashing.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .requiredOption('--on <target>', `where the board is, such as usb; one of ${LINK_NAMES}`)
    .option('--json', 'one JSON document: {target, proven, bytes, fingerprint, stored}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: { on: string; json?: true }) => {
      done(await send(path, options.on, options.json === true, io));
    });
}

/** What is wrong with sending there at all, in words; null: nothing. */
const placeFault = (on: string): string | null =>
  on === 'sim'
    ? '"sim" stores nothing, so there is nothing to send: replay and the other commands give it the rig themselves. A real board is at usb, or at serial:PATH'
    : targetFault(on);

async function send(path: string, on: string, json: boolean, io: Io): Promise<ExitCode> {
  const fault = placeFault(on);
  if (fault !== null) return refuse(io, json, [problemOf('--on', fault)]);
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  countWarnings(io, path, problems);
  const made = await controllerFor(path, rig);
  if (!('wasm' in made)) return refuse(io, json, made);
  try {
    const sent = await sendTo(await targetOf(on, io, rig.board, undefined, made), rig, shownName(path));
    const faults = sent.problems;
    if (faults.some(isError)) return refuse(io, json, faults);
    printProblems(io, io.stderr, faults);
    if (json) printJson(io, sent.document);
    else io.stdout.write(sentWords(rig, sent));
    return sent.document.stored ? 0 : 1;
  } catch (error) {
    if (!(error instanceof TargetError)) throw error;
    return refuse(io, json, [problemOf('--on', error.message)]);
  }
}

interface Sent {
  readonly target: Target;
  /** With an error nothing was sent. */
  readonly problems: readonly Problem[];
  readonly document: {
    readonly target: string;
    readonly proven: Target['proven'];
    readonly bytes: number;
    readonly fingerprint: string;
    /** It is in the board's flash too. */
    readonly stored: boolean;
  };
}

/** Asks who is there, checks that the rig is for it, and sends it. Throws TargetError. */
async function sendTo(target: Target, rig: Rig, file: string): Promise<Sent> {
  const talk = await Conversation.open(target, { telemetry: () => undefined });
  try {
    // What is no real board forgets the rig with this command: nothing is moved by it.
    const image = packImage(target.proven === 'hardware' ? slowed(rig) : rig);
    const problems = misfitsAt(rig, (await talk.who()).board, file, target);
    const stored = !problems.some(isError) && (await talk.store(image));
    const fingerprint = imageFingerprint(image).toString(16).padStart(8, '0');
    const { proven } = target;
    return {
      target,
      problems,
      document: { target: targetWords(target), proven, bytes: image.length, fingerprint, stored },
    };
  } finally {
    await talk.session.close();
  }
}

/** What became of it, in a sentence or two with its line end. */
function sentWords(rig: Rig, { target, document }: Sent): string {
  const { bytes, fingerprint, stored } = document;
  const what = `the rig ${rig.name} (${String(bytes)} bytes, fingerprint ${fingerprint})`;
  const who = `${SUBJECT[target.proven]} (${target.name})`;
  const slow = target.proven === 'hardware' ? slowWords(rig) : null;
  const pace = slow === null ? '' : `; ${slow}`;
  const passing = !isPort(target.name);
  const end = passing
    ? `. This was not a real board: it has forgotten the rig with the end of this command. ${playWords(target.name)}`
    : '';
  if (stored) return `${who} has ${what}${pace}${end}\n`;
  const why = target.name === 'emulated:f405' ? ': QEMU does not emulate this chip’s flash' : '';
  const lost =
    ': when the power goes it returns to the previous rig. Send it again; if that fails too, the flash is worn out';
  return `${who} runs ${what}${pace}, but its flash did NOT store it${why}${passing ? end : lost}\n`;
}

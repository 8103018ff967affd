/** `posewright send`: a new rig image for a board that runs, without flashing it. */
import type { Command } from 'commander';
import { imageFingerprint, packImage } from '../controller/image.ts';
import { Conversation, TargetError } from '../replay/conversation.ts';
import type { Done, ExitCode, Io } from './io.ts';
import { printJson, problemOf, refuse } from './output.ts';
import { readRigFile } from './rig-input.ts';
import { targetOf } from './targets.ts';

const HELP = `
The board takes a rig only while it is limp, and only whole. It keeps it over a loss of power.

Example:
  posewright send night-owl.yaml --on serial:/dev/ttyACM0`;

export function registerSend(program: Command, io: Io, done: Done): void {
  program
    .command('send')
    .summary('give a running board a changed rig')
    .description('Sends the rig to a board over its link: retunes it without flashing.')
    .argument('<rig>', 'the rig file (YAML); - for standard input')
    .requiredOption('--on <target>', 'where the board is, such as serial:/dev/ttyACM0')
    .option('--json', 'one JSON document: {target, bytes, fingerprint}')
    .addHelpText('after', HELP)
    .action(async (path: string, options: { on: string; json?: true }) => {
      done(await send(path, options.on, options.json === true, io));
    });
}

async function send(path: string, on: string, json: boolean, io: Io): Promise<ExitCode> {
  const { rig, problems } = await readRigFile(path, io);
  if (!rig) return refuse(io, json, problems);
  try {
    const target = await targetOf(on, io);
    const talk = await Conversation.open(target, { telemetry: () => undefined });
    const image = packImage(rig);
    try {
      await talk.load(image);
    } finally {
      await talk.session.close();
    }
    const fingerprint = imageFingerprint(image).toString(16).padStart(8, '0');
    if (json) printJson(io, { target: target.name, bytes: image.length, fingerprint });
    else
      io.stdout.write(
        `${target.name} has the rig ${rig.name} (${String(image.length)} bytes, fingerprint ${fingerprint})\n`,
      );
    return 0;
  } catch (error) {
    if (!(error instanceof TargetError)) throw error;
    return refuse(io, json, [problemOf('--on', error.message)]);
  }
}

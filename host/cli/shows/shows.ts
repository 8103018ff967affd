/** `posewright shows`: shows that a board plays by itself. One line for each of its parts. */
import type { Command } from 'commander';
import type { Done, Io } from '../io.ts';
import { registerShowsList } from './list.ts';
import { registerPack } from './pack.ts';
import { registerShowsRemove } from './remove.ts';
import { registerShowsRun } from './run.ts';
import { registerShowsSend } from './send.ts';
import { registerShowsStop } from './stop.ts';

/** In the order of the work, which is the order of the help. */
const PARTS: readonly ((shows: Command, io: Io, done: Done) => void)[] = [
  registerPack,
  registerShowsSend,
  registerShowsList,
  registerShowsRun,
  registerShowsStop,
  registerShowsRemove,
];

const HELP = `
Example:
  posewright shows pack night-owl.yaml dusk.csv startle.csv -o night.pwshow
  posewright shows send night.pwshow --on usb
  posewright shows run dusk --on usb`;

export function registerShows(program: Command, io: Io, done: Done): void {
  const shows = program
    .command('shows')
    .description('Shows that a board plays by itself, without a computer: packed and checked here, kept in its flash.')
    .addHelpText('after', HELP);
  for (const register of PARTS) register(shows, io, done);
}

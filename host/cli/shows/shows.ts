/** `posewright shows`: nights of shows on a board that plays them alone. Each of its verbs is a module beside this one. */
import type { Command } from 'commander';
import type { Done, Io } from '../io.ts';
import { registerShowsList } from './list.ts';
import { registerShowsRemove } from './remove.ts';
import { registerShowsSend } from './send.ts';

export function registerShows(program: Command, io: Io, done: Done): void {
  const shows = program.command('shows').description('Nights of shows that a board plays alone, without a computer.');
  for (const register of [registerShowsSend, registerShowsList, registerShowsRemove]) register(shows, io, done);
}

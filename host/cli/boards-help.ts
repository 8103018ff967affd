/** What `build` and `flash` both say: of boards in their help, and of what went wrong. */
import { type BoardFile, FirmwareError, boardNames, readBoard } from '../firmware/compile.ts';
import { firmwarePlaces } from './assets.ts';
import { faultWords } from './faults.ts';
import { type Problem, problemOf } from './output.ts';

/** Names of the boards that `fits` takes, for a help text. */
export function boardsHelp(fits: (board: BoardFile) => boolean): string {
  const { boards } = firmwarePlaces();
  return boardNames(boards)
    .filter((name) => fits(readBoard(boards, name)))
    .join(', ');
}

/** That there is no board of this name; none: there is. */
export function boardFault(name: string): Problem[] {
  const names = boardsHelp(() => true);
  return names.split(', ').includes(name)
    ? []
    : [problemOf('--board', `there is no board '${name}': there are ${names}`)];
}

/** That neither the command nor the rig names a board. */
export const noBoard = (rig: string): Problem =>
  problemOf(
    '--board',
    `which board is not known, since ${rig} has no board; allowed: ${boardsHelp(() => true)}, or board: { kind: … } in the rig file`,
  );

/** What went wrong with a board's firmware, in words; anything but the user's machine and files is a bug and is thrown on. */
export function firmwareFault(error: unknown): string {
  if (error instanceof FirmwareError) return error.message;
  const path = error instanceof Error && 'path' in error ? `${String(error.path)}: ` : '';
  return `${path}${faultWords(error)}`;
}

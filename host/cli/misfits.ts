/** Whether a rig is for a board: what `flash` and `send` ask before anything is written. */
import { boardFaults, boardLacks, kindOf } from '../rig/boards.ts';
import { SUBJECT, type Target } from '../replay/target.ts';
import type { Rig } from '../rig/rig.ts';
import { type Problem, problemOf } from './output.ts';

/**
 * Why a rig is not for a board of this kind (errors): its own word, or pins that would silently do nothing; and what the board
 * cannot do for it (warnings), unless the rig names its board and `check` has said so. `what` is the board in words.
 */
export function misfits(rig: Rig, kind: string, file: string, what: string): Problem[] {
  const named = rig.board?.kind ?? kind;
  const other = `board.kind: the rig is for ${named}, and this is ${what}; if the prop has another board now, change board.kind. Nothing was written`;
  if (named !== kind) return [problemOf(file, other)];
  const problems = (faults: ReturnType<typeof boardFaults>, severity: Problem['severity']): Problem[] =>
    faults.map(({ path, message }) => ({ ...problemOf(file, message), path: path.join('.'), severity }));
  return [
    ...problems(boardFaults(rig, kind), 'error'),
    ...(rig.board ? [] : problems(boardLacks(rig, kind), 'warning')),
  ];
}

/** The same for what answers on a link with this number of its kind: one that is not known here cannot be judged, which is a warning. */
export function misfitsOf(rig: Rig, number: number, file: string, subject: string): Problem[] {
  const kind = kindOf(number);
  if (kind !== null) return misfits(rig, kind, file, `${subject}, a ${kind}`);
  const words = `${subject} is of an unknown kind (${String(number)}): whether it has the pins of this rig was not checked`;
  return [{ ...problemOf(file, words), severity: 'warning' }];
}

/** The same for a target: the simulation is of no kind, and on `native` a rig for any board may be tried, with a warning. */
export function misfitsAt(rig: Rig, number: number, file: string, target: Target): Problem[] {
  if (target.proven === 'simulation') return [];
  const named = rig.board?.kind ?? 'native';
  if (target.name !== 'native' || named === 'native') return misfitsOf(rig, number, file, SUBJECT[target.proven]);
  const words = `the rig is for ${named}, and native is a program on this computer: a trial of the rig, and none of that board’s pins and clock`;
  return [{ ...problemOf(file, words), path: 'board.kind', severity: 'warning' }];
}

export const isError = ({ severity }: Problem): boolean => severity === 'error';

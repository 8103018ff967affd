/** Standard input, which commands take in the place of a file that is named '-': it can be read once, for one file. */
import { plainText } from '../rig/plain-text.ts';
import { type Problem, problemOf } from './output.ts';

export const isStdin = (path: string | undefined): boolean => path === '-';

/** A file's name as it is printed. */
export const shownName = (path: string): string => (isStdin(path) ? 'standard input' : plainText(path));

/** Says when more than one of a command's files is to come from standard input; `what` names them, as in "the rig and the stream". */
export const sharedStdin = (paths: readonly (string | undefined)[], what: string): Problem[] =>
  paths.filter(isStdin).length > 1 ? [problemOf('-', `only one of ${what} can come from standard input`)] : [];

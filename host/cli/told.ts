/** An answer in a word, as every command prints it: bold and coloured, "unknown" where a figure is missing, "nothing moves" where nothing does. */
import { type Told, toldWords } from '../replay/verdict.ts';
import { type Io, coloursOf } from './io.ts';

export function toldIn(word: Told, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const paint = {
    yes: colours.green,
    mostly: colours.yellow,
    no: colours.red,
    unknown: colours.yellow,
    still: colours.green,
  };
  return colours.bold(paint[word](toldWords(word)));
}

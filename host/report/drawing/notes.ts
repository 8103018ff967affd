/**
 * Notes beside a picture: each in one of two columns, with a line to the place it speaks of. No two overlap, however many
 * there are: the picture grows taller instead. Positions in px, y down.
 */
import { markup } from '../draw/markup.ts';
import type { Markup } from '../draw/markup.ts';
import type { Point } from '../draw/silhouette.ts';
import { type Anchor, label, path, px } from '../draw/svg.ts';

/** Words, and the place in the picture that they speak of. */
export interface Note {
  readonly words: string;
  readonly at: Point;
}

/** A note in its column: its lines, the top of the first and the edge they stand at. */
export interface PlacedNote {
  readonly lines: readonly string[];
  readonly at: Point;
  readonly x: number;
  readonly y: number;
  readonly anchor: Anchor;
}

/** Across the whole drawing; what is between the columns is the picture's. */
export const WIDTH = 900;
export const COLUMN = 226;
const EDGE = 20;
export const SIZE = 13;
export const LINE = 17;
const GAP = 9;

/** A generous width of text, in its own size: wider than the sans-serif faces of reports set it. */
export function widthOfText(text: string, size: number): number {
  const em = Array.from(text, (c) => {
    if (/[il.,:;'|!()[\] \u00a0]/.test(c)) return 0.4;
    if (/[mwMW@%]/.test(c)) return 1;
    return /[A-Z\u2212+=]/.test(c) ? 0.8 : c < '\u0250' ? 0.65 : 1.1;
  });
  return size * em.reduce((sum, width) => sum + width, 0);
}

/** A word that no line can hold, in pieces that a line can. */
function pieces(word: string, widest: number): string[] {
  const parts = [''];
  for (const c of word) {
    if (widthOfText(parts.at(-1) + c, SIZE) > widest) parts.push(c);
    else parts[parts.length - 1] += c;
  }
  return parts;
}

/** Text in lines of at most `widest` px. */
export function wrap(text: string, widest: number): readonly string[] {
  const lines: string[] = [];
  for (const word of text.split(' ').flatMap((whole) => pieces(whole, widest))) {
    const longer = `${lines.at(-1) ?? ''} ${word}`;
    if (lines.length > 0 && widthOfText(longer, SIZE) <= widest) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
}

/** Words of letters of `letter` mm in lines of at most `widest` mm. */
export const wrapMm = (words: string, letter: number, widest: number): readonly string[] =>
  wrap(words, (widest * SIZE) / letter);

const heightOf = (lines: readonly string[]): number => lines.length * LINE + GAP;

/** One column from top to bottom, each note as near its place as the ones above leave it; its height in px. */
function column(notes: readonly Note[], left: boolean, top: number, least: number): readonly PlacedNote[] {
  const wrapped = notes.map(({ words, at }) => ({ lines: wrap(words, COLUMN), at })).sort((a, b) => a.at[1] - b.at[1]);
  const rest = wrapped.map((_, i) => wrapped.slice(i).reduce((sum, { lines }) => sum + heightOf(lines), 0));
  let free = top;
  return wrapped.map(({ lines, at }, i) => {
    const wanted = Math.min(at[1] - heightOf(lines) / 2, top + least - (rest[i] ?? 0));
    const y = Math.max(free, wanted);
    free = y + heightOf(lines);
    return { lines, at, y, x: left ? EDGE : WIDTH - EDGE - COLUMN, anchor: 'start' };
  });
}

const total = (notes: readonly Note[]): number =>
  notes.reduce((sum, { words }) => sum + heightOf(wrap(words, COLUMN)), 0);

/** Left and right halves of the notes, each about as tall. */
function halves(notes: readonly Note[]): readonly [Note[], Note[]] {
  const sorted = [...notes].sort((a, b) => a.at[0] - b.at[0]);
  const half = total(sorted) / 2;
  const left = sorted.filter((_, i) => total(sorted.slice(0, i + 1)) <= half + GAP);
  return [left, sorted.slice(left.length)];
}

/** How tall a picture with these notes has to be, px. */
export const heightFor = (notes: readonly Note[], least: number): number =>
  Math.max(least, ...halves(notes).map((half) => total(half)));

/** Every note in its column, between `top` and `top + height` (heightFor). */
export function placeNotes(notes: readonly Note[], top: number, height: number): readonly PlacedNote[] {
  const [left, right] = halves(notes);
  return [...column(left, true, top, height), ...column(right, false, top, height)];
}

/** From the note's inner edge to its place. */
function leader({ lines, at, x, y }: PlacedNote): Markup {
  const middle = y + (lines.length * LINE) / 2;
  const from = x === EDGE ? x + Math.min(COLUMN, Math.max(...lines.map((line) => widthOfText(line, SIZE)))) + 4 : x - 5;
  return markup`${path('lead-line', `M${px(from)} ${px(middle)}L${at.map(px).join(' ')}`)}<circle class="lead-end" cx="${at[0]}" cy="${at[1]}" r="1.8"/>`;
}

/** The lines to their places, then the words. */
export const notesSvg = (placed: readonly PlacedNote[]): Markup =>
  markup`${placed.map(leader)}${placed.flatMap(({ lines, x, y, anchor }) =>
    lines.map((words, i) => label(words, x, y + SIZE + i * LINE, anchor, 'note')),
  )}`;

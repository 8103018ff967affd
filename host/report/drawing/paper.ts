/** Pieces onto paper at true size: as many sheets of A4 as they take, and a larger sheet for a piece that A4 cannot hold. Lengths mm. */

/** Something to print: its size with the words around it. */
export interface Sized {
  readonly width: number;
  readonly height: number;
}

/** A size of ISO 216, upright or landscape. */
export interface Paper extends Sized {
  readonly name: string;
}

/** A piece, and where its upper left corner goes. */
export interface Put<T> {
  readonly piece: T;
  readonly x: number;
  readonly y: number;
}

export interface Page<T> {
  readonly paper: Paper;
  readonly puts: readonly Put<T>[];
}

/** ISO 216. */
const PAPERS: readonly Paper[] = (
  [
    ['A4', 210, 297],
    ['A3', 297, 420],
    ['A2', 420, 594],
    ['A1', 594, 841],
    ['A0', 841, 1189],
  ] as const
).flatMap(([name, width, height]) => [
  { name, width, height },
  { name: `${name} landscape`, width: height, height: width },
]);

/** What a printer leaves white, and the room for the heading and the check bar. */
export const MARGIN = 10;
export const TOP = 24;
export const BOTTOM = 30;

const holds = (paper: Sized, { width, height }: Sized): boolean =>
  width <= paper.width - 2 * MARGIN && height <= paper.height - TOP - BOTTOM;

const heightOf = (pieces: readonly Sized[]): number => pieces.reduce((sum, { height }) => sum + height, 0);

/** The sheet a piece needs; a piece that none of ISO 216 holds gets a sheet of its own size. */
function paperFor(piece: Sized): Paper {
  const own: Paper = {
    name: 'larger than A0',
    width: Math.ceil(piece.width + 2 * MARGIN),
    height: Math.ceil(piece.height + TOP + BOTTOM),
  };
  return PAPERS.find((paper) => holds(paper, piece)) ?? own;
}

/** Pieces below each other on the sheet, each in the middle of its width. */
function pageOf<T extends Sized>(paper: Paper, pieces: readonly T[]): Page<T> {
  const puts = pieces.map((piece, i) => ({
    piece,
    x: (paper.width - piece.width) / 2,
    y: TOP + heightOf(pieces.slice(0, i)),
  }));
  return { paper, puts };
}

/** Every piece on a sheet, in their order: below the one before where its sheet still holds it. */
export function pagesFor<T extends Sized>(pieces: readonly T[]): readonly Page<T>[] {
  const sheets: { paper: Paper; pieces: T[] }[] = [];
  for (const piece of pieces) {
    const last = sheets.at(-1);
    const both = last ? { width: piece.width, height: piece.height + heightOf(last.pieces) } : null;
    if (last && both && holds(last.paper, both)) last.pieces.push(piece);
    else sheets.push({ paper: paperFor(piece), pieces: [piece] });
  }
  return sheets.map(({ paper, pieces: on }) => pageOf(paper, on));
}

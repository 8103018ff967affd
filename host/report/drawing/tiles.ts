/** A sheet larger than A4 cut into A4 pages that are taped together: which part of it each page shows. Lengths mm, y down. */
import type { Sized } from './paper.ts';

/** ISO 216. */
export const A4: Sized = { width: 210, height: 297 };
/** What a printer may leave white around a page, and the room for crop marks and the page's name. */
export const EDGE = 15;
/** Neighbouring pages show so much of the same, to be laid over each other. */
export const OVERLAP = 10;

/** A page: what it shows of the sheet, from its left upper corner. */
export interface Tile extends Sized {
  /** Row and column, from 1. */
  readonly row: number;
  readonly column: number;
  readonly x: number;
  readonly y: number;
}

export interface Tiling {
  readonly rows: number;
  readonly columns: number;
  /** Row by row. */
  readonly tiles: readonly Tile[];
}

/** So many pieces of `piece` cover `whole`, each laid over the one before it. */
const piecesOf = (whole: number, piece: number): number =>
  Math.max(1, Math.ceil((whole - OVERLAP - 1e-9) / (piece - OVERLAP)));

/** The pages that a sheet takes; one, for a sheet no larger than A4, is not cut. */
export function tilingOf({ width, height }: Sized): Tiling {
  const [across, down] = [A4.width - 2 * EDGE, A4.height - 2 * EDGE];
  const [columns, rows] = [piecesOf(width, across), piecesOf(height, down)];
  const tiles = Array.from({ length: rows * columns }, (_, i): Tile => {
    const [row, column] = [Math.floor(i / columns), i % columns];
    const [x, y] = [column * (across - OVERLAP), row * (down - OVERLAP)];
    return {
      row: row + 1,
      column: column + 1,
      x,
      y,
      width: Math.min(across, width - x),
      height: Math.min(down, height - y),
    };
  });
  return { rows, columns, tiles };
}

/** How much of a night a board keeps: the flash that it has left for shows, halved, so that a new night never harms the old one. */
import { together } from '../rig/words.ts';
import { PAGE_BYTES } from './layout.ts';

interface Room {
  /** Pages in all, and of a sector; as boards/NAME/board_config.h has them. */
  readonly pages: number;
  readonly sector: number;
}

const ROOMS: ReadonlyMap<string, Room> = new Map([
  ['pico', { pages: 7648, sector: 16 }],
  ['f405', { pages: 3072, sector: 512 }],
  ['native', { pages: 2048, sector: 16 }],
]);

/** Two sectors are the log's. */
const LOG_SECTORS = 2;

/** Pages of half a room. */
export const halfPages = ({ pages, sector }: Room): number => Math.floor((pages / sector - LOG_SECTORS) / 2) * sector;

/** Bytes that a night may have, by kind of board. */
export const nightRoom: ReadonlyMap<string, number> = new Map(
  [...ROOMS].map(([kind, room]) => [kind, halfPages(room) * PAGE_BYTES]),
);

/** The boards that a night of so many bytes fits. */
export const boardsFor = (bytes: number): string[] =>
  [...nightRoom].filter(([, room]) => bytes <= room).map(([kind]) => kind);

/** Why a night is too long for a board, or for every board where none that is known is named; null: it is not. */
export function roomFault(kind: string | null, bytes: number): string | null {
  const own = nightRoom.get(kind ?? '');
  const room = own ?? Math.max(...nightRoom.values());
  if (bytes <= room) return null;
  const who = own === undefined ? 'the largest board' : `the board ${kind ?? ''}`;
  const fits = boardsFor(bytes);
  const elsewhere = fits.length > 0 ? `it would fit ${together(fits)}` : 'it fits no board';
  return `these shows take ${String(bytes)} bytes, and ${who} has room for ${String(room)}; ${elsewhere}: pack fewer or shorter ones`;
}

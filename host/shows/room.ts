/** How much of a night a board keeps: the flash that it has left for shows, halved, so that a new night never harms the old one. */
import { PAGE_BYTES } from './layout.ts';

interface Room {
  /** Pages in all, and of a sector; as boards/NAME/board_config.h has them. */
  readonly pages: number;
  readonly sector: number;
}

const ROOMS: ReadonlyMap<string, Room> = new Map([
  ['pico', { pages: 7648, sector: 16 }],
  ['f405', { pages: 3584, sector: 512 }],
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

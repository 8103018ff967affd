/** Flash with an exhibit's night in it, as a host has sent it. */
import { type Nor, blankNor } from '../../host/controller/nor.ts';
import { Board } from './board.ts';
import type { Exhibit } from './exhibit.ts';

export function stored(exhibit: Exhibit, flash: { pages: number; sectorPages: number }): Nor {
  const store = blankNor(flash);
  const board = new Board(exhibit, store);
  board.seconds(0.5);
  if (!board.sendNight(exhibit.night)) board.fail('the night was not stored');
  return store;
}

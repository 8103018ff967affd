/** A night file as commands read it, and a show of it by name. */
import { readFileSync, statSync } from 'node:fs';
import { nearest } from '../../rig/words.ts';
import { type NightFile, readNight } from '../../shows/night-file.ts';
import { faultWords } from '../faults.ts';
import { isStdin } from '../stdin.ts';

export interface NightInput extends NightFile {
  readonly bytes: Uint8Array;
}

/** No board has room for more. */
const MOST_BYTES = 16 << 20;

/** The night and its bytes, or what is wrong with the file, in words. */
export function readNightFile(path: string): NightInput | string {
  if (isStdin(path)) return 'name a file: a night is not read from standard input';
  try {
    if (statSync(path).isFile() && statSync(path).size > MOST_BYTES) return 'this is too long for a night of shows';
    const bytes = new Uint8Array(readFileSync(path));
    const night = readNight(bytes);
    return typeof night === 'string' ? night : { ...night, bytes };
  } catch (error) {
    return faultWords(error);
  }
}

/** The show of this name, or of this number where none has that name; or what there is, in words. */
export function named<Show extends { readonly name: string }>(shows: readonly Show[], show: string): Show | string {
  const found = shows.find(({ name }) => name === show) ?? shows.find((_, k) => String(k + 1) === show);
  if (found) return found;
  const names = shows.map(({ name }) => name);
  const close = names.length > 2 ? nearest(show, names) : undefined;
  return `has no such show: it has ${names.join(', ')}${close === undefined ? '' : ` (nearest: ${close})`}`;
}

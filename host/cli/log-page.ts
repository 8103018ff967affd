/** What a board has noted, in words and as a page: for `log`, and for `shows run --report`. */
import { renderLogReport } from '../report/log-report.ts';
import type { Rig } from '../rig/rig.ts';
import type { Log } from '../shows/log.ts';
import { type Told, namesOf } from '../shows/log-words.ts';
import type { Io } from './io.ts';
import { type Unwritten, writeAll } from './outputs.ts';

const timeOfDay = (unix_s: number): string => {
  const at = new Date(unix_s * 1000);
  const two = (n: number): string => String(n).padStart(2, '0');
  return `${String(at.getFullYear())}-${two(at.getMonth() + 1)}-${two(at.getDate())} ${two(at.getHours())}:${two(at.getMinutes())}`;
};

/** @param rig of the prop; null: joints have no names */
export const toldNow = (rig: Rig | null, io: Io): Told => ({
  unix_s: io.today?.() ?? null,
  timeOfDay,
  names: namesOf(rig),
});

export const titleOf = (rig: Rig | null, target: string): string => rig?.name ?? `the prop on ${target}`;

/** A page to be written. */
export interface LogPage {
  readonly path: string;
  readonly force: boolean;
  readonly title: string;
}

/** Writes the page; or why it is not there, and null where it is. */
export const writeLogPage = (page: LogPage, found: Log, rig: Rig | null, told: Told): Unwritten | null =>
  writeAll([{ path: page.path, text: renderLogReport(page.title, found, rig, told) }], page.force) ?? null;

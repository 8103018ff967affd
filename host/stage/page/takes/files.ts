/** Takes in the rig's folder: listed, opened, saved, and saved by themselves some seconds after a change. */
import { effect, signal } from '@preact/signals';
import type { Rig } from '../../../rig/rig.ts';
import { toDeg } from '../../../rig/rig.ts';
import { readStream } from '../../../stream/read.ts';
import { StoredStream } from '../../../stream/stored.ts';
import { historyOf } from '../../take/history.ts';
import { packedHistory, unpackedPast } from '../../take/kept-history.ts';
import { takeComments, takeOf, takeText } from '../../take/file.ts';
import { FRAME_HZ, type Take, emptyTake } from '../../take/take.ts';
import { keepText, keptText } from '../kept.ts';
import { about, columns, cursor_s, history, rig, said, take } from '../state.ts';
import { offer } from './offer.ts';
import { chosen } from './view.ts';

/** So long after the last change it is saved, ms. */
const AUTOSAVE_MS = 3000;
/** What a browser still sends for a page that goes, bytes. */
const PARTING_BYTES = 60_000;

export const names = signal<readonly string[]>([]);
/** Whether all that was done is in the folder. */
export const saved = signal(true);
/** Whether the last try to save failed. */
export const fails = signal(false);
let onDisk: Take | null = null;

export async function listTakes(): Promise<void> {
  const response = await fetch('streams').catch(() => null);
  if (response?.ok) names.value = (await response.json()) as string[];
}

/** What a stream's text holds, or what is wrong with it, in words. */
export async function readTake(name: string, text: string, of: Rig): Promise<Take | string> {
  const stored = new StoredStream(of.joints.filter(({ kind }) => kind !== 'leg').length);
  for await (const { frames, problems } of readStream([new TextEncoder().encode(text)], of)) {
    const error = problems.find(({ severity }) => severity === 'error');
    if (error) return `${name}.csv, line ${String(error.line)}: ${error.message}`;
    for (const each of frames) stored.push(each);
  }
  if (stored.count === 0) return `${name}.csv has no frames`;
  const lines = text.split(/\r?\n/);
  const header = lines.find((line) => line.trim() !== '' && !line.startsWith('#')) ?? '';
  const given = new Set(header.split(',').map((cell) => cell.trim()));
  return takeOf(name, sampled(stored, given), takeComments(lines.filter((line) => line.startsWith('#'))));
}

/** By column the values at 50 frames a second, in the file's units. */
function sampled(stored: StoredStream, given: ReadonlySet<string>): Map<string, Float64Array> {
  const count = Math.round(stored.time(stored.count - 1) * FRAME_HZ) + 1;
  const row = new Float64Array(stored.size);
  const first = stored.size - columns.value.length;
  const all = new Map(columns.value.filter((name) => given.has(name)).map((name) => [name, new Float64Array(count)]));
  for (let n = 0; n < count; n++) {
    stored.evaluate(n / FRAME_HZ, row);
    columns.value.forEach((name, k) => {
      const value = row[first + k]!;
      const figure = name.endsWith('_deg') ? toDeg(value) : value;
      const samples = all.get(name);
      if (samples) samples[n] = Number.isNaN(figure) ? (samples[n - 1] ?? 0) : Math.round(figure * 1e6) / 1e6;
    });
  }
  return all;
}

/** The open take's past: one take's at a time, by rig. */
const keptName = (): string => `past at ${rig.value?.name ?? ''}`;
const keepPast = (): void => keepText(keptName(), packedHistory(history.value, takeText(take.value, columns.value)));
/** The text of the take that was fetched last. */
let fetched = '';

export async function fetchTake(name: string): Promise<Take | string> {
  const response = await fetch(`streams/${encodeURIComponent(name)}`).catch(() => null);
  if (!response) return 'the program that keeps the takes does not answer';
  if (!response.ok) return await response.text();
  const text = await response.text();
  fetched = text;
  return rig.value ? readTake(name.replace(/\.csv$/, ''), text, rig.value) : 'there is no rig';
}

export async function openTake(name: string): Promise<void> {
  if (!(await save())) return;
  const got = await fetchTake(name);
  const past = unpackedPast(keptText(keptName()), fetched);
  if (typeof got === 'string') {
    said.value = got;
    return;
  }
  show(got);
  if (past?.every((one) => one.take.name === got.name)) history.value = { now: got, past, future: [] };
  said.value = `${got.name} is open`;
}

function show(next: Take): void {
  onDisk = next;
  history.value = historyOf(next);
  cursor_s.value = 0;
  chosen.value = null;
  globalThis.history.replaceState(null, '', `#take=${encodeURIComponent(next.name)}`);
}

/** A name that no take of the folder has. */
export function freshName(taken: readonly string[], stem = 'take'): string {
  for (let n = 1; ; n++) if (!taken.includes(`${stem} ${String(n)}.csv`)) return `${stem} ${String(n)}`;
}

/** A new take, as long as is usual; what was open is saved first. */
export async function newTake(): Promise<void> {
  if (!(await save())) return;
  await listTakes();
  show(emptyTake(freshName(names.value), 8));
  said.value = `${take.value.name} is new`;
}

/** Saves what is open, if it is not. False: it could not be; it says why, and goes on trying. */
export async function save(): Promise<boolean> {
  const now = take.value;
  if (now === onDisk || now.curves.length === 0) return true;
  const fault = await sent(now);
  if (fault !== null) {
    said.value = fault;
    fails.value = true;
    return false;
  }
  onDisk = now;
  fails.value = false;
  saved.value = take.value === now;
  if (saved.value) keepPast();
  if (!names.value.includes(`${now.name}.csv`)) await listTakes();
  return true;
}

/** What kept a take from being written, in words; null: it is. */
async function sent(now: Take): Promise<string | null> {
  const response = await put(now).catch(() => null);
  if (!response) return 'the program that keeps the takes does not answer: the take is here only, until it does';
  return response.ok ? null : await response.text();
}

/** Offers what is open as a file, for a folder that cannot be written. */
export const download = (): void =>
  offer(new Blob([takeText(take.value, columns.value)], { type: 'text/csv' }), `${take.value.name}.csv`);

const put = (now: Take, keepalive = false): Promise<Response> =>
  fetch(`streams/${encodeURIComponent(now.name)}.csv`, {
    method: 'PUT',
    body: takeText(now, columns.value),
    keepalive,
  });

/** The same take under another name; the old one stays. */
export async function saveAs(name: string): Promise<void> {
  await listTakes();
  if (names.value.includes(`${name}.csv`)) {
    said.value = `there is a take ${name} already`;
    return;
  }
  if (!(await save())) return;
  const renamed = { ...take.value, name };
  const fault = await sent(renamed);
  if (fault === null) {
    show(renamed);
    await listTakes();
  }
  said.value = fault ?? `saved as ${name}.csv`;
}

/** The take made on the stage that was written last; undefined: there is none. */
async function newest(): Promise<string | undefined> {
  const response = await fetch('newest').catch(() => null);
  return response?.ok ? (((await response.json()) as string | null) ?? undefined) : undefined;
}

/** Opens what was open last, or what was named, or what was made last, or a new take; from then on saves by itself. */
export async function startFiles(): Promise<void> {
  await listTakes();
  const last = /#take=(.+)/.exec(location.hash)?.[1];
  const named = about.value?.streams ?? [];
  const wanted = [...(last ? [`${decodeURIComponent(last)}.csv`] : []), ...named];
  const isHere = (name: string | undefined): boolean => name !== undefined && names.value.includes(name);
  const asked = wanted.map((path) => path.replace(/^.*[\\/]/, '')).find(isHere);
  const first = asked ?? (named.length === 0 ? [await newest()].find(isHere) : undefined);
  // Nothing of what was done before the answer came is lost.
  if (history.value.past.length === 0) {
    if (first !== undefined) await openTake(first);
    else show(emptyTake(freshName(names.value), 8));
  }
  saveByItself();
}

function saveByItself(): void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  effect(() => {
    saved.value = take.value === onDisk || take.value.curves.length === 0;
    clearTimeout(timer);
    const again = (): void => {
      timer = setTimeout(() => void save().then((done) => done || again()), AUTOSAVE_MS);
    };
    if (!saved.value) again();
  });
  addEventListener('pagehide', () => {
    if (saved.value) return;
    keepPast();
    put(take.value, takeText(take.value, columns.value).length < PARTING_BYTES).catch(() => undefined);
  });
  addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') void save();
  });
}

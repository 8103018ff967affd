/**
 * The rig's folder as the page sees it: streams, sounds and nights by their plain names, nothing outside of it, nothing written over without
 * the old version kept.
 */
import {
  closeSync,
  existsSync,
  linkSync,
  lstatSync,
  openSync,
  readFileSync,
  readSync,
  readdirSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';

const STREAM = /^[\p{L}\p{N}_][\p{L}\p{N}_ .-]{0,80}\.csv$/u;
const SOUND = /^[\p{L}\p{N}_][\p{L}\p{N}_ .-]{0,80}\.(wav|mp3|ogg|oga|opus|m4a|flac)$/iu;
const NIGHT = /^[\p{L}\p{N}_][\p{L}\p{N}_ .-]{0,80}\.pwshow$/u;
/** Two hours of ten columns at 50 Hz; an hour of sound; more than any board has room for. */
const MOST = { stream: 60e6, sound: 64e6, night: 16e6 } as const;
const NAMES = {
  stream: { pattern: STREAM, words: 'a take', ends: '.csv' },
  sound: { pattern: SOUND, words: 'a sound', ends: '.wav, .mp3, .ogg' },
  night: { pattern: NIGHT, words: 'a night', ends: '.pwshow' },
} as const;

/** A take that was made on the stage names its keys before its frames; a stream from elsewhere does not. */
const HAS_KEYS = /^# keys /m;
/** Its marks may come before them, bytes. */
const HEAD_BYTES = 65_536;

export type Kind = keyof typeof MOST;

export class Folder {
  readonly path: string;
  /** What this session wrote last, by name: that may be written over, or saving every few seconds would fill the folder. */
  private readonly mine = new Map<string, Uint8Array>();

  constructor(path: string) {
    this.path = path;
  }

  /** Names of a kind, A to Z; what was kept of earlier versions left out. */
  list(kind: Kind): string[] {
    return readdirSync(this.path, { withFileTypes: true })
      .filter((entry) => entry.isFile() && nameFault(entry.name, kind) === null && !/\.before-\d+\./.test(entry.name))
      .map(({ name }) => name)
      .sort();
  }

  /** The name of the take made on the stage that was written last; null: there is none. */
  newest(): string | null {
    const writtenAt_ms = (name: string): number =>
      lstatSync(join(this.path, name), { throwIfNoEntry: false })?.mtimeMs ?? 0;
    const all = this.list('stream').map((name) => ({ name, at_ms: writtenAt_ms(name) }));
    all.sort((a, b) => b.at_ms - a.at_ms);
    return all.find(({ name }) => HAS_KEYS.test(headOf(join(this.path, name))))?.name ?? null;
  }

  /** Null: there is no such file here that may be read. */
  read(name: string, kind: Kind): Buffer | null {
    if (nameFault(name, kind) !== null) return null;
    const path = join(this.path, name);
    const status = lstatSync(path, { throwIfNoEntry: false });
    return status?.isFile() && status.size <= MOST[kind] ? readFileSync(path) : null;
  }

  /**
   * Writes a file whole; what was there before is kept as `NAME.before-N.csv`. Only takes and sounds, which are saved every few seconds,
   * are written over where this session wrote them.
   * @returns what is wrong, in words; null: it is written
   */
  write(name: string, kind: Kind, bytes: Uint8Array): string | null {
    const fault = nameFault(name, kind);
    if (fault !== null) return fault;
    if (bytes.length > MOST[kind])
      return `${String(Math.round(bytes.length / 1e6))} MB are too much: ${String(MOST[kind] / 1e6)} MB is the most`;
    const path = join(this.path, name);
    const old = lstatSync(path, { throwIfNoEntry: false });
    if (old && !old.isFile()) return `${name} is no plain file: nothing was written`;
    if (old && Buffer.compare(readFileSync(path), bytes) === 0) return null;
    const fresh = `${path}.new`;
    try {
      rmSync(fresh, { force: true });
      writeFileSync(fresh, bytes, { flag: 'wx' });
      if (old && (kind === 'night' || !this.isMine(name, path))) linkSync(path, keptPath(this.path, name));
      renameSync(fresh, path);
      this.mine.set(name, bytes);
      return null;
    } catch (error) {
      rmSync(fresh, { force: true });
      return `${name} cannot be written: ${error instanceof Error ? error.message : String(error)}`;
    }
  }

  private isMine(name: string, path: string): boolean {
    const last = this.mine.get(name);
    return last !== undefined && Buffer.compare(readFileSync(path), last) === 0;
  }
}

/** How a file begins; '' where it may not be read. */
function headOf(path: string): string {
  const bytes = Buffer.alloc(HEAD_BYTES);
  let file: number | null = null;
  try {
    file = openSync(path, 'r');
    return bytes.toString('utf8', 0, readSync(file, bytes, 0, HEAD_BYTES, 0));
  } catch {
    return '';
  } finally {
    if (file !== null) closeSync(file);
  }
}

/** What is wrong with a name, in words; null: it is one. */
export function nameFault(name: string, kind: Kind): string | null {
  const { pattern, words, ends } = NAMES[kind];
  if (pattern.test(name) && !name.includes('..')) return null;
  return `this is no name for ${words}: letters, digits, spaces, - and _ and the ending ${ends}`;
}

function keptPath(folder: string, name: string): string {
  const [, stem = name, end = ''] = /^(.*)(\.[^.]+)$/.exec(name) ?? [];
  for (let n = 1; ; n++) {
    const kept = join(folder, `${stem}.before-${String(n)}${end}`);
    if (!existsSync(kept)) return kept;
  }
}

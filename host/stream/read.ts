/**
 * Reads a pose stream from bytes as they come, a chunk at a time however long it is.
 * To refuse a bad stream before anything moves, scan it first and read it again; what cannot be read twice is held first.
 */
import type { Problem } from '../rig/problem.ts';
import type { StreamRig } from './columns.ts';
import type { StreamBatch } from './parse.ts';
import { StreamParser } from './parse.ts';
import type { Pause } from './pauses.ts';

export type { StreamRig } from './columns.ts';
export { streamJoints } from './columns.ts';
export type { Frame, StreamBatch } from './parse.ts';

/** Chunks of bytes. An array of them can be read again, standard input cannot: see `repeated`. */
export type StreamSource = AsyncIterable<Uint8Array> | Iterable<Uint8Array>;

/** What a first pass over a stream finds. */
export interface StreamScan {
  /** All that is wrong, at most a hundred and a line that counts the rest; the stream may be played if none is an error. */
  readonly problems: readonly Problem[];
  /** Up to the first error. */
  readonly frames: number;
  /** Times of the first and the last of these frames; null without any. */
  readonly first_s: number | null;
  readonly last_s: number | null;
  /** Long times without a frame that stand out; each is a warning among the problems too. */
  readonly pauses: readonly Pause[];
  /** Names of the columns that shake from frame to frame, as a recording's noise does. */
  readonly shaking: readonly string[];
  /** In the file's order. */
  readonly columns: readonly string[];
}

/**
 * The frames of a stream in batches, with what is wrong with them. A file that cannot be opened is a problem too, not a throw.
 * After the first error no more frames come, and the rest is checked only.
 */
export async function* readStream(source: StreamSource, rig: StreamRig): AsyncGenerator<StreamBatch, void, undefined> {
  yield* readWith(new StreamParser(rig), source);
}

/** Reads all of a stream, keeps nothing of it but what a player must know before it starts. */
export async function scanStream(source: StreamSource, rig: StreamRig): Promise<StreamScan> {
  const parser = new StreamParser(rig);
  const problems: Problem[] = [];
  let frames = 0;
  let first_s: number | null = null;
  let last_s: number | null = null;
  for await (const batch of readWith(parser, source)) {
    problems.push(...batch.problems);
    frames += batch.frames.length;
    first_s ??= batch.frames[0]?.t_s ?? null;
    last_s = batch.frames.at(-1)?.t_s ?? last_s;
  }
  const { pauses, shaking, columns } = parser;
  return { problems, frames, first_s, last_s, pauses, shaking, columns };
}

/** A source that can be read as often as need be, made anew each time. */
export const repeated = (make: () => StreamSource): AsyncIterable<Uint8Array> => ({
  async *[Symbol.asyncIterator]() {
    yield* make();
  },
});

async function* readWith(parser: StreamParser, source: StreamSource): AsyncGenerator<StreamBatch, void, undefined> {
  try {
    for await (const chunk of source) {
      const batch = parser.push(chunk);
      if (batch.frames.length > 0 || batch.problems.length > 0) yield batch;
      if (parser.stopped) break;
    }
  } catch (error) {
    const message = systemFault(error);
    if (message === null) throw error;
    yield { frames: [], problems: [{ path: 'file', line: 0, message, severity: 'error' }] };
    return;
  }
  const batch = parser.end();
  if (batch.frames.length > 0 || batch.problems.length > 0) yield batch;
}

/** What the operating system found wrong with a file, in words; null: this is no such error, but a bug. */
function systemFault(error: unknown): string | null {
  if (!(error instanceof Error) || !('syscall' in error) || !('code' in error)) return null;
  const words: Readonly<Record<string, string>> = {
    ENOENT: 'there is no such file',
    EISDIR: 'this is a folder, not a file',
    EACCES: 'this file may not be read',
  };
  return words[String(error.code)] ?? error.message;
}

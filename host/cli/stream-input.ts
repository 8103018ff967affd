/** Checks the stream that a command was given, before anything is done with it. */
import { createReadStream, statSync } from 'node:fs';
import { setImmediate } from 'node:timers/promises';
import type { Rig } from '../rig/rig.ts';
import { type StreamScan, type StreamSource, repeated, scanStream } from '../stream/read.ts';
import type { Io } from './io.ts';
import { type Problem, problemOf } from './output.ts';
import { shownName, isStdin } from './stdin.ts';

export interface StreamInput {
  readonly scan: StreamScan;
  /** What may be played, as often as need be; null when a problem is an error. */
  readonly source: StreamSource | null;
  readonly problems: readonly Problem[];
}

/** Bytes that can be read once only, from standard input or a pipe with a name; null: a file, to be read as often as need be. */
function onceOnly(path: string, io: Io): AsyncIterable<Uint8Array> | null {
  if (isStdin(path)) return io.stdin;
  const found = statSync(path, { throwIfNoEntry: false });
  return found && !found.isFile() && !found.isDirectory() ? createReadStream(path) : null;
}

/** Large enough that the cost of a chunk vanishes, small enough for the cache. */
const CHUNK_BYTES = 1 << 17;
/** Of what can be read once only: days at 120 Hz, bytes. */
const MOST_HELD = 2 ** 30;
const FULL =
  'this does not end: more than a gigabyte has come, and what is piped in is held whole. Write it to a file first';

/** Bytes that can be read once only, kept as they are scanned: no further than the scan goes. */
export class Held implements AsyncIterable<Uint8Array> {
  readonly chunks: Uint8Array[] = [];
  isFull = false;
  private readonly source: AsyncIterable<Uint8Array>;
  private readonly most: number;

  constructor(source: AsyncIterable<Uint8Array>, most = MOST_HELD) {
    this.source = source;
    this.most = most;
  }

  async *[Symbol.asyncIterator](): AsyncGenerator<Uint8Array> {
    let size = 0;
    for await (const chunk of this.source) {
      size += chunk.length;
      this.isFull = size > this.most;
      if (this.isFull) return;
      this.chunks.push(chunk);
      yield chunk;
    }
  }
}

/** The stream in a file, or on standard input for '-', read through once. */
export async function readStreamFile(path: string, rig: Rig, io: Io): Promise<StreamInput> {
  const file = shownName(path);
  const once = onceOnly(path, io);
  const held = once && new Held(once);
  const chunks = repeated(() => createReadStream(path, { highWaterMark: CHUNK_BYTES }));
  const scan = await scanStream(held ?? chunks, rig);
  const problems = scan.problems.map((problem): Problem => ({
    ...problem,
    file,
    path: problem.path === 'file' ? '' : problem.path,
  }));
  if (held?.isFull) problems.unshift(problemOf(file, FULL));
  if (scan.frames === 0 && problems.length === 0)
    problems.push(problemOf(file, 'there is no frame in it: a header and no row'));
  const bad = problems.some((problem) => problem.severity === 'error');
  const again = held ? repeated(() => breathing(held.chunks)) : chunks;
  return { scan, source: bad ? null : again, problems };
}

/** Chunks with a pause between them in which signals and timers are heard, as reading a file has by itself. */
async function* breathing(chunks: readonly Uint8Array[]): AsyncGenerator<Uint8Array> {
  for (const chunk of chunks) {
    await setImmediate();
    yield chunk;
  }
}

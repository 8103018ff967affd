/** A take's frames as numbers, and which of them an edit has changed. */
import type { Rig } from '../../../rig/rig.ts';
import { readStream, scanStream, streamJoints } from '../../../stream/read.ts';
import { StoredStream } from '../../../stream/stored.ts';

/** The frames of a stream without faults: at least one. */
export interface Rows {
  readonly text: string;
  readonly stream: StoredStream;
}

/** @returns why there are none, in words, where the text is no stream for this rig. */
export async function rowsOf(text: string, rig: Rig): Promise<Rows | string> {
  const bytes = new TextEncoder().encode(text);
  const stream = new StoredStream(streamJoints(rig).length);
  try {
    for await (const { frames, problems } of readStream([bytes], rig)) {
      const wrong = problems.find(({ severity }) => severity === 'error');
      if (wrong) return `line ${String(wrong.line)}: ${wrong.message}`;
      for (const frame of frames) stream.push(frame);
    }
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
  if (stream.count > 0) return { text, stream };
  const { problems } = await scanStream([bytes], rig);
  return problems[0]?.message ?? 'there are no frames';
}

/** Whether frame n of both is the same, its time included; NaN is NaN. */
function isSame(one: StoredStream, other: StoredStream, n: number): boolean {
  if (one.time(n) !== other.time(n)) return false;
  const [a, b] = [one.row(n), other.row(n)];
  for (let k = 0; k < a.length; k++) if (!Object.is(a[k], b[k])) return false;
  return true;
}

/** The first and the last frame that differ; null: none does. A change of length lasts to the end. */
export function changed(before: Rows, after: Rows): { readonly first: number; readonly last: number } | null {
  const [one, other] = [before.stream, after.stream];
  const both = Math.min(one.count, other.count);
  let first = 0;
  while (first < both && isSame(one, other, first)) first++;
  if (one.count !== other.count) return { first: Math.min(first, both - 1), last: Infinity };
  if (first === both) return null;
  let last = both - 1;
  while (last > first && isSame(one, other, last)) last--;
  return { first, last };
}

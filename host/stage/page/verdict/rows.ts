/** A take's frames as numbers, and which of them an edit has changed. */
import { POSE_KEYS, type Rig, toRad } from '../../../rig/rig.ts';
import { readStream, scanStream, streamJoints } from '../../../stream/read.ts';
import { LARGEST, LARGEST_STEP_DEG } from '../../../stream/parse.ts';
import { StoredStream } from '../../../stream/stored.ts';
import { framesOf, rounded, roundedKey } from '../../take/detail.ts';
import { takeText } from '../../take/file.ts';
import { columnsOf } from '../../take/lanes.ts';
import { FRAME_HZ, type Take, curveOf } from '../../take/take.ts';

/** The frames of a stream without faults: at least one. */
export interface Rows {
  readonly stream: StoredStream;
}

/**
 * The frames of a take, as its file would be read. @returns why there are none, in words, where the file would be refused.
 * Numbers of six decimals are the same before they are written and after they are read: the text is made only to be refused.
 */
export async function rowsOfTake(take: Take, rig: Rig): Promise<Rows | string> {
  const stream = plainRows(take, rig);
  return stream ? { stream } : rowsOf(takeText(take, columnsOf(rig)), rig);
}

/** Null: a reader of the take's file would find fault with it, or it has nothing to read. */
export function plainRows(take: Take, rig: Rig): StoredStream | null {
  const joints = streamJoints(rig);
  const columns = columnsOf(rig).filter((column) => curveOf(take, column));
  const count = Math.round(take.seconds * FRAME_HZ) + 1;
  const isOnce = take.curves.filter(({ column }) => columns.includes(column)).length === columns.length;
  if (columns.length === 0 || !isOnce || !(count > 0)) return null;
  const size = POSE_KEYS.length + joints.length;
  const rows = new Float64Array(count * size);
  for (let k = POSE_KEYS.length; k < size; k++) for (let n = 0; n < count; n++) rows[n * size + k] = NaN;
  for (const column of columns) {
    const pose = POSE_KEYS.findIndex((key) => key === column);
    const slot = pose >= 0 ? pose : POSE_KEYS.length + joints.findIndex((joint) => `${joint}_deg` === column);
    const { keys, ...curve } = curveOf(take, column)!;
    const frames = framesOf(take, { ...curve, keys: keys.map(roundedKey) });
    if (!putColumn(frames, rows.subarray(slot), size, column.endsWith('_deg'))) return null;
  }
  const stream = new StoredStream(joints.length);
  for (let n = 0; n < count; n++) stream.pushRow(rounded(n / FRAME_HZ), rows.subarray(n * size, (n + 1) * size));
  return stream;
}

/** A column's frames into every `size`-th place. False: one of them would be refused. */
function putColumn(frames: Float64Array, into: Float64Array, size: number, isAngle: boolean): boolean {
  const scale = isAngle ? toRad(1) : 1;
  let before = NaN;
  for (let n = 0; n < frames.length; n++) {
    const value = rounded(frames[n]!);
    // A value that is no number is rounded to 0.
    if (!(Math.abs(frames[n]!) < LARGEST) || (isAngle && Math.abs(value - before) > LARGEST_STEP_DEG)) return false;
    into[n * size] = value * scale;
    before = value;
  }
  return true;
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
  if (stream.count > 0) return { stream };
  const { problems } = await scanStream([bytes], rig);
  return problems[0]?.message ?? 'there are no frames';
}

/** The first and the last frame that differ; null: none does. A change of length lasts to the end. */
export function changed(before: Rows, after: Rows): { readonly first: number; readonly last: number } | null {
  const [one, other] = [before.stream, after.stream];
  const both = Math.min(one.count, other.count);
  let first = 0;
  while (first < both && one.isSameAt(first, other)) first++;
  if (one.count !== other.count) return { first: Math.min(first, both - 1), last: Infinity };
  if (first === both) return null;
  let last = both - 1;
  while (last > first && one.isSameAt(last, other)) last--;
  return { first, last };
}

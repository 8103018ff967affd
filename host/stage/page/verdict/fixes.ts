/**
 * What one click offers where a take is more than the prop can follow: the command line's own retiming, softening and smoothing, and
 * a stretch made smaller. Each makes a whole take, to be looked at beside the one before it, and undone.
 */
import { Demand } from '../../../load/demand.ts';
import { walkAlong } from '../../../load/along.ts';
import { Loads } from '../../../retime/loads.ts';
import { RigMotion } from '../../../retime/motion.ts';
import { retime } from '../../../retime/retime.ts';
import { softenLone } from '../../../retime/soften/soften.ts';
import { endlessWords, unheldWords } from '../../../retime/words.ts';
import { causeWords } from '../../../replay/verdict.ts';
import { type Rig, toDeg } from '../../../rig/rig.ts';
import { USUAL_CUTOFF_HZ, smoothStream } from '../../../stream/smooth.ts';
import type { StoredStream } from '../../../stream/stored.ts';
import { columnsOf } from '../../take/lanes.ts';
import { framesOf } from '../../take/detail.ts';
import { takeOf, takeText } from '../../take/file.ts';
import { FRAME_HZ, type Take, curveOf } from '../../take/take.ts';
import { rowsOfTake } from './rows.ts';

export type Fix =
  /** Slower where it asks for too much, in reach, its marks on their times. */
  | { readonly kind: 'retime' }
  /** Joints that carry nothing make their own moves softer. */
  | { readonly kind: 'soften' }
  | { readonly kind: 'smooth' }
  /** Retimed, then smaller where the metal is still short (until-followed.ts). */
  | { readonly kind: 'follow' }
  /** A stretch of some columns, about its mean. */
  | { readonly kind: 'smaller'; readonly columns: readonly string[]; readonly from_s: number; readonly to_s: number };

/** A take's length, and the largest share of its torque that any servo needs; Infinity: too fast for any, null: unknown. */
export interface Cost {
  readonly seconds: number;
  readonly use: number | null;
}

export type Fixed =
  | {
      readonly take: Take;
      readonly before: Cost;
      readonly after: Cost;
      /** Stretches that the metal still does not follow, where that was looked at. */
      readonly left?: number;
    }
  /** Why nothing was done, in words. */
  | { readonly refused: string };

/** A stretch is made so much smaller, and comes to it within so long at either end, s (ours). */
const [SMALLER, FADES_S] = [0.8, 0.3];
/** Columns that stay within this, mm or deg, keep their keys. */
const SAME = 1e-5;

export async function fixed(rig: Rig, take: Take, fix: Exclude<Fix, { kind: 'follow' }>): Promise<Fixed> {
  const rows = await rowsOfTake(take, rig);
  if (typeof rows === 'string') return { refused: rows };
  const next = fix.kind === 'smaller' ? smaller(take, fix) : await changedTake(rig, take, rows.stream, fix.kind);
  if (typeof next === 'string') return { refused: next };
  const after = await rowsOfTake(next, rig);
  if (typeof after === 'string') return { refused: after };
  return { take: next, before: costOf(rig, take, rows.stream), after: costOf(rig, next, after.stream) };
}

function costOf(rig: Rig, { seconds }: Take, stream: StoredStream): Cost {
  const along = walkAlong(new Demand(rig), stream).joints;
  const uses = along.flatMap((joint) => (joint?.impossible ? [Infinity] : joint?.use == null ? [] : [joint.use]));
  return { seconds, use: uses.length > 0 ? Math.max(...uses) : null };
}

async function changedTake(
  rig: Rig,
  take: Take,
  stream: StoredStream,
  kind: Exclude<Fix['kind'], 'smaller' | 'follow'>,
): Promise<Take | string> {
  if (kind === 'smooth') return takeFrom(rig, take, smoothStream(stream, USUAL_CUTOFF_HZ).stream);
  if (kind === 'soften') {
    const motion = new RigMotion(rig);
    const { stream: soft, softened } = softenLone(motion, new Loads(motion), stream);
    return softened.length > 0 ? takeFrom(rig, take, soft) : 'no joint that carries nothing asks for too much';
  }
  const [first_s, last_s] = [stream.time(0), stream.time(stream.count - 1)];
  const beats = take.marks.map(({ t_s }) => t_s).filter((t_s) => t_s > first_s && t_s < last_s);
  const text = new TextEncoder().encode(takeText(take, columnsOf(rig)));
  const done = await retime(rig, [text], { fit: true, kept_s: [...new Set(beats)], name: take.name });
  if ('because' in done) return endlessWords(done);
  if ('held' in done) return unheldWords(done);
  // It was to be brought into reach, and not even standing still is.
  if ('stops' in done)
    return `no size brings it into reach: ${done.stops.map(({ joint, cause }) => `${joint}, ${causeWords(cause)}`).join('; ')}`;
  return takeFrom(rig, take, done.stream);
}

/** A take of these frames, with the marks and the sound of the one before; a column that stays the same keeps its keys. */
export function takeFrom(rig: Rig, before: Take, stream: StoredStream): Take {
  const [first_s, last_s] = [stream.time(0), stream.time(stream.count - 1)];
  const count = Math.round((last_s - first_s) * FRAME_HZ) + 1;
  const values = new Float64Array(stream.size);
  const names = columnsOf(rig);
  const first = rig.platform ? 0 : 6;
  const samples = new Map(before.curves.map(({ column }) => [column, new Float64Array(count)]));
  for (let n = 0; n < count; n++) {
    stream.evaluate(first_s + n / FRAME_HZ, values);
    for (const [column, into] of samples) {
      const value = values[first + names.indexOf(column)]!;
      into[n] = column.endsWith('_deg') ? toDeg(value) : value;
    }
  }
  const keys = new Map(before.curves.map((curve) => [curve.column, curve.keys]));
  const made = takeOf(before.name, samples, {
    marks: before.marks,
    sound: before.sound,
    keys,
    leads_ms: before.leads_ms ?? {},
  });
  return { ...made, seconds: Math.abs(made.seconds - before.seconds) < SAME ? before.seconds : made.seconds };
}

function smaller(take: Take, { columns, from_s, to_s }: Extract<Fix, { kind: 'smaller' }>): Take {
  const samples = new Map(take.curves.map((curve) => [curve.column, framesOf(take, curve)]));
  for (const column of columns) {
    const values = samples.get(column);
    if (!values) continue;
    const [from, to] = [
      Math.max(0, Math.floor(from_s * FRAME_HZ)),
      Math.min(values.length - 1, Math.ceil(to_s * FRAME_HZ)),
    ];
    const inside = values.subarray(from, to + 1);
    const mean = inside.reduce((sum, value) => sum + value, 0) / Math.max(1, inside.length);
    for (let n = 0; n < values.length; n++) {
      const outside_s = Math.max(from - n, n - to, 0) / FRAME_HZ;
      const share = Math.max(0, 1 - outside_s / FADES_S);
      const weight = share * share * (3 - 2 * share);
      values[n] = mean + (values[n]! - mean) * (1 - weight * (1 - SMALLER));
    }
  }
  const keys = new Map(
    take.curves.filter(({ column }) => !columns.includes(column)).map((curve) => [curve.column, curve.keys]),
  );
  const made = takeOf(take.name, samples, {
    marks: take.marks,
    sound: take.sound,
    keys,
    leads_ms: take.leads_ms ?? {},
  });
  return { ...made, seconds: take.seconds, curves: take.curves.map(({ column }) => curveOf(made, column)!) };
}

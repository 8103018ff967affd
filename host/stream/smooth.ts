/**
 * Smooths a stream: a Butterworth low-pass of second order, run forward and then backward, so that nothing is delayed. Every
 * column is filtered on its own frames' times; frames that are not evenly spaced are laid on an even grid first.
 *
 * Source: D. A. Winter, "Biomechanics and Motor Control of Human Movement", 4th ed. (2009), section 3.4.4: coefficients, the
 * cut-off that is corrected for two passes, and the residual as a measure of what was taken. (From memory.)
 */
import { StoredStream } from './stored.ts';

/** Human motion away from impacts lies below about 6 Hz (Winter, section 3.4.4: gait; from memory). */
export const USUAL_CUTOFF_HZ = 6;
/** The cut-off may be this share of the frame rate at most: at half of it the filter has no meaning. */
const HIGHEST_SHARE = 0.45;
/** Times differ by less than this share of their interval: an even grid with rounded times. */
const EVENLY = 0.25;
/** A time without frames longer than so many intervals parts the stream: either side is smoothed by itself. */
const PARTS = 10;

/** What smoothing took from each column: root mean square, in mm or rad; 0 where the stream says nothing. */
export interface Smoothed {
  readonly stream: StoredStream;
  readonly residual: Float64Array;
  /** The cut-off used, Hz: lower than asked where the frames are too few for it. */
  readonly cutoff_hz: number;
}

/** The stream below a frequency, -3 dB at cutoff_hz (Hz, above 0). Its first and last frames stay where they are. */
export function smoothStream(stream: StoredStream, cutoff_hz: number): Smoothed {
  const smoothed = new StoredStream(stream.size - 6);
  const squares = new Float64Array(stream.size);
  const usual_s = usualInterval(stream);
  const used_hz = Math.min(cutoff_hz, HIGHEST_SHARE / usual_s);
  for (let first = 0; first < stream.count;) {
    const last = endOfPiece(stream, first, PARTS * usual_s);
    smoothPiece(stream, first, last, usual_s, used_hz, smoothed, squares);
    first = last + 1;
  }
  const residual = squares.map((sum) => Math.sqrt(sum / smoothed.count));
  return { stream: smoothed, residual, cutoff_hz: used_hz };
}

/** The median time between frames, s. */
function usualInterval(stream: StoredStream): number {
  const intervals = Float64Array.from({ length: stream.count - 1 }, (_, f) => stream.time(f + 1) - stream.time(f));
  return intervals.length === 0 ? 1 : intervals.sort()[intervals.length >> 1]!;
}

/** The last frame before a time without frames longer than most_s, from frame `first` on. */
function endOfPiece(stream: StoredStream, first: number, most_s: number): number {
  let last = first;
  while (last + 1 < stream.count && stream.time(last + 1) - stream.time(last) <= most_s) last += 1;
  return last;
}

function smoothPiece(
  stream: StoredStream,
  first: number,
  last: number,
  usual_s: number,
  cutoff_hz: number,
  into: StoredStream,
  squares: Float64Array,
): void {
  const times = gridOf(stream, first, last, usual_s);
  const rows = times.map((t_s) => {
    const row = new Float64Array(stream.size);
    stream.evaluate(t_s, row);
    return row;
  });
  const interval_s = times.length > 1 ? (times.at(-1)! - times[0]!) / (times.length - 1) : usual_s;
  for (let k = 0; k < stream.size; k++) {
    if (Number.isNaN(rows[0]![k]!)) continue;
    const values = Float64Array.from(rows, (row) => row[k]!);
    const low = withinRange(lowPass(values, cutoff_hz, interval_s), values);
    for (let f = 0; f < low.length; f++) {
      squares[k]! += (low[f]! - values[f]!) ** 2;
      rows[f]![k] = low[f]!;
    }
  }
  rows.forEach((row, f) => into.pushRow(times[f]!, row));
}

/** A filter rings: what comes out stays between the least and the most of what went in, so that nothing smoothed leaves a limit. */
function withinRange(low: Float64Array, values: Float64Array): Float64Array {
  let [least, most] = [Infinity, -Infinity];
  for (const value of values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return low.map((value) => Math.min(most, Math.max(least, value)));
}

/** The frames' own times where they lie evenly; else as many, evenly. */
function gridOf(stream: StoredStream, first: number, last: number, usual_s: number): readonly number[] {
  const [from_s, to_s] = [stream.time(first), stream.time(last)];
  const own = Array.from({ length: last - first + 1 }, (_, f) => stream.time(first + f));
  const interval_s = (to_s - from_s) / Math.max(1, last - first);
  if (own.every((t_s, f) => Math.abs(t_s - from_s - f * interval_s) <= EVENLY * interval_s)) return own;
  const steps = Math.max(1, Math.round((to_s - from_s) / usual_s));
  return Array.from({ length: steps + 1 }, (_, f) => (f === steps ? to_s : from_s + ((to_s - from_s) * f) / steps));
}

/**
 * Values below a frequency, evenly spaced by interval_s, filtered both ways; as many as came in. The ends are continued by
 * turning the signal about them (odd reflection) over three periods of the cut-off, so that they stay where they are.
 */
export function lowPass(values: Float64Array, cutoff_hz: number, interval_s: number): Float64Array {
  const n = values.length;
  if (n < 3) return values.slice();
  const pad = Math.min(n - 1, Math.ceil(3 / (cutoff_hz * interval_s)));
  const long = new Float64Array(n + 2 * pad);
  long.set(values, pad);
  for (let k = 1; k <= pad; k++) {
    long[pad - k] = 2 * values[0]! - values[k]!;
    long[pad + n - 1 + k] = 2 * values[n - 1]! - values[n - 1 - k]!;
  }
  const low = filter(filter(long, cutoff_hz, interval_s).reverse(), cutoff_hz, interval_s).reverse();
  return low.slice(pad, pad + n);
}

/** After two passes of a second-order filter -3 dB lies at this share of one pass's cut-off: (√2 - 1)^¼ (Winter). */
const TWO_PASSES = (Math.SQRT2 - 1) ** 0.25;

/** One pass: bilinear transform of the second-order Butterworth filter, started as if it had always had its first value. */
function filter(values: Float64Array, cutoff_hz: number, interval_s: number): Float64Array {
  const w = Math.tan(Math.min(0.49, cutoff_hz * interval_s) * Math.PI) / TWO_PASSES;
  const a0 = (w * w) / (1 + Math.SQRT2 * w + w * w);
  const b1 = 2 * a0 * (1 / (w * w) - 1);
  const b2 = 1 - (4 * a0 + b1);
  const out = new Float64Array(values.length);
  let [x1, x2, y1, y2] = [values[0]!, values[0]!, values[0]!, values[0]!];
  for (let k = 0; k < values.length; k++) {
    const x = values[k]!;
    const y = a0 * (x + 2 * x1 + x2) + b1 * y1 + b2 * y2;
    out[k] = y;
    [x2, x1, y2, y1] = [x1, x, y1, y];
  }
  return out;
}

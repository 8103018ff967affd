/**
 * Finds in a measured record where something rings and dies away by itself: frequencies that stand out in its spectrum, how strong
 * each is over time, and the stretches over which it falls.
 */
import FFT from 'fft.js';

/** A record at even steps. */
export interface EvenRecord {
  readonly step_s: number;
  readonly values: Float64Array;
}

/** A stretch over which a frequency dies away: samples from `from` to `to`, and guesses of turn (rad/s) and decay (1/s). */
export interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly turn: number;
  readonly decay: number;
}

/** Peaks looked at in the spectrum of the whole, and of each window. */
const PEAKS = 3;
const WINDOWS = 7;
/** Frequencies nearer than this to one another are one. */
const SAME = 0.05;
const LOWEST_HZ = 0.2;
/** A period has at least so many samples, and the record at least so many periods. */
const SAMPLES_PER_PERIOD = 4;
const LEAST_PERIODS = 3;
/** Falling and rising are believed when they are more than this: shares of the last highest and lowest strength. */
const FALLEN = 0.85;
const RISEN = 1.25;
/** Below this share of the strongest it is silent. */
const SILENT = 0.02;
/** A decay falls to this at least. */
const DECAYED = 0.7;

/** Frequencies (Hz) that stand out in the record as a whole or in part of it, the strongest first. */
export function standingOut({ step_s, values }: EvenRecord): number[] {
  const found: { hz: number; power: number }[] = [];
  const half = Math.floor(values.length / 2);
  const quarter = Math.floor(values.length / 4);
  const parts = [values, values.subarray(half)];
  for (let k = 0; k < WINDOWS; k++) parts.push(values.subarray((k * quarter) >> 1, ((k * quarter) >> 1) + quarter));
  for (const part of parts)
    for (const peak of peaksOf(part, step_s))
      if (!found.some(({ hz }) => Math.abs(hz - peak.hz) < SAME * hz)) found.push(peak);
  return found.sort((a, b) => b.power - a.power).map(({ hz }) => hz);
}

/** The highest peaks of the spectrum: Hann window, padded to four times the length. */
function peaksOf(values: Float64Array, step_s: number): { hz: number; power: number }[] {
  const n = values.length;
  if (n < 16) return [];
  const size = 2 ** Math.ceil(Math.log2(4 * n));
  const fft = new FFT(size);
  const input = new Array<number>(size).fill(0);
  const mean = values.reduce((sum, value) => sum + value, 0) / n;
  for (let i = 0; i < n; i++) input[i] = (values[i]! - mean) * Math.sin((Math.PI * (i + 0.5)) / n) ** 2;
  const spectrum = fft.createComplexArray() as number[];
  fft.realTransform(spectrum, input);
  const power = (bin: number): number => spectrum[2 * bin]! ** 2 + spectrum[2 * bin + 1]! ** 2;
  const hzOf = 1 / (size * step_s);
  const first = Math.ceil(Math.max(LOWEST_HZ, LEAST_PERIODS / 2 / (n * step_s)) / hzOf);
  const last = Math.floor(size / SAMPLES_PER_PERIOD);
  const peaks: { hz: number; power: number }[] = [];
  for (let bin = Math.max(1, first); bin < last; bin++)
    if (power(bin) > power(bin - 1) && power(bin) >= power(bin + 1))
      peaks.push({ hz: bin * hzOf, power: power(bin) / n ** 2 });
  return peaks.sort((a, b) => b.power - a.power).slice(0, PEAKS);
}

/** Sums from the start on, so that a mean over any window is one subtraction. */
const running = (values: Float64Array): Float64Array => {
  const sums = new Float64Array(values.length + 1);
  values.forEach((value, i) => (sums[i + 1] = sums[i]! + value));
  return sums;
};
const smoothed = (values: Float64Array, width: number): Float64Array => {
  const sums = running(values);
  return Float64Array.from({ length: values.length - width + 1 }, (_, i) => (sums[i + width]! - sums[i]!) / width);
};

/**
 * The part of the record that turns at hz, as a slow complex number: the mean over a period, twice, of the record turned back.
 * Sample k of it stands for sample k + `late` of the record.
 */
function demodulated(
  { step_s, values }: EvenRecord,
  hz: number,
): { re: Float64Array; im: Float64Array; late: number } | null {
  const period = Math.round(1 / (hz * step_s));
  if (period < SAMPLES_PER_PERIOD || values.length < 2 * period + LEAST_PERIODS * period) return null;
  const turn = 2 * Math.PI * hz * step_s;
  const part = (of: (angle: number) => number): Float64Array =>
    smoothed(
      smoothed(
        Float64Array.from(values, (value, i) => value * of(turn * i)),
        period,
      ),
      period,
    );
  return { re: part((angle) => Math.cos(angle)), im: part((angle) => -Math.sin(angle)), late: period - 1 };
}

/** Where the frequency dies away, each stretch from a period behind its strongest moment to where it rises again or is lost. */
export function stretchesOf(record: EvenRecord, hz: number): Stretch[] {
  const slow = demodulated(record, hz);
  if (!slow) return [];
  const { re, im, late } = slow;
  const strength = re.map((value, i) => Math.hypot(value, im[i]!));
  const period = Math.round(1 / (hz * record.step_s));
  const stretches: Stretch[] = [];
  for (const [top, bottom] of falls(strength)) {
    const from = Math.min(top + period, bottom);
    if (bottom - from < LEAST_PERIODS * period || strength[bottom]! > DECAYED * strength[from]!) continue;
    const [decay, drift] = lines(re, im, strength, from, bottom).map((slope) => slope / record.step_s);
    const turn = 2 * Math.PI * hz + (drift ?? 0);
    stretches.push({
      from: from + late,
      to: Math.min(bottom + late, record.values.length - 1),
      turn,
      decay: -(decay ?? 0),
    });
  }
  return stretches;
}

/** From each top to the bottom behind it: where it rises again, or falls silent. */
function falls(strength: Float64Array): [top: number, bottom: number][] {
  const silent = SILENT * strength.reduce((most, value) => Math.max(most, value), 0);
  const found: [number, number][] = [];
  let top = 0;
  let bottom = 0;
  let falling = false;
  for (let i = 0; i < strength.length; i++) {
    const value = strength[i]!;
    if (!falling) {
      if (value >= strength[top]!) top = i;
      else if (value < FALLEN * strength[top]!) [falling, bottom] = [true, i];
      continue;
    }
    if (value < strength[bottom]!) bottom = i;
    if (value > RISEN * strength[bottom]! || value < silent || i === strength.length - 1) {
      if (strength[top]! > 2 * silent) found.push([top, bottom]);
      [falling, top] = [false, i];
    }
  }
  return found;
}

/** Slopes a sample of ln(strength) and of the angle, by least squares. */
function lines(re: Float64Array, im: Float64Array, strength: Float64Array, from: number, to: number): [number, number] {
  const n = to - from + 1;
  const middle = (n - 1) / 2;
  let [size, turned, weight, angle] = [0, 0, 0, Math.atan2(im[from]!, re[from]!)];
  let before = angle;
  for (let k = 0; k < n; k++) {
    const now = Math.atan2(im[from + k]!, re[from + k]!);
    angle += Math.atan2(Math.sin(now - before), Math.cos(now - before));
    before = now;
    size += (k - middle) * Math.log(Math.max(strength[from + k]!, Number.MIN_VALUE));
    turned += (k - middle) * angle;
    weight += (k - middle) ** 2;
  }
  return [size / weight, turned / weight];
}

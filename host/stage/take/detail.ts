/**
 * What a recording has beside its keys: frame by frame the difference between what its file says and the curve through its keys. So a
 * file that is opened is judged, played and saved as it stands, and an edit changes what it edits.
 */
import { samplesOf, valueAt } from './curve.ts';
import { FRAME_HZ, type Curve, type Key, type Take, curveOf } from './take.ts';

/** Frames that are nearer to the curve than this need no detail, mm or deg. */
const NONE = 1e-5;
/** A curve that an edit moves by no more than this was not meant, mm or deg: pieces.ts keeps what it leaves alone so nearly. */
const MEANT = 0.02 + 1e-9;
/** Over so many frames within an edit the detail around it fades. */
const FADES = 10;

/** What a column is asked earlier than its keys, ms, as exact as the file keeps it. */
export const leadOf = ({ leads_ms }: Take, column: string): number => Math.round((leads_ms?.[column] ?? 0) * 1e6) / 1e6;

/** Keys, earlier by the lead. */
export const led = (keys: readonly Key[], lead_ms: number): readonly Key[] =>
  lead_ms === 0 ? keys : keys.map(({ t_s, value }) => ({ t_s: t_s - lead_ms / 1000, value }));

/** Six decimals, as streams are written: no number changes by being saved. */
export const rounded = (value: number): number => Math.round(value * 1e6) / 1e6 || 0;
/** A key as it is written. */
export const roundedKey = ({ t_s, value }: Key): Key => ({ t_s: rounded(t_s), value: rounded(value) });

/** To a tenth of the last digit that a file has: frames come out as they went in. */
const tenth = (value: number): number => Math.round(value * 1e7) / 1e7 || 0;

/** What the frames have beside the keys; undefined: nothing. */
export function detailOf(keys: readonly Key[], samples: ArrayLike<number>): readonly number[] | undefined {
  const curve = samplesOf(keys, (samples.length - 1) / FRAME_HZ);
  const detail = Array.from(samples, (value, n) => tenth(value - curve[n]!));
  return detail.some((value) => Math.abs(value) >= NONE) ? detail : undefined;
}

/** What a curve asks at 50 frames a second, its lead counted, mm or deg. */
export function framesOf(take: Take, { column, keys, detail }: Curve): Float64Array {
  const frames = samplesOf(led(keys, leadOf(take, column)), take.seconds);
  return detail ? frames.map((value, n) => value + (detail[n] ?? 0)) : frames;
}

/** What a curve asks at a time of the take, its lead counted, between frames by its keys: mm or deg. */
export function askedAt(take: Take, curve: Curve, t_s: number): number {
  const asked = valueAt(curve.keys, t_s + leadOf(take, curve.column) / 1000);
  return asked + (curve.detail?.[Math.round(t_s * FRAME_HZ)] ?? 0);
}

/** The take after an edit of curves, with the detail of the one before wherever the edit left the curve as it was. */
export function withDetail(before: Take, after: Take): Take {
  const curves = after.curves.map((curve): Curve => {
    const was = curveOf(before, curve.column);
    if (!was?.detail) return curve;
    if (was.keys === curve.keys) return { ...curve, detail: curve.detail ?? was.detail };
    // Keys as they are written: what is written is then what is played.
    const written = { ...curve, keys: curve.keys.map(roundedKey) };
    return { ...written, detail: carried(before, was, after, written) };
  });
  return { ...after, curves };
}

function carried(before: Take, was: Curve, after: Take, curve: Curve): readonly number[] {
  const [old, now] = [
    samplesOf(led(was.keys, leadOf(before, was.column)), after.seconds),
    samplesOf(led(curve.keys, leadOf(after, curve.column)), after.seconds),
  ];
  // Where nothing was meant, the frames stay to the last digit, however many edits there are.
  const detail = Array.from(now, (value, n) => tenth(rounded((was.detail![n] ?? 0) + old[n]!) - value));
  for (const { first, last } of runs(old, now)) {
    const [left, right] = [detail[first - 1] ?? 0, detail[last + 1] ?? 0];
    for (let n = first; n <= last; n++)
      detail[n] = tenth(left * faded(n - first + 1, last - first + 2) + right * faded(last + 1 - n, last - first + 2));
  }
  return detail;
}

/** What is left of a detail so many frames into an edit of `length`: an S from 1 down to 0. */
function faded(frames: number, length: number): number {
  const share = Math.max(0, 1 - frames / Math.min(FADES, length));
  return share * share * (3 - 2 * share);
}

/** Where one curve was moved to the other, first and last frame; what stands for less than two fades between belongs to it. */
function runs(old: Float64Array, now: Float64Array): { readonly first: number; last: number }[] {
  const found: { readonly first: number; last: number }[] = [];
  for (let n = 0; n < now.length; n++) {
    if (Math.abs(now[n]! - old[n]!) <= MEANT) continue;
    const run = found.at(-1);
    if (run && n - run.last <= 2 * FADES) run.last = n;
    else found.push({ first: n, last: n });
  }
  return found;
}

/** The detail of a stretch, with its keys as of a take that begins with it. */
export function trimmedDetail(
  take: Take,
  curve: Curve,
  { from_s, to_s, keys }: { readonly from_s: number; readonly to_s: number; readonly keys: readonly Key[] },
): Curve['detail'] {
  if (!curve.detail) return undefined;
  const frames = framesOf(take, curve).slice(Math.round(from_s * FRAME_HZ), Math.round(to_s * FRAME_HZ) + 1);
  return detailOf(led(keys, leadOf(take, curve.column)), frames);
}

/** The take after its lead was changed: its detail is asked as much earlier or later as its keys are. */
export function withLead(take: Take, column: string, lead_ms: number): Take {
  const frames = ((lead_ms - leadOf(take, column)) * FRAME_HZ) / 1000;
  const curves = take.curves.map((curve): Curve => {
    if (curve.column !== column || !curve.detail) return curve;
    const { detail } = curve;
    const at = (n: number): number => detail[Math.max(0, Math.min(detail.length - 1, n))]!;
    return {
      ...curve,
      detail: detail.map((_, n) => {
        const [whole, part] = [Math.floor(n + frames), n + frames - Math.floor(n + frames)];
        return tenth(at(whole) * (1 - part) + at(whole + 1) * part);
      }),
    };
  });
  return { ...take, curves, leads_ms: { ...take.leads_ms, [column]: lead_ms } };
}

/**
 * What is done to a take: each edit is plain data, and `edited` makes the next take of it. Times are s of the take, values mm or deg.
 */
import { lowPass } from '../../stream/smooth.ts';
import { keysThrough, valueAt } from './curve.ts';
import { trimmedDetail, withDetail, withLead } from './detail.ts';
import { type Piece, SAME_S, keysWithin, withPiece } from './pieces.ts';
import { FRAME_HZ, type Curve, type Key, type Mark, type Sound, type Take, curveOf, withCurve } from './take.ts';

/** A stretch of some columns: from_s < to_s. */
export interface Stretch {
  readonly columns: readonly string[];
  readonly from_s: number;
  readonly to_s: number;
}

export type Edit =
  | { readonly kind: 'key'; readonly column: string; readonly key: Key; readonly instead_s?: number }
  | { readonly kind: 'unkey'; readonly column: string; readonly t_s: number }
  /** Samples at 50 Hz of some columns from an instant on, over what is there: a layer. */
  | { readonly kind: 'layer'; readonly from_s: number; readonly samples: ReadonlyMap<string, Float64Array> }
  | { readonly kind: 'move'; readonly stretch: Stretch; readonly by_s: number }
  | { readonly kind: 'stretch'; readonly stretch: Stretch; readonly times: number }
  | { readonly kind: 'copy'; readonly stretch: Stretch; readonly to_s: number }
  | { readonly kind: 'reverse' | 'mirror' | 'ease' | 'clear'; readonly stretch: Stretch }
  | { readonly kind: 'scale'; readonly stretch: Stretch; readonly times: number }
  /** Without what is faster than this, Hz. */
  | { readonly kind: 'smooth'; readonly stretch: Stretch; readonly cutoff_hz: number }
  | { readonly kind: 'loop'; readonly stretch: Stretch; readonly count: number }
  | { readonly kind: 'trim'; readonly from_s: number; readonly to_s: number }
  /** Another take's curves, faded over to from an instant on. */
  | { readonly kind: 'blend'; readonly other: Take; readonly at_s: number; readonly fade_s: number }
  | { readonly kind: 'marks'; readonly marks: readonly Mark[] }
  | { readonly kind: 'sound'; readonly sound: Sound | null }
  /** How much earlier these are asked, because their servos are late, ms; 0: as they stand. */
  | { readonly kind: 'lead'; readonly columns: readonly string[]; readonly lead_ms: number }
  | { readonly kind: 'name'; readonly name: string }
  /** What another module made of it: a retimed, softened or smoothed take. */
  | { readonly kind: 'whole'; readonly take: Take };

/** What a recording may miss by when it becomes keys, mm or deg. */
export const RECORDED_WITHIN = 0.1;
/** Columns whose sign turns when left becomes right: the prop looks along x, y is to its left. */
const MIRRORED = ['y_mm', 'roll_deg', 'yaw_deg'];
/** What smoothing may miss by when it becomes keys, mm or deg. */
const SMOOTHED_WITHIN = 0.02;

/** The take after an edit; what a recording has beside its keys stays where the edit leaves it alone. */
export function edited(take: Take, edit: Edit): Take {
  if (edit.kind === 'whole') return edit.take;
  if (edit.kind === 'trim') return trimmed(take, edit.from_s, edit.to_s);
  return withDetail(take, changedBy(take, edit));
}

function changedBy(take: Take, edit: Exclude<Edit, { kind: 'whole' | 'trim' }>): Take {
  switch (edit.kind) {
    case 'key':
      return withKey(take, edit.column, edit.key, edit.instead_s);
    case 'unkey':
      return onCurve(take, edit.column, (keys) => keys.filter(({ t_s }) => Math.abs(t_s - edit.t_s) > SAME_S));
    case 'layer':
      return layered(take, edit.from_s, edit.samples);
    case 'blend':
      return blended(take, edit.other, edit.at_s, edit.fade_s);
    case 'marks':
      return { ...take, marks: [...edit.marks].sort((a, b) => a.t_s - b.t_s) };
    case 'sound':
      return { ...take, sound: edit.sound };
    case 'lead':
      return edit.columns.reduce((led, column) => withLead(led, column, edit.lead_ms), take);
    case 'name':
      return { ...take, name: edit.name };
    default:
      return onStretch(take, edit);
  }
}

const onCurve = (take: Take, column: string, change: (keys: readonly Key[]) => readonly Key[]): Take =>
  withCurve(take, { column, keys: change(curveOf(take, column)?.keys ?? []) });

function withKey(take: Take, column: string, key: Key, instead_s?: number): Take {
  const put = onCurve(take, column, (keys) => keysWith(keys, key, instead_s));
  return { ...put, seconds: Math.max(put.seconds, key.t_s) };
}

/** The keys with one more, in the place of one at the same instant and of one at instead_s. */
export function keysWith(keys: readonly Key[], { t_s, value }: Key, instead_s = NaN): Key[] {
  const at_s = Math.max(0, t_s);
  const others = keys.filter((key) => Math.abs(key.t_s - at_s) > SAME_S && !(Math.abs(key.t_s - instead_s) <= SAME_S));
  return [...others, { t_s: at_s, value }].sort((a, b) => a.t_s - b.t_s);
}

function layered(take: Take, from_s: number, samples: ReadonlyMap<string, Float64Array>): Take {
  let next = take;
  for (const [column, values] of samples) {
    if (values.length === 0) continue;
    const to_s = micro(from_s + (values.length - 1) / FRAME_HZ);
    const keys = keysThrough(values, from_s, RECORDED_WITHIN);
    next = onCurve(next, column, (before) => withPiece(before, { from_s, to_s, keys, want: null }, take.seconds));
    next = { ...next, seconds: Math.max(next.seconds, to_s) };
  }
  return next;
}

/** To the microsecond, as files have it. */
const micro = (t_s: number): number => Math.round(t_s * 1e6) / 1e6;

type StretchEdit = Extract<Edit, { readonly stretch: Stretch }>;

function onStretch(take: Take, edit: StretchEdit): Take {
  let next = take;
  for (const column of edit.stretch.columns) {
    const keys = curveOf(take, column)?.keys ?? [];
    if (keys.length === 0) continue;
    const pieces = piecesOf(keys, edit, column);
    next = onCurve(next, column, (before) =>
      pieces.reduce<readonly Key[]>((now, piece) => withPiece(now, piece, take.seconds), before),
    );
    next = { ...next, seconds: Math.max(next.seconds, ...pieces.map(({ to_s }) => to_s)) };
  }
  return next;
}

/** What the edit puts over a curve, one piece after the other. */
function piecesOf(keys: readonly Key[], edit: StretchEdit, column: string): Piece[] {
  const { from_s, to_s } = edit.stretch;
  const gone: Piece = { from_s, to_s, keys: [], want: null };
  const moved = (by_s: number): Piece => mapped(keys, from_s, to_s, from_s + by_s, 1);
  switch (edit.kind) {
    case 'clear':
      return [gone];
    case 'move':
      return [gone, moved(Math.max(-from_s, edit.by_s))];
    case 'copy':
      return [moved(edit.to_s - from_s)];
    case 'loop':
      // A frame between two of them: the end of one and the beginning of the next may differ.
      return Array.from({ length: Math.max(0, edit.count - 1) }, (_, n) =>
        moved((n + 1) * (to_s - from_s + 1 / FRAME_HZ)),
      );
    case 'stretch':
      return [gone, mapped(keys, from_s, to_s, from_s, edit.times)];
    case 'reverse':
      return [reversed(keys, from_s, to_s)];
    case 'ease':
      return [{ from_s, to_s, keys: [0, 1].map((end) => keysWithin(keys, from_s, to_s).at(-end)!), want: null }];
    case 'smooth':
      return [smoothed(keys, edit)];
    default:
      return [valued(keys, edit, column)];
  }
}

/** The stretch, `times` as long, from at_s on. */
function mapped(keys: readonly Key[], from_s: number, to_s: number, at_s: number, times: number): Piece {
  const there = (t_s: number): number => micro(at_s + (t_s - from_s) * times);
  return {
    from_s: micro(at_s),
    to_s: there(to_s),
    keys: keysWithin(keys, from_s, to_s).map(({ t_s, value }) => ({ t_s: there(t_s), value })),
    want: (t_s) => valueAt(keys, from_s + (t_s - at_s) / times),
  };
}

function reversed(keys: readonly Key[], from_s: number, to_s: number): Piece {
  const there = (t_s: number): number => micro(from_s + to_s - t_s);
  const turned = keysWithin(keys, from_s, to_s).map(({ t_s, value }) => ({ t_s: there(t_s), value }));
  return { from_s, to_s, keys: turned.reverse(), want: (t_s) => valueAt(keys, there(t_s)) };
}

/** Mirrored, or its departures from the straight line between its ends made larger or smaller. */
function valued(keys: readonly Key[], edit: StretchEdit, column: string): Piece {
  const { from_s, to_s } = edit.stretch;
  const [first, last] = [valueAt(keys, from_s), valueAt(keys, to_s)];
  const line = (t_s: number): number => first + ((last - first) * (t_s - from_s)) / (to_s - from_s);
  const mirrors = MIRRORED.includes(column);
  const to = (t_s: number, value: number): number => {
    if (edit.kind === 'scale') return line(t_s) + (value - line(t_s)) * edit.times;
    return mirrors ? -value || 0 : value;
  };
  return {
    from_s,
    to_s,
    keys: keysWithin(keys, from_s, to_s).map(({ t_s, value }) => ({ t_s, value: to(t_s, value) })),
    want: (t_s) => to(t_s, valueAt(keys, t_s)),
  };
}

/** As `retime --smooth` does it, frame by frame, the ends where they are. */
function smoothed(keys: readonly Key[], edit: Extract<StretchEdit, { kind: 'smooth' }>): Piece {
  const { from_s, to_s } = edit.stretch;
  const count = Math.round((to_s - from_s) * FRAME_HZ) + 1;
  const values = Float64Array.from({ length: count }, (_, n) => valueAt(keys, from_s + n / FRAME_HZ));
  const low = lowPass(values, edit.cutoff_hz, 1 / FRAME_HZ);
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const held = low.map((value) => Math.max(least, Math.min(most, value)));
  return { from_s, to_s, keys: keysThrough(held, from_s, SMOOTHED_WITHIN), want: null };
}

function trimmed(take: Take, from_s: number, to_s: number): Take {
  const curves = take.curves.map((curve): Curve => {
    const piece = mapped(curve.keys, from_s, to_s, 0, 1);
    const keys = withPiece([], piece, piece.to_s);
    return { ...curve, keys, detail: trimmedDetail(take, curve, { from_s, to_s, keys }) };
  });
  const marks = take.marks
    .filter(({ t_s }) => t_s >= from_s && t_s <= to_s)
    .map(({ t_s, name }) => ({ t_s: t_s - from_s, name }));
  const sound = take.sound && { ...take.sound, at_s: take.sound.at_s - from_s };
  return { ...take, seconds: micro(to_s - from_s), curves, marks, sound };
}

function blended(take: Take, other: Take, at_s: number, fade_s: number): Take {
  const seconds = Math.max(take.seconds, at_s + other.seconds);
  const columns = [...new Set([...take.curves, ...other.curves].map(({ column }) => column))];
  const curves = columns.map((column): Curve => {
    const mine = curveOf(take, column)?.keys;
    const theirs = curveOf(other, column)?.keys.map(({ t_s, value }) => ({ t_s: micro(t_s + at_s), value }));
    if (!mine || !theirs) return { column, keys: mine ?? theirs ?? [] };
    const count = Math.round((seconds - at_s) * FRAME_HZ) + 1;
    const values = Float64Array.from({ length: count }, (_, n) => {
      const t_s = at_s + n / FRAME_HZ;
      return mixed(valueAt(mine, t_s), valueAt(theirs, t_s), n / FRAME_HZ / Math.max(1 / FRAME_HZ, fade_s));
    });
    const keys = keysThrough(values, at_s, RECORDED_WITHIN);
    return { column, keys: withPiece(mine, { from_s: at_s, to_s: seconds, keys, want: null }, take.seconds) };
  });
  const marks = [...take.marks, ...other.marks.map(({ t_s, name }) => ({ t_s: t_s + at_s, name }))];
  return { ...take, seconds, curves, marks: marks.sort((a, b) => a.t_s - b.t_s) };
}

/** From one value to another as the share goes from 0 to 1, along an S that begins and ends level. */
export function mixed(from: number, to: number, share: number): number {
  const u = Math.max(0, Math.min(1, share));
  return from + u * u * (3 - 2 * u) * (to - from);
}

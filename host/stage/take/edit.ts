/**
 * What is done to a take: each edit is plain data, and `edited` makes the next take of it. Times are s of the take, values mm or deg.
 */
import { keyBefore, keysThrough, samplesOf, valueAt } from './curve.ts';
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
  | { readonly kind: 'loop'; readonly stretch: Stretch; readonly count: number }
  | { readonly kind: 'trim'; readonly from_s: number; readonly to_s: number }
  /** Another take's curves, faded over to from an instant on. */
  | { readonly kind: 'blend'; readonly other: Take; readonly at_s: number; readonly fade_s: number }
  | { readonly kind: 'marks'; readonly marks: readonly Mark[] }
  | { readonly kind: 'sound'; readonly sound: Sound | null }
  | { readonly kind: 'name'; readonly name: string }
  /** What another module made of it: a retimed, softened or smoothed take. */
  | { readonly kind: 'whole'; readonly take: Take };

/** What a recording may miss by when it becomes keys, mm or deg. */
export const RECORDED_WITHIN = 0.1;
/** Columns whose sign turns when left becomes right: the prop looks along x, y is to its left. */
const MIRRORED = ['y_mm', 'roll_deg', 'yaw_deg'];
/** Nearer than this two keys are one, s. */
const SAME_S = 1e-4;

export function edited(take: Take, edit: Edit): Take {
  switch (edit.kind) {
    case 'key':
      return withKey(take, edit.column, edit.key, edit.instead_s);
    case 'unkey':
      return onCurve(take, edit.column, (keys) => keys.filter(({ t_s }) => Math.abs(t_s - edit.t_s) > SAME_S));
    case 'layer':
      return layered(take, edit.from_s, edit.samples);
    case 'trim':
      return trimmed(take, edit.from_s, edit.to_s);
    case 'blend':
      return blended(take, edit.other, edit.at_s, edit.fade_s);
    case 'marks':
      return { ...take, marks: [...edit.marks].sort((a, b) => a.t_s - b.t_s) };
    case 'sound':
      return { ...take, sound: edit.sound };
    case 'name':
      return { ...take, name: edit.name };
    case 'whole':
      return edit.take;
    default:
      return onStretch(take, edit);
  }
}

const onCurve = (take: Take, column: string, change: (keys: readonly Key[]) => readonly Key[]): Take =>
  withCurve(take, { column, keys: change(curveOf(take, column)?.keys ?? []) });

function withKey(take: Take, column: string, key: Key, instead_s?: number): Take {
  const at_s = Math.max(0, key.t_s);
  const put = onCurve(take, column, (keys) =>
    [
      ...keys.filter(
        ({ t_s }) => Math.abs(t_s - at_s) > SAME_S && (instead_s === undefined || Math.abs(t_s - instead_s) > SAME_S),
      ),
      { t_s: at_s, value: key.value },
    ].sort((a, b) => a.t_s - b.t_s),
  );
  return { ...put, seconds: Math.max(put.seconds, at_s) };
}

function layered(take: Take, from_s: number, samples: ReadonlyMap<string, Float64Array>): Take {
  let next = take;
  for (const [column, values] of samples) {
    const to_s = from_s + (values.length - 1) / FRAME_HZ;
    const keys = keysThrough(values, from_s, RECORDED_WITHIN);
    next = onCurve(next, column, (before) => replaced(before, from_s, to_s, keys));
    next = { ...next, seconds: Math.max(next.seconds, to_s) };
  }
  return next;
}

/** Keys with those of a stretch in the place of what was there; outside of it the curve keeps its value at both edges. */
function replaced(keys: readonly Key[], from_s: number, to_s: number, put: readonly Key[]): Key[] {
  const edge = (t_s: number): Key[] =>
    t_s > (keys[0]?.t_s ?? Infinity) && t_s < (keys.at(-1)?.t_s ?? -Infinity)
      ? [{ t_s, value: valueAt(keys, t_s) }]
      : [];
  const before = keys.filter(({ t_s }) => t_s < from_s - 2 / FRAME_HZ);
  const after = keys.filter(({ t_s }) => t_s > to_s + 2 / FRAME_HZ);
  return [...before, ...edge(from_s - 1 / FRAME_HZ), ...put, ...edge(to_s + 1 / FRAME_HZ), ...after];
}

type StretchEdit = Extract<Edit, { readonly stretch: Stretch }>;

/** What becomes of the keys of a stretch, which begin at 0 and end at `long_s`, an end key at both. */
function onStretch(take: Take, edit: StretchEdit): Take {
  const { columns, from_s, to_s } = edit.stretch;
  const long_s = to_s - from_s;
  let next = take;
  for (const column of columns) {
    const keys = curveOf(take, column)?.keys ?? [];
    if (keys.length === 0) continue;
    const inside = within(keys, from_s, to_s);
    const put = (at_s: number, what: readonly Key[], over = at_s + (what.at(-1)?.t_s ?? 0)): void => {
      const there = what.map(({ t_s, value }) => ({ t_s: t_s + at_s, value })).filter(({ t_s }) => t_s >= 0);
      next = onCurve(next, column, (now) => replaced(now, at_s, over, there));
      next = { ...next, seconds: Math.max(next.seconds, over) };
    };
    if (edit.kind === 'move') {
      next = onCurve(next, column, (now) => now.filter(({ t_s }) => t_s < from_s || t_s > to_s));
      put(from_s + edit.by_s, inside);
    } else if (edit.kind === 'copy') put(edit.to_s, inside);
    else if (edit.kind === 'loop') for (let n = 1; n < edit.count; n++) put(from_s + n * long_s + n / FRAME_HZ, inside);
    else if (edit.kind === 'clear')
      next = onCurve(next, column, (now) => now.filter(({ t_s }) => t_s < from_s || t_s > to_s));
    else
      put(from_s, changed(inside, edit, column, long_s), from_s + long_s * (edit.kind === 'stretch' ? edit.times : 1));
  }
  return next;
}

/** The keys of a stretch, from 0 on, with one at each end. */
function within(keys: readonly Key[], from_s: number, to_s: number): Key[] {
  const inner = keys
    .slice(keyBefore(keys, from_s) + 1)
    .filter(({ t_s }) => t_s > from_s + SAME_S && t_s < to_s - SAME_S);
  return [
    { t_s: 0, value: valueAt(keys, from_s) },
    ...inner.map(({ t_s, value }) => ({ t_s: t_s - from_s, value })),
    { t_s: to_s - from_s, value: valueAt(keys, to_s) },
  ];
}

function changed(keys: readonly Key[], edit: StretchEdit, column: string, long_s: number): Key[] {
  const [first, last] = [keys[0]!.value, keys.at(-1)!.value];
  switch (edit.kind) {
    case 'stretch':
      return keys.map(({ t_s, value }) => ({ t_s: t_s * edit.times, value }));
    case 'reverse':
      return keys.map(({ t_s, value }) => ({ t_s: long_s - t_s, value })).reverse();
    case 'mirror':
      return keys.map(({ t_s, value }) => ({ t_s, value: MIRRORED.includes(column) ? -value || 0 : value }));
    case 'scale': {
      const line = (t_s: number): number => first + ((last - first) * t_s) / long_s;
      return keys.map(({ t_s, value }) => ({ t_s, value: line(t_s) + (value - line(t_s)) * edit.times }));
    }
    case 'ease':
      return [keys[0]!, keys.at(-1)!];
    default:
      return [...keys];
  }
}

function trimmed(take: Take, from_s: number, to_s: number): Take {
  const curves = take.curves.map(({ column, keys }): Curve => ({ column, keys: within(keys, from_s, to_s) }));
  const marks = take.marks
    .filter(({ t_s }) => t_s >= from_s && t_s <= to_s)
    .map(({ t_s, name }) => ({ t_s: t_s - from_s, name }));
  const sound = take.sound && { ...take.sound, at_s: take.sound.at_s - from_s };
  return { ...take, seconds: to_s - from_s, curves, marks, sound };
}

function blended(take: Take, other: Take, at_s: number, fade_s: number): Take {
  const seconds = Math.max(take.seconds, at_s + other.seconds);
  const columns = [...new Set([...take.curves, ...other.curves].map(({ column }) => column))];
  const curves = columns.map((column): Curve => {
    const mine = curveOf(take, column)?.keys;
    const theirs = curveOf(other, column)?.keys.map(({ t_s, value }) => ({ t_s: t_s + at_s, value }));
    if (!mine || !theirs) return { column, keys: mine ?? theirs ?? [] };
    const values = samplesOf(mine, seconds).map((value, n) => {
      const share = Math.max(0, Math.min(1, (n / FRAME_HZ - at_s) / fade_s));
      // An S that begins and ends level.
      const weight = share * share * (3 - 2 * share);
      return value + weight * (valueAt(theirs, n / FRAME_HZ) - value);
    });
    return { column, keys: keysThrough(values, 0, RECORDED_WITHIN) };
  });
  const marks = [...take.marks, ...other.marks.map(({ t_s, name }) => ({ t_s: t_s + at_s, name }))];
  return { ...take, seconds, curves, marks: marks.sort((a, b) => a.t_s - b.t_s) };
}

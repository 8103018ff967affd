/**
 * Two components of a pose as a map: at each place what stops the platform there, or nothing. Each place on its own, so that
 * what is in reach but cut off from where the prop stands shows too.
 */
import { type Stop, whatStops } from '../physics/inverse.ts';
import { MARGINS, marginsInto } from '../physics/margins.ts';
import { type PoseAxis, travelAlong } from '../physics/travel.ts';
import type { Pose, Rig } from '../rig/rig.ts';
import { nameOf, shownAs, unitOf } from './axes.ts';
import type { Plane } from './result.ts';

/** The component's values at the middle of the first and of the last place, mm or rad. */
interface Span {
  readonly axis: PoseAxis;
  readonly from: number;
  readonly to: number;
}

/** A map with what its picture needs besides. */
export interface PlaneMap {
  readonly plane: Plane;
  /** Row by row from the lowest: the least margin of all stops there, above 0 in reach; 0 is the edge (margins.ts). */
  readonly room: Float64Array;
  readonly columns: number;
  readonly rows: number;
}

const COLUMNS = 121;
const ROWS = 121;
/** Columns and rows of the map that looks for the edges. */
const COARSE = 33;
/** Around what is in reach, as a share of it. */
const AROUND = 0.15;
const WIDENINGS = 12;
const LETTERS = 'abcdefghijklmnopqrstuvwxyz';

/** The map about a pose, as far as what is in reach goes on in one piece from there. */
export function planeAbout(rig: Rig, at: Pose, across: PoseAxis, up: PoseAxis): PlaneMap {
  const { spans } = framed(rig, at, startSpan(rig, at, across), startSpan(rig, at, up));
  return mapOf(rig, at, spans, COLUMNS, ROWS);
}

/** Half a turn is all a turn shows. */
function limited({ axis, from, to }: Span, at: Pose): Span {
  if (axis < 3) return { axis, from, to };
  return { axis, from: Math.max(from, at[axis] - Math.PI), to: Math.min(to, at[axis] + Math.PI) };
}

function startSpan(rig: Rig, at: Pose, axis: PoseAxis): Span {
  const [minus, plus] = [travelAlong(rig, at, axis, -1).by, travelAlong(rig, at, axis, 1).by];
  const least = axis < 3 ? 1 : Math.PI / 180;
  return widened({ axis, from: at[axis] - Math.max(minus, least), to: at[axis] + Math.max(plus, least) }, AROUND);
}

const widened = ({ axis, from, to }: Span, share: number): Span => ({
  axis,
  from: from - share * (to - from),
  to: to + share * (to - from),
});

type Spans = readonly [across: Span, up: Span];

/** Widens both spans until what is in reach around `at` no longer touches their edge, then closes in on it. */
function framed(rig: Rig, at: Pose, across: Span, up: Span): { readonly spans: Spans } {
  let spans: Spans = [limited(across, at), limited(up, at)];
  for (let n = 0; n < WIDENINGS; n++) {
    const box = pieceAround(at, spans, mapOf(rig, at, spans, COARSE, COARSE));
    const next = ([0, 1] as const).map((k) => limited(fitted(spans[k], box[k]), at));
    const [a, b] = next;
    if (!a || !b) break;
    const same = [a, b].every((span, k) => Math.abs(span.to - span.from - width(spans[k as 0 | 1])) < 1e-9);
    spans = [a, b];
    if (same || (isInside(box[0]) && isInside(box[1]))) break;
  }
  return { spans };
}

const width = ({ from, to }: Span): number => to - from;

/** First and last column or row that the piece takes. */
type Taken = readonly [first: number, last: number];
const isInside = ([first, last]: Taken): boolean => first > 0 && last < COARSE - 1;

/** A span with room around what is taken of it; where that touches an end, half as much again there. */
function fitted(span: Span, [first, last]: Taken): Span {
  const step = width(span) / (COARSE - 1);
  const [from, to] = [span.from + (first - 1) * step, span.from + (last + 1) * step];
  const room = AROUND * (to - from);
  return {
    axis: span.axis,
    from: first > 0 ? from - room : span.from - width(span) / 2,
    to: last < COARSE - 1 ? to + room : span.to + width(span) / 2,
  };
}

/** The columns and rows of the piece in reach that holds the place nearest to `at`. */
function pieceAround(at: Pose, spans: Spans, { room, columns, rows }: PlaneMap): readonly [Taken, Taken] {
  const nearest = (span: Span, count: number): number =>
    Math.round(((at[span.axis] - span.from) / width(span)) * (count - 1));
  const [c, r] = [nearest(spans[0], columns), nearest(spans[1], rows)];
  const seen = new Set([r * columns + c]);
  const taken = { c: [c, c] as [number, number], r: [r, r] as [number, number] };
  for (const place of seen) {
    const [pc, pr] = [place % columns, Math.floor(place / columns)];
    taken.c = [Math.min(taken.c[0], pc), Math.max(taken.c[1], pc)];
    taken.r = [Math.min(taken.r[0], pr), Math.max(taken.r[1], pr)];
    for (const [nc, nr] of [
      [pc - 1, pr],
      [pc + 1, pr],
      [pc, pr - 1],
      [pc, pr + 1],
    ] as const)
      // prettier-ignore
      if (nc >= 0 && nc < columns && nr >= 0 && nr < rows && room[nr * columns + nc]! > 0) seen.add(nr * columns + nc);
  }
  return [taken.c, taken.r];
}

function mapOf(rig: Rig, at: Pose, [across, up]: Spans, columns: number, rows: number): PlaneMap {
  const room = new Float64Array(columns * rows);
  const margins = new Float64Array(MARGINS);
  const stops = new Map<string, { readonly letter: string; readonly stop: Stop }>();
  const letterOf = (stop: Stop): string => {
    const key = `${stop.joint} ${stop.cause}`;
    const known = stops.get(key) ?? { letter: LETTERS[stops.size] ?? '?', stop };
    stops.set(key, known);
    return known.letter;
  };
  const pose = [...at] as [number, number, number, number, number, number];
  const lines = Array.from({ length: rows }, (_, r) => {
    let line = '';
    for (let c = 0; c < columns; c++) {
      pose[across.axis] = across.from + (width(across) * c) / (columns - 1);
      pose[up.axis] = up.from + (width(up) * r) / (rows - 1);
      marginsInto(rig, pose, margins);
      const stop = whatStops(rig, pose);
      // Where the two differ by rounding, what stops the pose decides.
      const least = Math.min(...margins);
      room[r * columns + c] = stop ? Math.min(least, -1e-12) : Math.max(least, 1e-12);
      line += stop ? letterOf(stop) : '.';
    }
    return line;
  });
  const shown = ({ axis, from, to }: Span): readonly [number, number] => [shownAs(axis, from), shownAs(axis, to)];
  const plane: Plane = {
    axes: [nameOf(across.axis), nameOf(up.axis)],
    units: [unitOf(across.axis), unitOf(up.axis)],
    across: shown(across),
    up: shown(up),
    rows: lines,
    letters: Object.fromEntries([...stops.values()].map(({ letter, stop }) => [letter, stop])),
  };
  return { plane, room, columns, rows };
}

/**
 * Two components of a pose as a map: at each place what stops the platform there, or nothing. Each place on its own, so that
 * what is in reach but cut off from where the prop stands shows too.
 */
import { contours } from 'd3-contour';
import { type Stop, whatStops } from '../physics/kinematics/inverse.ts';
import { type PoseAxis, travelAlong } from '../physics/kinematics/travel.ts';
import type { Pose, Rig } from '../rig/rig.ts';
import { nameOf, shownAs, unitOf } from './axes.ts';
import type { Plane } from './result.ts';

/** The component's values at the middle of the first and of the last place, mm or rad. */
interface Span {
  readonly axis: PoseAxis;
  readonly from: number;
  readonly to: number;
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
export function planeAbout(rig: Rig, at: Pose, across: PoseAxis, up: PoseAxis): Plane {
  const spans = framed(rig, at, startSpan(rig, at, across), startSpan(rig, at, up));
  const map = mapOf(rig, at, spans, COLUMNS, ROWS);
  const shown = ({ axis, from, to }: Span): readonly [number, number] => [shownAs(axis, from), shownAs(axis, to)];
  return {
    axes: [nameOf(across), nameOf(up)],
    units: [unitOf(across), unitOf(up)],
    across: shown(spans[0]),
    up: shown(spans[1]),
    rows: map.rows,
    letters: map.letters,
    outlines: outlinesOf(rig, at, spans, map),
  };
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
function framed(rig: Rig, at: Pose, across: Span, up: Span): Spans {
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
  return spans;
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
function pieceAround(at: Pose, spans: Spans, { rows }: Places): readonly [Taken, Taken] {
  const nearest = (span: Span): number => Math.round(((at[span.axis] - span.from) / width(span)) * (COARSE - 1));
  const [c, r] = [nearest(spans[0]), nearest(spans[1])];
  const seen = new Set([r * COARSE + c]);
  const columns: [number, number] = [c, c];
  const taken: [number, number] = [r, r];
  for (const place of seen) {
    const [pc, pr] = [place % COARSE, Math.floor(place / COARSE)];
    [columns[0], columns[1]] = [Math.min(columns[0], pc), Math.max(columns[1], pc)];
    [taken[0], taken[1]] = [Math.min(taken[0], pr), Math.max(taken[1], pr)];
    for (const [nc, nr] of [
      [pc - 1, pr],
      [pc + 1, pr],
      [pc, pr - 1],
      [pc, pr + 1],
    ] as const)
      if (rows[nr]?.[nc] === IN_REACH) seen.add(nr * COARSE + nc);
  }
  return [columns, taken];
}

const IN_REACH = '.';

/** What stops each place, as in `Plane`. */
type Places = Pick<Plane, 'rows' | 'letters'>;

/** The pose at a place; columns and rows may be broken. */
function poseOf(at: Pose, [across, up]: Spans, c: number, r: number, columns: number, rows: number): Pose {
  const pose = [...at] as [number, number, number, number, number, number];
  pose[across.axis] = across.from + (width(across) * c) / (columns - 1);
  pose[up.axis] = up.from + (width(up) * r) / (rows - 1);
  return pose;
}

function mapOf(rig: Rig, at: Pose, spans: Spans, columns: number, rows: number): Places {
  const stops = new Map<string, { readonly letter: string; readonly stop: Stop }>();
  const letterOf = (stop: Stop): string => {
    const key = `${stop.joint} ${stop.cause}`;
    const known = stops.get(key) ?? { letter: LETTERS[stops.size] ?? '?', stop };
    stops.set(key, known);
    return known.letter;
  };
  const place = (c: number, r: number): string => {
    const stop = whatStops(rig, poseOf(at, spans, c, r, columns, rows));
    return stop ? letterOf(stop) : IN_REACH;
  };
  const lines = Array.from({ length: rows }, (_, r) => Array.from({ length: columns }, (_, c) => place(c, r)).join(''));
  return {
    rows: lines,
    letters: Object.fromEntries([...stops.values()].map(({ letter, stop }) => [letter, stop])),
  };
}

/** Halvings between two places: to a four-thousandth of their distance. */
const HALVINGS = 12;

/**
 * The edges of what is in reach, in the components' own units. Which places lie inside is marching squares' business; where
 * between two places the edge runs is then looked for by halving, since margins have kinks that would make it wavy.
 */
function outlinesOf(rig: Rig, at: Pose, spans: Spans, { rows }: Places): Plane['outlines'] {
  const isFree = (c: number, r: number): boolean => whatStops(rig, poseOf(at, spans, c, r, COLUMNS, ROWS)) === null;
  const inside = rows.flatMap((row) => Array.from(row, (letter) => (letter === IN_REACH ? 1 : 0)));
  const { coordinates } = contours().size([COLUMNS, ROWS]).smooth(false).contour(inside, 0.5);
  const exact = ([x = 0, y = 0]: readonly number[]): readonly [number, number] => {
    const [c, r] = onEdge(x - 0.5, y - 0.5, isFree);
    const pose = poseOf(at, spans, c, r, COLUMNS, ROWS);
    return [shownAs(spans[0].axis, pose[spans[0].axis]), shownAs(spans[1].axis, pose[spans[1].axis])];
  };
  return coordinates.flatMap((polygon) => polygon.map((ring) => ring.map(exact)));
}

/** From half way between two places, one in reach and one not, to where the edge is; at the map's own edge that is it. */
function onEdge(c: number, r: number, isFree: (c: number, r: number) => boolean): readonly [number, number] {
  const held = (value: number, count: number): number => Math.min(Math.max(value, 0), count - 1);
  let [ac, ar] = [held(Math.floor(c), COLUMNS), held(Math.floor(r), ROWS)];
  let [bc, br] = [held(Math.ceil(c), COLUMNS), held(Math.ceil(r), ROWS)];
  const first = isFree(ac, ar);
  if (first === isFree(bc, br)) return [held(c, COLUMNS), held(r, ROWS)];
  for (let n = 0; n < HALVINGS; n++) {
    const [mc, mr] = [(ac + bc) / 2, (ar + br) / 2];
    if (isFree(mc, mr) === first) [ac, ar] = [mc, mr];
    else [bc, br] = [mc, mr];
  }
  return [(ac + bc) / 2, (ar + br) / 2];
}

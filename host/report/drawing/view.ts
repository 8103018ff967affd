/** One view of the drawing: a picture in mm between two columns of notes, under a heading. */
import { extent } from 'd3-array';
import { markup } from '../draw/markup.ts';
import type { Markup } from '../draw/markup.ts';
import type { Placed } from '../draw/scene.ts';
import type { Point } from '../draw/silhouette.ts';
import { label, path, px } from '../draw/svg.ts';
import { COLUMN, type Note, WIDTH, heightFor, notesSvg, placeNotes } from './notes.ts';

/** What a view shows; positions in mm, right and up. */
export interface View {
  readonly title: string;
  readonly lead: string;
  /** Points that must be in the picture. */
  readonly spans: readonly Point[];
  /** The picture, once it is known where it stands. */
  draw(placed: Placed): Markup;
  readonly notes: readonly Note[];
}

/** A finished view and its height in px. */
export interface Drawn {
  readonly svg: Markup;
  readonly height: number;
}

const HEAD = 62;
const FOOT = 24;
const MOST = 346;
/** Clear of the notes and of the heading, px. */
const MARGIN = 34;
const ROOM = WIDTH - 2 * COLUMN - 3 * MARGIN;

/** The picture as large as it can be between the columns, MOST px tall at most. */
function scaleOf(spans: readonly Point[]): {
  readonly px_per_mm: number;
  readonly middle: Point;
  readonly tall: number;
} {
  const [left = 0, right = 0] = extent(spans, ([x]) => x);
  const [low = 0, high = 0] = extent(spans, ([, y]) => y);
  const px_per_mm = Math.min(ROOM / Math.max(right - left, 1), MOST / Math.max(high - low, 1));
  return { px_per_mm, middle: [(left + right) / 2, (low + high) / 2], tall: (high - low) * px_per_mm };
}

/** The view with its top edge at `top` px. */
export function drawView({ title, lead, spans, draw, notes }: View, top: number): Drawn {
  const { px_per_mm, middle, tall } = scaleOf(spans);
  const height = heightFor(notes, tall + MARGIN);
  const placed: Placed = {
    px_per_mm,
    width: WIDTH,
    height,
    view: ([x, y]) => [WIDTH / 2 + (x - middle[0]) * px_per_mm, top + HEAD + height / 2 - (y - middle[1]) * px_per_mm],
  };
  const inPx = notes.map(({ words, at }) => ({ words, at: placed.view(at) }));
  const svg = markup`<g>
    ${label(title, 20, top + 24, 'start', 'heading')}${label(lead, 20, top + 44, 'start', 'note soft')}
    ${draw(placed)}${notesSvg(placeNotes(inPx, top + HEAD, height))}
  </g>`;
  return { svg, height: HEAD + height + FOOT };
}

/** A path through points in mm. */
export const through = ({ view }: Placed, points: readonly Point[], closed = false): string =>
  `M${points.map((point) => view(point).map(px).join(' ')).join('L')}${closed ? 'Z' : ''}`;

/** A line with an arrow at both ends, between two points in mm: the dimension line of technical drawings (ISO 129-1). */
export function dimension(placed: Placed, from: Point, to: Point): Markup {
  const [a, b] = [placed.view(from), placed.view(to)];
  return markup`${path('dim', through(placed, [from, to]))}${head(a, b)}${head(b, a)}`;
}

/** An arrowhead at `tip`, coming from `from`, px. */
export function head(tip: Point, from: Point): Markup {
  const angle = Math.atan2(from[1] - tip[1], from[0] - tip[0]);
  const corner = (turn: number): string =>
    `${px(tip[0] + 8 * Math.cos(angle + turn))} ${px(tip[1] + 8 * Math.sin(angle + turn))}`;
  return path('head', `M${px(tip[0])} ${px(tip[1])}L${corner(0.3)}L${corner(-0.3)}Z`);
}

/** An arrow along an arc in mm from one angle to another (rad, counter-clockwise from the right). */
export function arcArrow(placed: Placed, centre: Point, radius: number, from: number, to: number): Markup {
  const at = (angle: number): Point => [centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)];
  const points = Array.from({ length: 25 }, (_, i) => at(from + ((to - from) * i) / 24));
  return markup`${path('turn', through(placed, points))}${head(placed.view(at(to)), placed.view(at(to - (to - from) / 12)))}`;
}

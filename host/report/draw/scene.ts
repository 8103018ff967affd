/**
 * The first picture of the report: the prop from the side at its worst instant, asked behind delivered, what stops it
 * ringed, with ground, scale and time. Pure SVG out of the drawings of prop.ts.
 */
import type { Instant } from '../../replay/result.ts';
import type { Rig } from '../../rig/rig.ts';
import { figure } from './figures.ts';
import { markup } from './markup.ts';
import type { Markup } from './markup.ts';
import { extentOf, fastenedAt, outlinePoints, propSide, whereStopped, type Drawing, type Extent } from './prop.ts';
import type { Point } from './silhouette.ts';
import { label, path } from './svg.ts';

/** Millimetres of the world to pixels of the picture, z up. */
export type View = (point: Point) => Point;

/** Size in px: as wide as said, as tall as the prop needs. */
export interface Frame {
  readonly width: number;
  readonly tallest: number;
}

/** Room for words above and for ground, scale and time below. */
const TOP = 40;
const BOTTOM = 46;
const SIDE = 22;
const SCALE_MM = 50;
const RING = 9;

/** Of the width: leaves room for the words beside the scale bar. */
const LONGEST_SCALE = 0.22;

export interface Placed {
  readonly view: View;
  readonly px_per_mm: number;
  readonly width: number;
  readonly height: number;
}

/** The height of the ground in mm, and whether that is the world's zero or only a stand-in below the prop. */
interface Ground {
  readonly z_mm: number;
  readonly true_to_scale: boolean;
}

/** The world's zero, unless the prop hangs through it or stands so high above it that it would look tiny. */
function groundUnder({ z: [lowest, highest] }: Extent): Ground {
  const height = highest - lowest;
  if (lowest >= -1 && lowest <= 0.6 * height) return { z_mm: 0, true_to_scale: true };
  return { z_mm: lowest - 0.12 * height, true_to_scale: false };
}

function fit({ x, z }: Extent, { width, tallest }: Frame): Placed {
  const across = Math.max(x[1] - x[0], 1);
  const up = Math.max(z[1] - z[0], 1);
  const most = (LONGEST_SCALE * width) / SCALE_MM;
  const px_per_mm = Math.min((width - 2 * SIDE) / across, (tallest - TOP - BOTTOM) / up, most);
  const height = Math.round(TOP + up * px_per_mm + BOTTOM);
  const left = (width - across * px_per_mm) / 2;
  const view: View = (point) => [left + (point[0] - x[0]) * px_per_mm, height - BOTTOM - (point[1] - z[0]) * px_per_mm];
  return { px_per_mm, width, height, view };
}

const px = (value: number): string => (Math.round(value * 10) / 10).toString();

function pathData(points: readonly Point[], view: View, closed: boolean): string {
  const steps = points.map((point) => view(point).map(px).join(' '));
  return `M${steps.join('L')}${closed ? 'Z' : ''}`;
}

/** One drawing as one SVG element; its roles become its classes. */
export function drawingSvg(drawing: Drawing, { view, px_per_mm }: Placed): Markup {
  const role = drawing.far ? `${drawing.role} far` : drawing.role;
  switch (drawing.kind) {
    case 'line':
      return path(role, pathData(drawing.points, view, false));
    case 'outline':
      return path(role, pathData(drawing.points, view, true));
    case 'ellipse': {
      const [cx, cy] = view(drawing.centre);
      const turn = (-drawing.turn_rad * 180) / Math.PI;
      const [rx, ry] = [drawing.radii_mm[0] * px_per_mm, drawing.radii_mm[1] * px_per_mm];
      return markup`<ellipse class="${role}" cx="${cx}" cy="${cy}" rx="${rx}" ry="${ry}" transform="rotate(${turn} ${cx} ${cy})"/>`;
    }
    case 'dot': {
      const [cx, cy] = view(drawing.centre);
      return markup`<circle class="${role}" cx="${cx}" cy="${cy}" r="${drawing.role === 'pivot' ? 5 : 2.6}"/>`;
    }
  }
}

/** Ring, words above the prop, and a line between them. */
function blocked(words: string, at: Point | null, { view, width }: Placed): Markup {
  if (!at) return label(words, width / 2, 22, 'middle', 'stopped-words');
  const [cx, cy] = view(at);
  const anchor = cx < width * 0.3 ? 'start' : cx > width * 0.7 ? 'end' : 'middle';
  return markup`${path('leader', `M${px(cx)} 28V${px(cy - RING)}`)}
    <circle class="ring" cx="${cx}" cy="${cy}" r="${RING}"/>${label(words, cx, 22, anchor, 'stopped-words')}`;
}

function groundAndStand(rig: Rig, { z_mm, true_to_scale }: Ground, { view, width }: Placed): Markup {
  const [, ground] = view([0, z_mm]);
  const stands = fastenedAt(rig).map((point) => {
    const [x, y] = view(point);
    return path(true_to_scale ? 'post' : 'stand', `M${px(x)} ${px(y)}V${px(ground)}`);
  });
  return markup`${path('ground', `M${SIDE} ${px(ground)}H${width - SIDE}`)}${stands}`;
}

function scaleAndFoot({ px_per_mm, width, height }: Placed, foot: string): Markup {
  const length = SCALE_MM * px_per_mm;
  const y = height - 16;
  return markup`${path('scale-bar', `M${SIDE} ${y - 4}v8M${SIDE} ${y}h${px(length)}m0 -4v8`)}
    ${label(figure(SCALE_MM, 'mm', 0), SIDE + length + 8, y + 4, 'start')}
    ${label(foot, width - SIDE, y + 4, 'end')}`;
}

/** Where a drawing differs by less, the eye sees one line. */
const SAME_MM = 0.2;

function same(a: Drawing, b: Drawing): boolean {
  if (a.name !== b.name || a.role !== b.role) return false;
  const [p, q] = [outlinePoints(a), outlinePoints(b)];
  return (
    p.length === q.length && p.every(([x, z], i) => Math.hypot(x - (q[i]?.[0] ?? 0), z - (q[i]?.[1] ?? 0)) < SAME_MM)
  );
}

/**
 * The moving plate and the parts as asked, where they are not as delivered.
 * A joint that was asked nothing stands as delivered.
 */
function askedDrawings(rig: Rig, instant: Instant, now: readonly Drawing[]): readonly Drawing[] {
  const coordinates = rig.joints.map(
    (joint, i) => instant.asked[i] ?? (joint.kind === 'axis' ? instant.delivered[i] : null) ?? null,
  );
  return propSide(rig, coordinates, instant.asked_pose)
    .filter(({ role }) => role === 'plate' || role === 'part')
    .filter((was) => !now.some((drawing) => same(was, drawing)));
}

/** What a picture of the prop shows. */
export interface Scene {
  readonly now: readonly Drawing[];
  /** Drawn dashed behind it. */
  readonly was: readonly Drawing[];
  /** Where the ring goes, and the words above it; null: neither. */
  readonly ring: { readonly words: string; readonly at: Point | null } | null;
  /** For who cannot see the picture. */
  readonly said: string;
  /** Under it. */
  readonly foot: string;
}

/** The picture at one size in px, or null for a rig with nothing placed in space. */
export function propSvg(rig: Rig, { now, was, ring, said, foot }: Scene, frame: Frame): Markup | null {
  if (now.length === 0) return null;
  const extent = extentOf([...was, ...now]);
  const ground = groundUnder(extent);
  const placed = fit({ x: extent.x, z: [Math.min(extent.z[0], ground.z_mm), extent.z[1]] }, frame);
  return markup`<svg viewBox="0 0 ${placed.width} ${placed.height}" role="img" aria-label="${said}">
    ${groundAndStand(rig, ground, placed)}
    <g class="was">${was.map((drawing) => drawingSvg(drawing, placed))}</g>
    <g class="now">${now.map((drawing) => drawingSvg(drawing, placed))}</g>
    ${ring && blocked(ring.words, ring.at, placed)}${scaleAndFoot(placed, foot)}
  </svg>`;
}

/** A replay's worst instant at one size in px, with the words for what stops it, or null for a rig with nothing placed in space. */
export function sceneSvg(rig: Rig, instant: Instant, stopped: string | null, frame: Frame): Markup | null {
  const now = propSide(rig, instant.delivered, instant.delivered_pose);
  const scene: Scene = {
    now,
    was: askedDrawings(rig, instant, now),
    ring: stopped === null ? null : { words: stopped, at: whereStopped(rig, instant) },
    said: 'The prop from the side at its worst instant',
    foot: `at ${figure(instant.at_s, 's', 2)}, looks this way \u2192`,
  };
  return propSvg(rig, scene, frame);
}

/**
 * The servos' bodies on the base plate: their outlines, whether they go through it, and what a builder must know of them, in words.
 * Only for rigs whose file has `platform.clearance`. Screw holes are not known and not drawn. Lengths mm, frame of the base.
 */
import { usualClearance } from '../../rig/clearance.ts';
import type { Clearance } from '../../rig/clearance.ts';
import type { Platform } from '../../rig/rig.ts';
import { belowFace_mm, bodyCorners, faceBehindRod_mm } from '../../rig/servo-body.ts';
import { short, together } from '../../rig/words.ts';

type Point = readonly [x: number, y: number];

/** Two bodies side by side without the room they need. */
export interface Crowded {
  /** Both legs. */
  readonly joints: readonly [string, string];
  /** Between them; below 0: how far one must be moved until they only touch. */
  readonly room_mm: number;
  /** `platform.clearance.gap_mm`. */
  readonly wanted_mm: number;
}

export interface Bodies {
  /** Corners by leg. */
  readonly outlines: readonly (readonly Point[])[];
  /** Whether they reach below the plate's face: then the outlines are to be cut out. */
  readonly isCut: boolean;
  /** What they are taken to be. */
  readonly words: readonly string[];
  /** Bodies that overlap, or come too near each other; none: all have room. */
  readonly crowded: readonly Crowded[];
  /** The same in words. */
  readonly faults: readonly string[];
}

/** Null: the file has no clearance, or no cranks. */
export function bodiesOf({ drive, legs, clearance: given }: Platform): Bodies | null {
  if (drive !== 'crank' || !given) return null;
  const clearance = usualClearance(given);
  const outlines = legs.map((leg) => bodyCorners(leg, clearance));
  const heights = legs.map(({ base_mm }) => base_mm[2]);
  const crowded = crowdedOf(outlines, heights, clearance);
  return {
    outlines,
    isCut: belowFace_mm(clearance) > TOUCH_MM,
    words: [...sizeWords(clearance), standWords(clearance)],
    crowded,
    faults: faultWords(crowded, clearance),
  };
}

/** Less than this is a matter of rounding. */
const TOUCH_MM = 1e-6;

const mm = (value: number): string => `${short(value, 2)} mm`;

function sizeWords(clearance: Clearance): readonly string[] {
  const { servo_body_mm, horn_thick_mm, rod_thick_mm, assumed } = clearance;
  const [long, height, deep] = servo_body_mm.map((value) => short(value, 2));
  const source = assumed.includes('servo_body_mm') ? 'as assumed' : 'as the rig file gives them';
  const taken = (key: keyof Clearance): string => (assumed.includes(key) ? ' (assumed)' : '');
  return [
    `Servo bodies ${source}: ${String(long)} mm along the crank, ${String(deep)} mm along the shaft, ${String(height)} mm high; the shaft is taken to be in the middle. Measure yours.`,
    `Each begins ${mm(faceBehindRod_mm(clearance))} inward of the joint’s centre: half a rod of ${mm(rod_thick_mm)}${taken('rod_thick_mm')} and a horn of ${mm(horn_thick_mm)}${taken('horn_thick_mm')}.`,
  ];
}

function standWords(clearance: Clearance): string {
  const { axes_above_base_mm, assumed } = clearance;
  const below = belowFace_mm(clearance);
  const axes = `the axes are ${mm(axes_above_base_mm)} above it${assumed.includes('axes_above_base_mm') ? ' (assumed)' : ''}`;
  const screws = 'Screw holes are not drawn: take them from your servo.';
  if (below > TOUCH_MM)
    return `The outlines are cut-outs without play: the bodies reach ${mm(below)} below the plate’s face; ${axes}. ${screws}`;
  const stands = below < -TOUCH_MM ? `are ${mm(-below)} above the plate` : 'stand on the plate';
  return `The outlines are for reference, not holes: the bodies ${stands}; ${axes}. ${screws}`;
}

function crowdedOf(
  outlines: readonly (readonly Point[])[],
  heights: readonly number[],
  { servo_body_mm: [, high], gap_mm: wanted_mm }: Clearance,
): readonly Crowded[] {
  return outlines.flatMap((outline, i) =>
    outlines.slice(0, i).flatMap((other, k): Crowded[] => {
      // One above the other: they pass.
      if (Math.abs((heights[i] ?? NaN) - (heights[k] ?? NaN)) >= high) return [];
      const room_mm = roomBetween(other, outline);
      if (!overlaps(room_mm) && room_mm >= wanted_mm - TOUCH_MM) return [];
      return [{ joints: [`leg${String(k + 1)}`, `leg${String(i + 1)}`], room_mm, wanted_mm }];
    }),
  );
}

/** NaN does. */
const overlaps = (room_mm: number): boolean => !(room_mm > -TOUCH_MM);

function faultWords(crowded: readonly Crowded[], { gap_mm, assumed }: Clearance): readonly string[] {
  const overlapping = crowded.filter(({ room_mm }) => overlaps(room_mm));
  const near = crowded.filter(({ room_mm }) => !overlaps(room_mm));
  const list = (pairs: readonly Crowded[], say: (room_mm: number) => string): string =>
    together(pairs.map(({ joints, room_mm }) => `${joints.join(' and ')} (${say(room_mm)})`));
  const wanted = `${mm(gap_mm)}${assumed.includes('gap_mm') ? ' (assumed)' : ''}`;
  return [
    ...(overlapping.length > 0
      ? [
          `SERVO BODIES OVERLAP: ${list(overlapping, (room_mm) => `by ${mm(Math.abs(room_mm))}`)}. As drawn they cannot be built side by side.`,
        ]
      : []),
    ...(near.length > 0
      ? [
          `Servo bodies stand too near each other: ${list(near, (room_mm) => `${mm(Math.max(0, room_mm))} apart`)}; ${wanted} must stay free.`,
        ]
      : []),
  ];
}

/**
 * Room between two convex outlines, mm; below 0: how far one must be moved until they touch. By the separating axis theorem the
 * widest gap across their edges decides whether they overlap; apart, the distance is from a corner to an edge.
 */
function roomBetween(a: readonly Point[], b: readonly Point[]): number {
  const across = Math.max(
    ...edgesOf(a)
      .concat(edgesOf(b))
      .map((edge) => gapAcross(edge, a, b)),
  );
  if (!(across > 0)) return across;
  const from = (points: readonly Point[], edges: readonly Edge[]): number =>
    Math.min(...points.flatMap((point) => edges.map((edge) => toEdge(point, edge))));
  return Math.min(from(a, edgesOf(b)), from(b, edgesOf(a)));
}

type Edge = readonly [from: Point, to: Point];

const edgesOf = (points: readonly Point[]): Edge[] =>
  points.map((point, i) => [point, points[(i + 1) % points.length] ?? point]);

/** Gap between the shadows of two outlines on the normal of an edge; below 0: the shadows overlap by as much. */
function gapAcross([[x1, y1], [x2, y2]]: Edge, a: readonly Point[], b: readonly Point[]): number {
  const length = Math.hypot(x2 - x1, y2 - y1);
  const [nx, ny] = [(y2 - y1) / length, (x1 - x2) / length];
  const [onA, onB] = [a, b].map((points) => points.map(([x, y]) => x * nx + y * ny)) as [number[], number[]];
  return Math.max(Math.min(...onB) - Math.max(...onA), Math.min(...onA) - Math.max(...onB));
}

function toEdge([x, y]: Point, [[x1, y1], [x2, y2]]: Edge): number {
  const [dx, dy] = [x2 - x1, y2 - y1];
  const along = ((x - x1) * dx + (y - y1) * dy) / (dx * dx + dy * dy);
  const t = Math.min(1, Math.max(0, along));
  return Math.hypot(x - x1 - t * dx, y - y1 - t * dy);
}

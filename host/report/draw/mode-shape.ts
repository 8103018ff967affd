/**
 * How a prop swings in one of its natural frequencies, as drawings: at rest and at both ends of the swing, each drawn through as
 * many points, so that a picture can move from one to the other. Joints are moved along the mode's shape and the plate follows by
 * forward kinematics, so that rods keep their length. How far it swings is for the eye, not what metal does. Lengths mm.
 */
import { ForwardSolver, type MutablePose } from '../../physics/kinematics/forward.ts';
import type { Mode } from '../../physics/vibration/modes.ts';
import type { Posture } from '../../physics/dynamics/places.ts';
import type { Rig } from '../../rig/rig.ts';
import { type Drawing, type Role, VIEWS, extentOf, propSide } from './prop.ts';
import type { Point } from './silhouette.ts';

export type ViewName = keyof typeof VIEWS;

/** One thing drawn, through the same points at rest and at the ends of a swing. */
export interface SwungShape {
  readonly role: Role;
  readonly name: string;
  readonly far: boolean;
  readonly kind: 'closed' | 'line' | 'dot';
  readonly rest: readonly Point[];
  readonly plus: readonly Point[];
  readonly minus: readonly Point[];
}

export interface Swing {
  readonly seen: ViewName;
  readonly shapes: readonly SwungShape[];
  /** What the mode's shape was multiplied by: joints stand at q ± by·shape. */
  readonly by: number;
  /** How far what moves most goes to either side, mm, to the eye. */
  readonly largest_mm: number;
}

/** An outline with its middle at nothing. */
function centred(points: readonly Point[]): Point[] {
  const [x, z] = [mean(points.map(([u]) => u)), mean(points.map(([, v]) => v))];
  return points.map(([u, v]) => [u - x, v - z]);
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** The corners of `there` in the order in which they answer to those of `rest`: both go round the same way. */
function inOrder(rest: readonly Point[], there: readonly Point[]): readonly Point[] {
  const [a, b] = [centred(rest), centred(there)];
  const n = a.length;
  let [best, least] = [0, Infinity];
  for (let shift = 0; shift < n; shift++) {
    const off = a.reduce((sum, point, k) => sum + distance(point, b[(k + shift) % n] ?? point) ** 2, 0);
    if (off < least) [best, least] = [shift, off];
  }
  return rest.map((point, k) => there[(k + best) % n] ?? point);
}

/** Points of a closed outline that has other corners at the ends than at rest. */
const CORNERS = 72;
const WAYS: readonly Point[] = Array.from({ length: CORNERS }, (_, k) => {
  const angle = (2 * Math.PI * (k + 0.5)) / CORNERS;
  return [Math.cos(angle), Math.sin(angle)];
});

const along = ([x, z]: Point, way: Point): number => x * way[0] + z * way[1];

/** The corner that is furthest in each direction, all of them turned by an angle: as many for every outline. */
function furthest(points: readonly Point[], turned_rad: number): Point[] {
  const [c, s] = [Math.cos(turned_rad), Math.sin(turned_rad)];
  return WAYS.map(([x, z]) => {
    const way: Point = [c * x - s * z, s * x + c * z];
    return points.reduce((best, point) => (along(point, way) > along(best, way) ? point : best));
  });
}

/** Turns that are tried, rad: a swing turns things by less. */
const TURNS = Array.from({ length: 41 }, (_, k) => ((k - 20) * Math.PI) / 180);

/** The corners of `there` that answer best to the furthest ones of `rest`, as it may have turned. */
function turnedWith(rest: readonly Point[], there: readonly Point[]): Point[] {
  const a = centred(rest);
  const off = (found: readonly Point[]): number => {
    const b = centred(found);
    return a.reduce((sum, point, k) => sum + distance(point, b[k] ?? point) ** 2, 0);
  };
  const tried = TURNS.map((turn) => furthest(there, turn)).map((found) => ({ found, off: off(found) }));
  return tried.reduce((best, one) => (one.off < best.off ? one : best)).found;
}

/** Points of an ellipse, from the end of its longer half axis on. */
const RIM = 48;

function outlineOf(drawing: Drawing): readonly Point[] {
  if (drawing.kind === 'dot') return [drawing.centre];
  if (drawing.kind !== 'ellipse') return drawing.points;
  const { centre, radii_mm, turn_rad } = drawing;
  const [c, s] = [Math.cos(turn_rad), Math.sin(turn_rad)];
  return Array.from({ length: RIM }, (_, k): Point => {
    const angle = (2 * Math.PI * k) / RIM;
    const [p, q] = [radii_mm[0] * Math.cos(angle), radii_mm[1] * Math.sin(angle)];
    return [centre[0] + c * p - s * q, centre[1] + s * p + c * q];
  });
}

/** The same bits of an outline at rest and at both ends; where that cannot be told, what is furthest in each direction. */
function matched(rest: Drawing, plus: Drawing, minus: Drawing): Pick<SwungShape, 'rest' | 'plus' | 'minus'> {
  const [a, b, c] = [outlineOf(rest), outlineOf(plus), outlineOf(minus)] as const;
  if (kindOf(rest) !== 'closed') return { rest: a, plus: b, minus: c };
  if (a.length === b.length && a.length === c.length) return { rest: a, plus: inOrder(a, b), minus: inOrder(a, c) };
  const corners = furthest(a, 0);
  return { rest: corners, plus: turnedWith(corners, b), minus: turnedWith(corners, c) };
}

const kindOf = ({ kind }: Drawing): SwungShape['kind'] => (kind === 'dot' || kind === 'line' ? kind : 'closed');

/** What carries the platform. */
const CARRIES: readonly Role[] = ['carrier', 'arm', 'pivot', 'body'];
/** Carriers that move by less than this share of what moves most are left out: the platform is seen better without. */
const HARDLY = 0.15;

function withoutStill(shapes: readonly SwungShape[]): readonly SwungShape[] {
  const carriers = shapes.filter(({ role }) => CARRIES.includes(role));
  const rest = shapes.filter(({ role }) => !CARRIES.includes(role));
  return rest.length > 0 && largestOf(carriers) < HARDLY * largestOf(shapes) ? rest : shapes;
}

/** The rig with its joints moved by so many times the shape; null: no place of the plate fits the legs then. */
function moved(rig: Rig, { q, pose }: Posture, shape: readonly number[], by: number): Posture | null {
  const there = q.map((at, i) => at + by * (shape[i] ?? 0));
  const solved: MutablePose = [...pose];
  if (rig.platform && !new ForwardSolver(rig.platform).solve(there, pose, solved)) return null;
  return { q: there, pose: solved };
}

/** Drawings by what they are: what lies nearer to the eye may change as the prop turns. */
function byName(drawings: readonly Drawing[]): ReadonlyMap<string, Drawing> {
  const seen = new Map<string, number>();
  return new Map(
    drawings.map((drawing) => {
      const name = `${drawing.role} ${drawing.kind} ${drawing.name}`;
      const before = seen.get(name) ?? 0;
      seen.set(name, before + 1);
      return [`${name} ${String(before)}`, drawing] as const;
    }),
  );
}

function shapesAt(rig: Rig, rest: Posture, plus: Posture, minus: Posture, seen: ViewName): SwungShape[] {
  const drawn = ({ q, pose }: Posture): ReadonlyMap<string, Drawing> => byName(propSide(rig, q, pose, VIEWS[seen]));
  const [there, back] = [drawn(plus), drawn(minus)];
  return [...drawn(rest)].map(([key, drawing]) => ({
    role: drawing.role,
    name: drawing.name,
    far: drawing.far,
    kind: kindOf(drawing),
    ...matched(drawing, there.get(key) ?? drawing, back.get(key) ?? drawing),
  }));
}

const distance = ([x, z]: Point, [u, v]: Point): number => Math.hypot(x - u, z - v);

/** How far a shape goes toward its plus end: of a closed one its outline, since its corners may not be the same bits of metal. */
export function travelOf({ kind, rest, plus }: SwungShape): number {
  if (kind !== 'closed') return Math.max(0, ...rest.map((point, k) => distance(point, plus[k] ?? point)));
  const reaches = (points: readonly Point[], way: Point): number =>
    Math.max(...points.map((point) => along(point, way)));
  return Math.max(0, ...WAYS.map((way) => Math.abs(reaches(plus, way) - reaches(rest, way))));
}

const largestOf = (shapes: readonly SwungShape[]): number => Math.max(0, ...shapes.map(travelOf));

/** Of the drawing's larger side: how far the point that moves most is drawn to go. */
const SHOWN = 0.075;
/** Another view must show this many times as much motion as the side, where the prop is known from. */
const BETTER = 1.15;
/** A first step whose effect is straight: rad or mm. */
const STEP = 1e-3;
/** A point that moves by less per rad or mm of the shape's largest does not move. */
const STILL_MM = 1e-3;
const HALVINGS = 8;

/** Where it moves most to the eye, and by how much per unit of the shape. */
function bestView(rig: Rig, at: Posture, shape: readonly number[]): { seen: ViewName; per: number } | null {
  const plus = moved(rig, at, shape, STEP);
  if (!plus) return null;
  const views = (Object.keys(VIEWS) as ViewName[]).map((seen) => {
    const shapes = shapesAt(rig, at, plus, at, seen);
    return {
      seen,
      per: largestOf(shapes) / STEP,
      score: Math.hypot(...shapes.map(travelOf)) * (seen === 'side' ? BETTER : 1),
    };
  });
  const best = views.reduce((a, b) => (b.score > a.score ? b : a));
  return best.per > STILL_MM ? best : null;
}

/**
 * The swing as drawings; null: nothing that has a place in space moves, or the legs cannot follow.
 * @param shown how far what moves most goes, as a share of the drawing's larger side; less where the legs do not go so far.
 */
export function swingOf(rig: Rig, at: Posture, { shape }: Pick<Mode, 'shape'>, shown = SHOWN): Swing | null {
  const view = bestView(rig, at, shape);
  if (!view) return null;
  const { x, z } = extentOf(propSide(rig, at.q, at.pose, VIEWS[view.seen]));
  let by = (shown * Math.max(x[1] - x[0], z[1] - z[0])) / view.per;
  for (let halving = 0; halving < HALVINGS; halving++, by /= 2) {
    const [plus, minus] = [moved(rig, at, shape, by), moved(rig, at, shape, -by)];
    if (!plus || !minus) continue;
    const shapes = withoutStill(shapesAt(rig, at, plus, minus, view.seen));
    return { seen: view.seen, shapes, by, largest_mm: largestOf(shapes) };
  }
  return null;
}

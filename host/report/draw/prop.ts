/**
 * A rig at one instant, from the side, as drawings in millimetres of the world: what a picture, an animation or a
 * before-and-after needs. Pure; how a drawing looks is the picture's business (scene.ts).
 */
import { extent } from 'd3-array';
import { geometryOf, startOf } from '../../physics/kinematics/geometry.ts';
import { misalignmentInto } from '../../physics/kinematics/inverse.ts';
import type { Instant } from '../../replay/result.ts';
import { HOME, type Joint, type Part, type Platform, type Pose, type Rig, type Vec3 } from '../../rig/rig.ts';
import { add, scale, sub } from '../../rig/rotation.ts';
import { WORLD, framesOf, inWorld, type Frame } from './frames.ts';
import { fromSide, hull, silhouette, type Point, type Silhouette } from './silhouette.ts';

/** A `part` is what the prop is about: on the moving plate, or on an axis without a platform. A `body` is the rest; an `arm` joins a pivot to the bodies it carries; a `face` joint is a mark where it sits on the plate. */
export type Role = 'carrier' | 'arm' | 'pivot' | 'face' | 'base' | 'crank' | 'rod' | 'plate' | 'part' | 'body';

interface Belongs {
  readonly role: Role;
  /** Of the part, joint or leg. */
  readonly name: string;
  /** On the side turned away from the eye. */
  readonly far: boolean;
}

/** Points and radii in mm of the world's x and z; turns counter-clockwise. */
export type Drawing = Belongs &
  (
    | Silhouette
    | { readonly kind: 'line'; readonly points: readonly Point[] }
    | { readonly kind: 'dot'; readonly centre: Point }
  );

type Frames = ReadonlyMap<string, Frame>;

const near = (role: Role, name: string): Belongs => ({
  role,
  name,
  far: false,
});

function partDrawing({ platform }: Rig, part: Part, frames: Frames): readonly Drawing[] {
  const carrier = frames.get(part.on);
  if (!carrier || !part.fitted) return [];
  const shown = platform ? part.on === 'moving' : part.on !== 'ground';
  const belongs = near(shown ? 'part' : 'body', part.name);
  if (part.shape) return [{ ...belongs, ...silhouette(part.shape, carrier, part.at_mm) }];
  return [{ ...belongs, kind: 'dot', centre: fromSide(inWorld(carrier, part.at_mm)) }];
}

/** Where a joint carries other pivots, and the base. */
function carriedBy(rig: Rig, name: string): readonly Vec3[] {
  const pivots = rig.joints.flatMap(({ axis }) => (axis?.on === name ? [axis.at_mm] : []));
  return rig.platform?.on === name ? [...pivots, rig.platform.mount.at_mm] : pivots;
}

function carrierDrawings(rig: Rig, frames: Frames): { readonly links: Drawing[]; readonly pivots: Drawing[] } {
  const links: Drawing[] = [];
  const pivots: Drawing[] = [];
  for (const { name, axis } of rig.joints) {
    const frame = frames.get(name);
    if (!axis || !frame) continue;
    const pivot = fromSide(inWorld(frame, axis.at_mm));
    const link = (role: Role, at: Vec3): Drawing => ({
      ...near(role, name),
      kind: 'line',
      points: [pivot, fromSide(inWorld(frame, at))],
    });
    links.push(...rig.parts.filter(({ on, fitted }) => fitted && on === name).map(({ at_mm }) => link('arm', at_mm)));
    links.push(...carriedBy(rig, name).map((at) => link('carrier', at)));
    pivots.push({ ...near('pivot', name), kind: 'dot', centre: pivot });
  }
  return { links, pivots };
}

/** Ends of a leg in the world: base joint, crank tip (the base joint again when linear) and moving joint. */
interface LegPoints {
  readonly base: Vec3;
  readonly tip: Vec3 | null;
  readonly plate: Vec3 | null;
}

/** Tip null: crank angle unknown; plate null: pose unknown. */
function legPoints(platform: Platform, frames: Frames, i: number, coordinate: number | null): LegPoints | null {
  const leg = platform.legs[i];
  const geometry = geometryOf(platform);
  const placed = geometry.legs[i];
  const base = frames.get('base');
  const carrier = frames.get(platform.on ?? 'ground');
  const moving = frames.get('moving');
  if (!leg || !placed || !base || !carrier) return null;
  const seat: Frame = { turn: carrier.turn, origin_mm: base.origin_mm };
  return {
    base: inWorld(base, leg.base_mm),
    tip: coordinate === null ? null : inWorld(seat, startOf(platform, placed, coordinate)),
    plate: moving ? inWorld(moving, leg.moving_mm) : null,
  };
}

/** How much of an actuator is its body, for the eye only. */
const BODY = 0.45;

function legDrawings(rig: Rig, platform: Platform, frames: Frames, i: number, coordinate: number | null): Drawing[] {
  const points = legPoints(platform, frames, i, coordinate);
  if (!points?.tip) return [];
  const { base, tip, plate } = points;
  const middle = frames.get('base')?.origin_mm[1] ?? 0;
  const belongs = { name: rig.joints[i]?.name ?? '', far: base[1] > middle };
  const line = (role: Role, from: Vec3, to: Vec3): Drawing => ({
    ...belongs,
    role,
    kind: 'line',
    points: [fromSide(from), fromSide(to)],
  });
  const rod = plate ? [line('rod', tip, plate)] : [];
  const body = platform.drive === 'crank' ? tip : add(base, scale(sub(plate ?? base, base), BODY));
  return [...rod, line('crank', base, body)];
}

function plateDrawing(role: 'base' | 'plate', frame: Frame | undefined, points: readonly Vec3[]): readonly Drawing[] {
  if (!frame) return [];
  return [
    {
      ...near(role, role),
      kind: 'outline',
      points: hull(points.map((point) => fromSide(inWorld(frame, point)))),
    },
  ];
}

/** Where a joint without an axis sits on the moving plate; null: it has no place, or the plate has none. */
function onPlate({ at_mm }: Joint, frames: Frames): Point | null {
  const moving = frames.get('moving');
  return at_mm && moving ? fromSide(inWorld(moving, at_mm)) : null;
}

function faceDrawings({ joints }: Rig, frames: Frames): Drawing[] {
  return joints.flatMap((joint): Drawing[] => {
    const centre = onPlate(joint, frames);
    return centre ? [{ ...near('face', joint.name), kind: 'dot', centre }] : [];
  });
}

/** How to turn the world so that the eye, which looks along y, sees the prop from its right side, its front, or above. */
export const VIEWS = {
  side: WORLD,
  front: { turn: [0, 1, 0, -1, 0, 0, 0, 0, 1], origin_mm: [0, 0, 0] },
  above: { turn: [1, 0, 0, 0, 0, -1, 0, 1, 0], origin_mm: [0, 0, 0] },
} as const satisfies Readonly<Record<string, Frame>>;

/**
 * The drawings of a rig, what is further from the eye first. Coordinates (rad, mm) by joint in the rig's order: null leaves
 * a leg's crank and rod out and an axis at home; a null pose leaves out the moving plate and what is on it. `seen` is how
 * the world is turned before it is looked at from the side (VIEWS). Parts that are not fitted are left out.
 */
export function propSide(
  rig: Rig,
  coordinates: readonly (number | null)[],
  pose: Pose | null,
  seen: Frame = WORLD,
): readonly Drawing[] {
  const frames = framesOf(rig, coordinates, pose, seen);
  const { links, pivots } = carrierDrawings(rig, frames);
  const parts = rig.parts.flatMap((part) => partDrawing(rig, part, frames));
  const { platform } = rig;
  const legs = platform?.legs.flatMap((_, i) => legDrawings(rig, platform, frames, i, coordinates[i] ?? null)) ?? [];
  return [
    ...parts.filter(({ kind }) => kind !== 'dot'),
    ...links,
    ...legs.filter(({ far }) => far),
    ...plateDrawing('base', frames.get('base'), platform?.legs.map((leg) => leg.base_mm) ?? []),
    ...plateDrawing('plate', frames.get('moving'), platform?.legs.map((leg) => leg.moving_mm) ?? []),
    ...legs.filter(({ far }) => !far),
    ...pivots,
    ...faceDrawings(rig, frames),
    ...parts.filter(({ kind }) => kind === 'dot'),
  ];
}

/** Where the rig is fastened to the world: pivots on the ground, or the base when nothing carries it. */
export function fastenedAt(rig: Rig): readonly Point[] {
  const pivots = rig.joints.flatMap(({ axis }) => (axis && axis.on === null ? [fromSide(axis.at_mm)] : []));
  return rig.platform && rig.platform.on === null ? [...pivots, fromSide(rig.platform.mount.at_mm)] : pivots;
}

/** Lowest and highest x and z in mm. */
export interface Extent {
  readonly x: readonly [number, number];
  readonly z: readonly [number, number];
}

/** The points a drawing is drawn through; for an ellipse, the corners of the upright box around it. */
export function outlinePoints(drawing: Drawing): readonly Point[] {
  if (drawing.kind === 'dot') return [drawing.centre];
  if (drawing.kind !== 'ellipse') return drawing.points;
  const [[x, z], [a, b], turn] = [drawing.centre, drawing.radii_mm, drawing.turn_rad];
  const across = Math.hypot(a * Math.cos(turn), b * Math.sin(turn));
  const up = Math.hypot(a * Math.sin(turn), b * Math.cos(turn));
  return [
    [x - across, z - up],
    [x + across, z + up],
  ];
}

/** What the drawings span; nothing drawn spans a point at the origin. */
export function extentOf(drawings: readonly Drawing[]): Extent {
  const points = drawings.flatMap(outlinePoints);
  const [x0 = 0, x1 = 0] = extent(points, ([x]) => x);
  const [z0 = 0, z1 = 0] = extent(points, ([, z]) => z);
  return { x: [x0, x1], z: [z0, z1] };
}

/** What of an instant says where it is stopped. */
type Stopped = Pick<Instant, 'delivered' | 'delivered_pose' | 'stopped_by' | 'worst_joint'>;

/** Whether leg i's rod end at the crank is bent further than the one at the moving plate. */
function bentAtCrank(platform: Platform, { delivered, delivered_pose }: Stopped, i: number): boolean {
  const tilts = new Float64Array(12);
  misalignmentInto(platform, delivered, delivered_pose ?? HOME, tilts);
  return (tilts[2 * i] ?? 0) >= (tilts[2 * i + 1] ?? 0);
}

function onLeg(platform: Platform, frames: Frames, i: number, instant: Stopped): Vec3 | null {
  const points = legPoints(platform, frames, i, instant.delivered[i] ?? null);
  if (!points) return null;
  const { base, tip, plate } = points;
  const cause = instant.stopped_by?.cause ?? 'limit';
  if (!tip || !plate || cause === 'limit') return base;
  if (cause === 'rod_end') return bentAtCrank(platform, instant, i) ? tip : plate;
  return scale(add(tip, plate), 0.5);
}

/**
 * Where, on the delivered pose, the joint sits that stops what was asked, or else the joint furthest behind: rod ends at
 * the bent end, rods and strokes in their middle, limits at the joint. Null when it has no place in space.
 */
export function whereStopped(rig: Rig, instant: Stopped, seen: Frame = WORLD): Point | null {
  const name = instant.stopped_by?.joint ?? instant.worst_joint?.name;
  const i = rig.joints.findIndex((joint) => joint.name === name);
  const joint = rig.joints[i];
  const frames = framesOf(rig, instant.delivered, instant.delivered_pose, seen);
  const frame = frames.get(name ?? '');
  if (joint?.axis && frame) return fromSide(inWorld(frame, joint.axis.at_mm));
  if (joint?.kind === 'axis') return onPlate(joint, frames);
  if (!joint || !rig.platform) return null;
  const at = onLeg(rig.platform, frames, i, instant);
  return at && fromSide(at);
}

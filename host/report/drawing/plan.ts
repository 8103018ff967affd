/** The platform seen along its z, from the moving plate toward the base: rings, half angles, cranks, legs and their pins. */
import type { Platform, Rig, Vec3 } from '../../rig/rig.ts';
import { toRad } from '../../rig/rig.ts';
import { markup } from '../draw/markup.ts';
import type { Markup } from '../draw/markup.ts';
import type { Placed } from '../draw/scene.ts';
import type { Point } from '../draw/silhouette.ts';
import { path } from '../draw/svg.ts';
import { tipOf } from './leg-points.ts';
import type { Note } from './notes.ts';
import { type PlateName, between, jointsOf, ringOf } from './plates.ts';
import { type View, arcArrow, dimension, through } from './view.ts';
import { at, deg, mm } from './words.ts';

const flat = ([x, y]: Vec3): Point => [x, y];
const polar = (radius: number, angle: number): Point => [radius * Math.cos(angle), radius * Math.sin(angle)];
const middle = (a: Point, b: Point): Point => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];

/** Where the two radii are drawn: apart from the pairs and from each other. */
const RADIUS_AT = { base: toRad(150), moving: toRad(-150) } as const;
const HALF_AT = { base: 1.14, moving: 0.62 } as const;

function circle({ view, px_per_mm }: Placed, kind: string, radius_mm: number): Markup {
  const [cx, cy] = view([0, 0]);
  return markup`<circle class="${kind}" cx="${cx}" cy="${cy}" r="${radius_mm * px_per_mm}"/>`;
}

function plateSvg(platform: Platform, plate: PlateName, placed: Placed): Markup {
  const joints = jointsOf(platform, plate);
  const ring = ringOf(joints);
  const kind = `plan-${plate}`;
  if (!ring) return path(kind, through(placed, joints.map(flat), true));
  const half = toRad(ring.half_angle_deg);
  const arc = ring.radius_mm * HALF_AT[plate];
  const rays = [0, half].map((angle) => path('ray', through(placed, [[0, 0], polar(arc, angle)])));
  return markup`${circle(placed, kind, ring.radius_mm)}${rays}
    ${dimension(placed, [0, 0], polar(ring.radius_mm, RADIUS_AT[plate]))}
    ${dimension(placed, ...chordOf(joints, plate))}${arcArrow(placed, [0, 0], arc, 0, half)}`;
}

/** The two neighbours between which a measure is drawn: a pair on the base, two of different pairs on the moving plate. */
function chordOf(joints: readonly Vec3[], plate: PlateName): readonly [Point, Point] {
  const [i, j] = plate === 'base' ? [2, 3] : [3, 4];
  return [flat(joints[i] ?? [0, 0, 0]), flat(joints[j] ?? [0, 0, 0])];
}

function plateNotes(platform: Platform, plate: PlateName): Note[] {
  const joints = jointsOf(platform, plate);
  const ring = ringOf(joints);
  const name = plate === 'base' ? 'base' : 'moving plate';
  if (!ring)
    return joints.map((joint, i) => ({ words: `${name}, leg${String(i + 1)}: ${at(joint)}`, at: flat(joint) }));
  const half = toRad(ring.half_angle_deg);
  const side = (i: number, j: number): string =>
    `leg${String(i + 1)} to leg${String(j + 1)} ${mm(between(joints, i, j))}`;
  return [
    { words: `${name}: radius ${mm(ring.radius_mm)}`, at: polar(ring.radius_mm * 0.6, RADIUS_AT[plate]) },
    { words: `${name}: half angle ${deg(ring.half_angle_deg)}`, at: polar(ring.radius_mm * HALF_AT[plate], half / 2) },
    {
      words: `${name}, measured joint to joint: ${side(0, 1)}, ${side(1, 2)}`,
      at: middle(...chordOf(joints, plate)),
    },
  ];
}

/** Leg i's rod and crank, or its actuator, and the joints at its ends. */
function legSvg(rig: Rig, platform: Platform, i: number, placed: Placed): Markup {
  const leg = platform.legs[i];
  const tip = tipOf(rig, platform, i);
  if (!leg) return markup``;
  const dot = (kind: string, point: Vec3): Markup => {
    const [cx, cy] = placed.view(flat(point));
    return markup`<circle class="${kind}" cx="${cx}" cy="${cy}" r="3.4"/>`;
  };
  const crank = platform.drive === 'crank' ? path('crank', through(placed, [flat(leg.base_mm), flat(tip)])) : null;
  return markup`${path('rod', through(placed, [flat(tip), flat(leg.moving_mm)]))}${crank}
    ${dot('joint-dot', leg.base_mm)}${dot('joint-dot', leg.moving_mm)}`;
}

/** The plan, in the base's frame: x to the right, y up. */
export function planView(rig: Rig, platform: Platform): View {
  const joints = (['base', 'moving'] as const).flatMap((plate) => jointsOf(platform, plate));
  const tips = platform.legs.map((_, i) => tipOf(rig, platform, i));
  const most = Math.max(...[...joints, ...tips].map(([x, y]) => Math.hypot(x, y)));
  const legNotes = platform.legs.map((leg, i): Note => {
    const joint = rig.joints[i];
    return {
      words: `leg${String(i + 1)}: pin ${String(joint?.pin)}, servo ${joint?.servo.name ?? ''}, longer pulse to ${joint?.sense === 1 ? 'plus' : 'minus'}`,
      at: flat(leg.base_mm),
    };
  });
  return {
    title: 'Plan: the platform seen from the moving plate’s side, in the base’s own frame',
    lead: 'x to the right, y up, z toward you. The legs count counter-clockwise. Drawn at home.',
    spans: [
      [-most, -most],
      [most, most],
    ],
    draw: (placed) =>
      markup`${plateSvg(platform, 'base', placed)}${plateSvg(platform, 'moving', placed)}
        ${platform.legs.map((_, i) => legSvg(rig, platform, i, placed))}`,
    notes: [...legNotes, ...plateNotes(platform, 'base'), ...plateNotes(platform, 'moving')],
  };
}

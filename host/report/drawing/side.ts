/** The platform seen from its x toward its middle: heights, crank, rod or stroke, pivot and the way plus moves a leg. */
import { extent } from 'd3-array';
import type { Platform, Rig, Vec3 } from '../../rig/rig.ts';
import { POSE_KEYS, toDeg } from '../../rig/rig.ts';
import { markup } from '../draw/markup.ts';
import type { Markup } from '../draw/markup.ts';
import type { Placed } from '../draw/scene.ts';
import type { Point } from '../draw/silhouette.ts';
import { path } from '../draw/svg.ts';
import { plateEndOf, tipOf } from './leg-points.ts';
import type { Note } from './notes.ts';
import { jointsOf } from './plates.ts';
import { type View, arcArrow, dimension, head, through } from './view.ts';
import { at, deg, kg, mm } from './words.ts';

const seen = ([, y, z]: Vec3): Point => [y, z];
const middle = (a: Point, b: Point): Point => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];

/** The leg whose dimensions are written: nearest the eye, on the right. */
const SHOWN = 1;

interface Side {
  readonly platform: Platform;
  readonly tips: readonly Point[];
  readonly ends: readonly Point[];
  readonly bases: readonly Point[];
  readonly left: number;
  readonly right: number;
  readonly pivot: Point;
}

function sideOf(rig: Rig, platform: Platform): Side {
  const tips = platform.legs.map((_, i) => seen(tipOf(rig, platform, i)));
  const ends = platform.legs.map((_, i) => seen(plateEndOf(platform, i)));
  const bases = jointsOf(platform, 'base').map(seen);
  const [left = 0, right = 0] = extent([...tips, ...ends, ...bases], ([y]) => y);
  const [, y, z] = platform.pivot_mm;
  return { platform, tips, ends, bases, left, right, pivot: [y, z + platform.home_z_mm] };
}

const pick = (points: readonly Point[], i = SHOWN): Point => points[i] ?? [0, 0];

/** How far beside the platform its height is drawn, mm. */
const offOf = ({ left, right }: Side): number => (right - left) * 0.06;

/** Shows which way plus moves the leg: the crank's tip up, or the actuator longer. */
function plusSvg(placed: Placed, { platform, tips, ends, bases }: Side): Markup {
  if (platform.drive === 'linear') {
    const [from, to] = [placed.view(middle(pick(tips), pick(ends))), placed.view(pick(ends))];
    return head(to, from);
  }
  const [base, tip] = [pick(bases), pick(tips)];
  const start = Math.atan2(tip[1] - base[1], tip[0] - base[0]);
  const way = Math.abs(start) > Math.PI / 2 ? -1 : 1;
  return arcArrow(placed, base, platform.crank_mm * 1.25, start, start + way * 0.9);
}

function sideSvg(placed: Placed, side: Side): Markup {
  const { platform, tips, ends, bases, left, right, pivot } = side;
  const home = platform.home_z_mm;
  const off = offOf(side);
  const legs = platform.legs.map((_, i) => {
    const far = i > SHOWN ? ' far' : '';
    return markup`${path(`rod${far}`, through(placed, [pick(tips, i), pick(ends, i)]))}${platform.drive === 'crank' ? path(`crank${far}`, through(placed, [pick(bases, i), pick(tips, i)])) : null}`;
  });
  const [cx, cy] = placed.view(pivot);
  return markup`${path(
    'datum',
    through(placed, [
      [left - off, 0],
      [right + 2 * off, 0],
    ]),
  )}
    ${path('plan-base', through(placed, bases.slice(0, 6), true))}${path('plan-moving', through(placed, ends, true))}
    ${path(
      'ray',
      through(placed, [
        [right, home],
        [right + 2 * off, home],
      ]),
    )}${legs}
    ${dimension(placed, [right + off, 0], [right + off, home])}${plusSvg(placed, side)}
    <circle class="pivot" cx="${cx}" cy="${cy}" r="5"/>`;
}

const weighs = (mass_kg: number | null): string => (mass_kg === null ? '' : `, ${kg(mass_kg)}`);

function legNotes(side: Side): Note[] {
  const { platform, tips, ends, bases } = side;
  const end: Note[] =
    platform.rod_end_rad === null
      ? []
      : [{ words: `rod ends tilt by up to ${deg(toDeg(platform.rod_end_rad))}`, at: pick(ends, 0) }];
  if (platform.stroke_mm) {
    const [shortest, longest] = platform.stroke_mm;
    return [
      { words: `stroke, pin to pin: ${mm(shortest)} to ${mm(longest)}`, at: middle(pick(tips), pick(ends)) },
      { words: 'plus: the actuator grows longer', at: pick(ends) },
      ...end,
    ];
  }
  return [
    {
      words: `crank, axis to rod end: ${mm(platform.crank_mm)}${weighs(platform.crank_kg)}`,
      at: middle(pick(bases), pick(tips)),
    },
    {
      words: `rod, stud to stud: ${mm(platform.rod_mm)}${weighs(platform.rod_kg)}`,
      at: middle(pick(tips), pick(ends)),
    },
    { words: 'plus: the crank’s tip moves toward the moving plate, on every leg', at: pick(tips) },
    { words: 'crank angle 0: the crank lies in the base plane', at: pick(bases, 0) },
    ...end,
  ];
}

/** Where the plate is parked, in the carrier's axes. */
function restWords({ rest }: Platform): string {
  const values = rest.map((value, k) => (k < 3 ? mm(value) : deg(toDeg(value))));
  const off = POSE_KEYS.flatMap((key, k) =>
    Math.abs(rest[k] ?? 0) > 1e-6 ? [`${key.replace(/_.*/, '')} ${values[k] ?? ''}`] : [],
  );
  return off.length === 0 ? 'at home' : `${off.join(', ')} from home, along the carrier’s axes`;
}

/** The side view, in the base's frame at home: y to the right, z up. */
export function sideView(rig: Rig, platform: Platform): View {
  const side = sideOf(rig, platform);
  const { left, right, pivot, ends, bases, tips } = side;
  const home = platform.home_z_mm;
  const off = offOf(side);
  return {
    title: 'Side: the platform seen from its x, at home',
    lead: 'y to the right, z up from the base: the base’s own frame, however the prop mounts it. leg1 and leg2 in front.',
    spans: [[left - off, 0], [right + 2 * off, home], pivot, ...ends, ...bases, ...tips],
    draw: (placed) => sideSvg(placed, side),
    notes: [
      { words: `home height, base to moving plate: ${mm(home)}`, at: [right + off, home / 2] },
      { words: 'z = 0: the plane of the base joints', at: [left, 0] },
      { words: `pivot ${at(platform.pivot_mm)} from the moving plate: the prop turns about it`, at: pivot },
      { words: `rest: ${restWords(platform)}`, at: [left * 0.4, home] },
      ...legNotes(side),
    ],
  };
}

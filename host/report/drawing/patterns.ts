/** What is printed at true size: the two plates' joints and the horn protractor. Lengths mm, y down, each piece in its own box. */
import { extent } from 'd3-array';
import type { Platform, Rig, Vec3 } from '../../rig/rig.ts';
import { type Markup, markup } from '../draw/markup.ts';
import { type Bodies, bodiesOf } from './bodies.ts';
import { wrapMm } from './notes.ts';
import type { Sized } from './paper.ts';
import { AXIS_MM, HOLE_MM as HOLE, homeOutline, sizeWords } from './plate-plan.ts';
import { type PlateName, jointsOf } from './plates.ts';
import { mm } from './words.ts';

/** A piece of a sheet. */
export interface Pattern extends Sized {
  readonly name: string;
  readonly svg: Markup;
}

/** Room around a plate's joints for their marks and names. */
const AROUND = 14;
const CROSS = 5;
const WORDS = 18;

/** To a thousandth of a millimetre. */
export const exact = (value: number): string => String(Math.round(value * 1000) / 1000 || 0);

export const text = (words: string, x: number, y: number, anchor = 'middle', kind = 'small'): Markup =>
  markup`<text class="${kind}" x="${exact(x)}" y="${exact(y)}" text-anchor="${anchor}">${words}</text>`;

const line = (kind: string, x1: number, y1: number, x2: number, y2: number): Markup =>
  markup`<path class="${kind}" d="M${exact(x1)} ${exact(y1)}L${exact(x2)} ${exact(y2)}"/>`;

/** A cross and a small circle where a joint's centre goes. */
const hole = (name: string, x: number, y: number): Markup =>
  markup`<circle class="hole" data-joint="${name}" cx="${exact(x)}" cy="${exact(y)}" r="${HOLE}"/>${line('fine', x - CROSS, y, x + CROSS, y)}${line('fine', x, y - CROSS, x, y + CROSS)}`;

/** The crank as it lies at 0 degrees, and its servo's axis, which lies in the base plane across it. */
function crankSvg({ crank_mm }: Platform, azimuth_rad: number, x: number, y: number): Markup {
  const [c, s] = [Math.cos(azimuth_rad), -Math.sin(azimuth_rad)];
  const [tipX, tipY] = [x + crank_mm * c, y + crank_mm * s];
  return markup`${line('bold', x, y, tipX, tipY)}<circle class="fine" cx="${exact(tipX)}" cy="${exact(tipY)}" r="${HOLE}"/>
    ${line('dashed', x + AXIS_MM * s, y - AXIS_MM * c, x - AXIS_MM * s, y + AXIS_MM * c)}`;
}

const LETTER = 2.8;
const LINE = 4;
/** Words about bodies go over most of an A4 sheet: below each other they would need a larger one. */
const WORDS_WIDE = 186;

/** What is told of servos' bodies, in lines of this width. */
const bodyLines = ({ words, faults, isCut }: Bodies, width: number): readonly string[] =>
  [
    isCut ? 'Heavy outlines: the servos’ bodies, to be cut out.' : 'Long dashes: the servos’ bodies, not holes.',
    ...words,
    ...faults,
  ].flatMap((line) => wrapMm(line, LETTER, width));

/** @param pathOf a path's points on the sheet. */
const bodiesSvg = ({ outlines, isCut }: Bodies, pathOf: (points: Bodies['outlines'][number]) => string): Markup =>
  markup`${outlines.map((points, i) => markup`<path class="${isCut ? 'cut' : 'body'}" data-body="leg${String(i + 1)}" d="M${pathOf(points)}Z"/>`)}`;

/** Outward from the middle of the plate, beside the joint. */
function nameSvg(name: string, [x, y]: readonly [number, number], centre: readonly [number, number]): Markup {
  const [dx, dy] = [x - centre[0], y - centre[1]];
  const size = Math.hypot(dx, dy) || 1;
  return text(name, x + (10 * dx) / size, y + (9 * dy) / size + 1);
}

const TITLES: Readonly<Record<PlateName, string>> = {
  base: 'Base, seen from the moving plate’s side',
  moving: 'Moving plate, seen from the side away from the base',
};

const MARKS: Readonly<Record<PlateName, Readonly<Record<Platform['drive'], string>>>> = {
  base: {
    crank:
      'Crosses: middles of the servo axes. Bold: cranks at 0 deg. Dashed: the axes. Dotted: the moving plate at home.',
    linear: 'Crosses: middles of the actuators’ lower joints. Dotted: the moving plate at home.',
  },
  moving: { crank: 'Crosses: middles of the rod ends.', linear: 'Crosses: middles of the actuators’ upper joints.' },
};

/** A joint that is off the plate's plane says so. */
const nameOf = (i: number, [, , z]: Vec3): string => `leg${String(i + 1)}${z === 0 ? '' : `, z ${mm(z)}`}`;

/** The joints of a plate; x to the right, y up, as in the plan. */
export function platePattern(platform: Platform, plate: PlateName): Pattern {
  const joints = jointsOf(platform, plate);
  const tips = platform.legs.map(({ azimuth_rad: azimuth, base_mm: [x, y] }) =>
    plate === 'base' ? [x + platform.crank_mm * Math.cos(azimuth), y + platform.crank_mm * Math.sin(azimuth)] : [x, y],
  );
  const home = plate === 'base' ? homeOutline(platform) : [];
  const bodies = plate === 'base' ? bodiesOf(platform) : null;
  const spans = plate === 'base' ? [...joints, ...tips, ...home, ...(bodies?.outlines.flat() ?? [])] : joints;
  const [left = 0, right = 0] = extent([0, ...spans.map(([x = 0]) => x)]);
  const [low = 0, high = 0] = extent([0, ...spans.map(([, y = 0]) => y)]);
  const width = Math.max(right - left + 2 * AROUND, bodies ? WORDS_WIDE : 150);
  const shift = (width - (right - left)) / 2 - left;
  const onSheet = ([x, y]: readonly [number, number, ...number[]]): readonly [number, number] => [
    shift + x,
    WORDS + AROUND + high - y,
  ];
  const centre = onSheet([0, 0, 0]);
  const marks = joints.map((joint, i) => {
    const [x, y] = onSheet(joint);
    const leg = platform.legs[i];
    const crank =
      plate === 'base' && platform.drive === 'crank' && leg ? crankSvg(platform, leg.azimuth_rad, x, y) : null;
    return markup`${hole(`leg${String(i + 1)}`, x, y)}${crank}${nameSvg(nameOf(i, joint), [x, y], centre)}`;
  });
  const outlineOf = (points: readonly (readonly [number, number, ...number[]])[]): string =>
    points.map((at) => onSheet(at).map(exact).join(' ')).join('L');
  const bottom = high - low + 2 * AROUND + WORDS;
  const lines = bodies ? bodyLines(bodies, width) : [];
  return {
    name: plate === 'base' ? 'base' : 'moving plate',
    width,
    height: bottom + LINE * lines.length,
    svg: markup`${text(TITLES[plate], width / 2, 5, 'middle', 'piece')}${text(MARKS[plate][platform.drive], width / 2, 10)}
      ${sizeWords(platform, plate).map((words) => text(words, width / 2, 14.5))}
      <path class="dashed" d="M${outlineOf(joints)}Z"/>${home.length > 0 ? markup`<path class="dotted" data-of="home" d="M${outlineOf(home)}Z"/>` : null}${bodies ? bodiesSvg(bodies, outlineOf) : null}${marks}
      ${lines.map((words, i) => text(words, width / 2, bottom + LINE * i))}
      ${line('fine', centre[0] - 3, centre[1], centre[0] + 14, centre[1])}${line('fine', centre[0], centre[1] + 3, centre[0], centre[1] - 14)}
      ${text('x', centre[0] + 16, centre[1] + 1)}${text('y', centre[0], centre[1] - 15.5)}`,
  };
}

const LEAST_RADIUS = 40;

/** Ticks of one half of the disc, -90 to 90; the sides are each other's mirror image, so that up is plus on both. */
function ticks(cx: number, cy: number, radius: number, side: 1 | -1): readonly Markup[] {
  return Array.from({ length: 181 }, (_, i) => i - 90).map((degree) => {
    const long = degree % 10 === 0 ? 6 : degree % 5 === 0 ? 4 : 2;
    const angle = (degree * Math.PI) / 180;
    const at = (r: number): readonly [number, number] => [cx + side * r * Math.cos(angle), cy - r * Math.sin(angle)];
    const [[x1, y1], [x2, y2], [tx, ty]] = [at(radius), at(radius - long), at(radius + 4.5)];
    const numbered = degree % 10 === 0 && (side === 1 || Math.abs(degree) !== 90);
    const words = `${degree > 0 ? '+' : degree < 0 ? '\u2212' : ''}${String(Math.abs(degree))}`;
    return markup`${line('fine', x1, y1, x2, y2)}${numbered ? text(words, tx, ty + 1) : null}`;
  });
}

/** Degrees around a servo's shaft, 0 where the centre pulse puts the horn; null: the rig turns nothing. */
export function hornPattern({ joints, platform }: Rig): Pattern | null {
  const turning = joints.filter(({ servo }) => servo.drive === 'rotary');
  if (turning.length === 0) return null;
  const crank_mm = platform?.crank_mm ?? 0;
  const radius = Math.max(LEAST_RADIUS, crank_mm + 12);
  const width = Math.max(2 * (radius + 10), 150);
  const [cx, cy] = [width / 2, WORDS + radius + 8];
  const cranked =
    crank_mm > 0 ? markup`<circle class="dashed" cx="${exact(cx)}" cy="${exact(cy)}" r="${exact(crank_mm)}"/>` : null;
  const told =
    crank_mm > 0
      ? `A crank’s plus is toward the moving plate. Dashed circle: the rod ends, ${mm(crank_mm)} from the shaft.`
      : 'Up counts as plus.';
  return {
    name: 'horn protractor',
    width,
    height: cy + radius + 10,
    svg: markup`${text('Horn protractor: 0 where the centre pulse puts the horn', cx, 5, 'middle', 'piece')}
${text('Shaft in the middle. Use the half to which the horn points.', cx, 10)}${text(told, cx, 14)}
      <circle class="fine" cx="${exact(cx)}" cy="${exact(cy)}" r="${exact(radius)}"/>${cranked}
      ${ticks(cx, cy, radius, 1)}${ticks(cx, cy, radius, -1)}
      <circle class="hole" cx="${exact(cx)}" cy="${exact(cy)}" r="${HOLE}"/>
      ${line('fine', cx - radius, cy, cx + radius, cy)}${line('fine', cx, cy - radius, cx, cy + radius)}`,
  };
}

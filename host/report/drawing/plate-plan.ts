/**
 * A plate as it is cut, in its own frame: joints, the servos' axes and cranks at 0 deg, the other plate's outline at home, a line to
 * measure. Lengths mm, x to the right and y up, the middle of the joints at the origin. Knows no file format.
 */
import type { Platform, Vec3 } from '../../rig/rig.ts';
import { type Bodies, bodiesOf } from './bodies.ts';
import { widthOfText, wrapMm } from './notes.ts';
import { type PlateName, between, jointsOf, ringOf } from './plates.ts';
import { short } from '../../rig/words.ts';

/** `CUT`: servos' bodies that go through the base plate; `BODIES_NOT_CUT`: bodies that stand on it or over it. */
export const LAYERS = [
  'JOINTS',
  'OUTLINE',
  'CRANKS',
  'AXES',
  'HOME',
  'CUT',
  'BODIES_NOT_CUT',
  'CHECK',
  'WORDS',
] as const;
export type Layer = (typeof LAYERS)[number];
type Point = readonly [x: number, y: number];

export type Mark = { readonly layer: Layer } & (
  | { readonly kind: 'circle'; readonly at: Point; readonly radius: number }
  | { readonly kind: 'line'; readonly from: Point; readonly to: Point }
  | { readonly kind: 'outline'; readonly points: readonly Point[] }
  | { readonly kind: 'words'; readonly at: Point; readonly height: number; readonly words: string }
);

/** Of the marks at joints: a pilot hole. */
export const HOLE_MM = 1.5;
/** Half of the line that shows a servo's axis: short of the joint's name. */
export const AXIS_MM = 7;
export const BAR_MM = 100;
const LETTER_MM = 3;
const LINE_MM = 5;
/** Long words beneath a plate go on in the next line. */
const WORDS_MM = 180;
/** From the lowest mark down to the words. */
const BELOW_MM = 15;

const flat = ([x, y]: Vec3): Point => [x, y];

/** The other plate's joints as they stand at home over the base; the plates are parallel there. */
export const homeOutline = (platform: Platform): readonly Point[] => jointsOf(platform, 'moving').map(flat);

/** `2 mm`, to a hundredth. */
const mm = (value: number): string => `${short(value, 2)} mm`;

/** What is measured on a plate, in words: its ring, and how far its joints stand apart. */
export function sizeWords(platform: Platform, plate: PlateName): readonly string[] {
  const joints = jointsOf(platform, plate);
  const ring = ringOf(joints);
  if (ring)
    return [
      `radius ${mm(ring.radius_mm)}, half angle ${short(ring.half_angle_deg, 2)} deg; leg1 to leg2 ${mm(between(joints, 0, 1))}, leg2 to leg3 ${mm(between(joints, 1, 2))}`,
    ];
  const gaps = joints.map(
    (_, i) => `${String(i + 1)}-${String(((i + 1) % 6) + 1)} ${short(between(joints, i, (i + 1) % 6), 2)}`,
  );
  return [`from leg to leg, mm: ${gaps.join(', ')}`];
}

function crankMarks({ crank_mm, legs }: Platform): Mark[] {
  return legs.flatMap(({ base_mm: [x, y], azimuth_rad }): Mark[] => {
    const [c, s] = [Math.cos(azimuth_rad), Math.sin(azimuth_rad)];
    const axis = (way: 1 | -1): Point => [x - way * AXIS_MM * s, y + way * AXIS_MM * c];
    return [
      { kind: 'line', layer: 'CRANKS', from: [x, y], to: [x + crank_mm * c, y + crank_mm * s] },
      { kind: 'line', layer: 'AXES', from: axis(1), to: axis(-1) },
    ];
  });
}

/** Servos' bodies on a layer that says whether they are cut out. */
const bodyMarks = ({ outlines, isCut }: Bodies): Mark[] =>
  outlines.map((points) => ({ kind: 'outline', layer: isCut ? 'CUT' : 'BODIES_NOT_CUT', points }));

/** What is told of the bodies, and on which layer they are. */
const bodyWords = ({ words, faults, isCut }: Bodies): readonly string[] => [
  ...words,
  isCut
    ? 'Layer CUT: the servos’ bodies, to be cut out.'
    : 'Layer BODIES_NOT_CUT: the servos’ bodies, for reference; do not cut them.',
  ...faults,
];

/** Everything on a plate; the joints first, in the order of the legs. */
export function platePlan(name: string, platform: Platform, plate: PlateName): readonly Mark[] {
  const joints = jointsOf(platform, plate);
  const holes = joints.map((at): Mark => ({ kind: 'circle', layer: 'JOINTS', at: flat(at), radius: HOLE_MM }));
  const names = joints.map((at, i): Mark => {
    const z = at[2] === 0 ? '' : `, z ${mm(at[2])}`;
    return {
      kind: 'words',
      layer: 'WORDS',
      at: [at[0] + 2, at[1] + 2],
      height: LETTER_MM,
      words: `leg${String(i + 1)}${z}`,
    };
  });
  const bodies = plate === 'base' ? bodiesOf(platform) : null;
  const drawn: Mark[] = [
    ...holes,
    { kind: 'outline', layer: 'OUTLINE', points: joints.map(flat) },
    ...(plate === 'base' && platform.drive === 'crank' ? crankMarks(platform) : []),
    ...(plate === 'base' ? [{ kind: 'outline', layer: 'HOME', points: homeOutline(platform) } as const] : []),
    ...(bodies ? bodyMarks(bodies) : []),
  ];
  const lines = [
    `${name}: ${plate === 'base' ? 'base, seen from the moving plate’s side' : 'moving plate, seen from the side away from the base'}`,
    ...sizeWords(platform, plate),
    'Units: mm. Circles: centres of joints.',
    ...(bodies ? bodyWords(bodies).flatMap((words) => wrapMm(words, LETTER_MM, WORDS_MM)) : []),
  ];
  return [...drawn, ...names, ...footMarks(lines, lowestOf(drawn) - BELOW_MM)];
}

const lowestOf = (marks: readonly Mark[]): number => Math.min(...marks.flatMap(pointsOf).map(([, y]) => y));

/** The line to measure, and what the plate is, under all else. */
function footMarks(about: readonly string[], y: number): Mark[] {
  const [left, right] = [-BAR_MM / 2, BAR_MM / 2];
  const tick = (x: number): Mark => ({ kind: 'line', layer: 'CHECK', from: [x, y - 3], to: [x, y + 3] });
  const lines = ['Measure this line: it must be 100 mm.', ...about];
  return [
    { kind: 'line', layer: 'CHECK', from: [left, y], to: [right, y] },
    tick(left),
    tick(right),
    ...lines.map((words, n): Mark => ({
      kind: 'words',
      layer: 'WORDS',
      at: [left, y - 8 - LINE_MM * n],
      height: LETTER_MM,
      words,
    })),
  ];
}

/** Height of a capital, which is what words in a drawing are given by, as a share of the type size (sans-serif faces: common practice). */
const CAPITAL = 0.7;

/** The points that a mark reaches to; words generously. */
export function pointsOf(mark: Mark): readonly Point[] {
  switch (mark.kind) {
    case 'circle': {
      const [[x, y], r] = [mark.at, mark.radius];
      return [
        [x - r, y - r],
        [x + r, y + r],
      ];
    }
    case 'line':
      return [mark.from, mark.to];
    case 'outline':
      return mark.points;
    case 'words': {
      const [x, y] = mark.at;
      return [mark.at, [x + widthOfText(mark.words, mark.height / CAPITAL), y + mark.height]];
    }
  }
}

/**
 * Servos' bodies on the base plate: corners by plane geometry worked out here from radius, half angle and sizes, and the same room
 * that the design search's collisions find. The DXF is read back by an independent package (dxf-parser).
 */
import dxf, { type IDxf, type IPolylineEntity } from 'dxf-parser';
import { describe, expect, it, test } from 'vitest';
import { Geometries } from '../../../../host/design/evaluate/geometry.ts';
import { LegSet } from '../../../../host/design/evaluate/legs.ts';
import { Spaces } from '../../../../host/design/evaluate/spaces.ts';
import { bodiesOf } from '../../../../host/report/drawing/bodies.ts';
import { dxfOf } from '../../../../host/report/drawing/dxf.ts';
import { platePlan } from '../../../../host/report/drawing/plate-plan.ts';
import { sheetsOf } from '../../../../host/report/drawing/sheet.ts';
import { usualClearance } from '../../../../host/rig/clearance.ts';
import { type Rig, toRad } from '../../../../host/rig/rig.ts';
import { askOf, randomDesigns } from '../../design/candidates.ts';
import { LINEAR, OWL, rigOf, swap } from '../../rig/owl.ts';
import { boxesOf, overlaps } from './boxes.ts';

/** The package's types describe a module where Node has the class. */
const DxfParser = dxf as unknown as new () => { parseSync: (text: string) => IDxf | null };

/** The owl's base has a radius of 70 mm and a half angle of 14 deg. */
const withBodies = (clearance: string, facing = 'outward', half_deg = 14): Rig =>
  rigOf(
    swap(
      OWL,
      ['rod_end_deg: 28', `rod_end_deg: 28\n  clearance: ${clearance}`],
      ['crank_azimuth_deg: outward', `crank_azimuth_deg: ${facing}`],
      ['half_angle_deg: 14', `half_angle_deg: ${String(half_deg)}`],
    ),
  );

const STANDING = '{ servo_body_mm: [20, 40, 36], horn_thick_mm: 5, rod_thick_mm: 8, axes_above_base_mm: 22 }';
const SUNK = '{ servo_body_mm: [20, 40, 36], horn_thick_mm: 5, rod_thick_mm: 8, axes_above_base_mm: 14 }';

const textOf = ({ name, platform }: Rig, plate: 'base' | 'moving' = 'base'): string =>
  dxfOf(platePlan(name, platform!, plate));
const bodiesIn = (text: string, layer: string): (readonly (readonly [number, number])[])[] =>
  (new DxfParser().parseSync(text)!.entities as IPolylineEntity[])
    .filter((entity) => entity.layer === layer)
    .map(({ vertices }) => vertices.map(({ x, y }) => [x, y] as const));
const wordsIn = (text: string): string =>
  new DxfParser()
    .parseSync(text)!
    .entities.filter(({ type }) => type === 'TEXT')
    .map((entity) => (entity as unknown as { text: string }).text)
    .join(' ');

/**
 * By hand: both servos of a pair lie along its azimuth, side by side at ± R sin(half); their faces stand half a rod and a horn
 * (8/2 + 5 = 9 mm) inward of R cos(half), their backs 36 mm further in. Whether cranks point outward or inward changes none of it.
 */
function cornersByHand(pair: number, side: 1 | -1): number[][] {
  const [half, turn] = [(14 * Math.PI) / 180, (pair * 2 * Math.PI) / 3];
  const [face, middle] = [70 * Math.cos(half) - 9, side * 70 * Math.sin(half)];
  return [face, face - 36].flatMap((along) =>
    [middle - 10, middle + 10].map((across) => [
      along * Math.cos(turn) - across * Math.sin(turn),
      along * Math.sin(turn) + across * Math.cos(turn),
    ]),
  );
}

describe.each(['outward', 'inward'])('bodies of a platform with cranks %s', (facing) => {
  it.each([
    [STANDING, 'BODIES_NOT_CUT', 'CUT'],
    [SUNK, 'CUT', 'BODIES_NOT_CUT'],
  ])('%s: corners on their layer, to a millionth of a mm', (clearance, layer, other) => {
    const text = textOf(withBodies(clearance, facing));
    const bodies = bodiesIn(text, layer);
    expect(bodies).toHaveLength(6);
    expect(bodiesIn(text, other)).toEqual([]);
    for (const [i, corners] of bodies.entries()) {
      expect(corners).toHaveLength(4);
      for (const [x = NaN, y = NaN] of cornersByHand(i >> 1, i % 2 === 0 ? -1 : 1))
        expect(Math.min(...corners.map(([cx, cy]) => Math.hypot(cx - x, cy - y)))).toBeLessThan(1e-6);
      // Neighbours in the list share an edge: the outline does not cross itself.
      const edges = corners.map(([x, y], k) => Math.hypot(corners[(k + 1) % 4]![0] - x, corners[(k + 1) % 4]![1] - y));
      expect(edges).toEqual([20, 36, 20, 36].map((edge) => expect.closeTo(edge, 6)));
    }
    expect(bodiesIn(textOf(withBodies(clearance, facing), 'moving'), layer)).toEqual([]);
  });
});

it.each([
  ['no clearance in the file', rigOf(OWL)],
  ['actuators', rigOf(LINEAR.replace('  stroke_mm', `  clearance: ${STANDING}\n  stroke_mm`))],
])('%s: no outline and no word of bodies', (_, rig) => {
  const text = textOf(rig);
  expect(bodiesIn(text, 'CUT').concat(bodiesIn(text, 'BODIES_NOT_CUT'))).toEqual([]);
  expect(wordsIn(text)).not.toMatch(/bod(y|ies)/i);
  for (const { text: svg } of sheetsOf(rig)) expect(svg).not.toMatch(/data-body|servo bod|servos’ bod/i);
});

test('what is assumed is said so, what is given is not', () => {
  const assumed = wordsIn(textOf(withBodies('{ gap_mm: 1 }')));
  expect(assumed).toContain('Servo bodies as assumed: 20 mm along the crank, 38 mm along the shaft, 40 mm high');
  expect(assumed).toContain('Measure yours.');
  expect(assumed).toContain('half a rod of 6 mm (assumed) and a horn of 4 mm (assumed)');
  expect(assumed).toContain(
    'for reference, not holes: the bodies stand on the plate; the axes are 20 mm above it (assumed)',
  );
  const given = wordsIn(textOf(withBodies(SUNK)));
  expect(given).toContain('Servo bodies as the rig file gives them: 20 mm along the crank, 36 mm');
  expect(given).toContain('cut-outs without play: the bodies reach 6 mm below the plate');
  expect(given).not.toContain('(assumed)');
  expect(wordsIn(textOf(withBodies(STANDING)))).toContain('the bodies are 2 mm above the plate');
});

/** Two bodies of a pair, 20 mm wide, have their middles 2·70·sin(half) apart. */
describe.each(['outward', 'inward'])('two bodies of a pair, cranks %s', (facing) => {
  test('overlap is said in words, with how far', () => {
    const overlap = String(Number((20 - 140 * Math.sin((7 * Math.PI) / 180)).toFixed(2)));
    const rig = withBodies('{ gap_mm: 2 }', facing, 7);
    const words = `SERVO BODIES OVERLAP: leg1 and leg2 (by ${overlap} mm), leg3 and leg4 (by ${overlap} mm) and leg5 and leg6 (by ${overlap} mm)`;
    expect(wordsIn(textOf(rig))).toContain(words);
    const svg = sheetsOf(rig)[0]!.text.replace(/<\/text>[^<]*<text[^>]*>/g, ' ');
    expect(svg).toContain(words);
  });

  test('less room than the gap is said in words, and enough room is not', () => {
    const apart = String(Number((140 * Math.sin((9 * Math.PI) / 180) - 20).toFixed(2)));
    const [near, far] = [3, 1.8].map((gap) => wordsIn(textOf(withBodies(`{ gap_mm: ${String(gap)} }`, facing, 9))));
    expect(near).toContain(`stand too near each other: leg1 and leg2 (${apart} mm apart)`);
    expect(near).toContain('3 mm must stay free');
    expect(far).not.toMatch(/OVERLAP|too near/);
  });
});

/** Both of a pair as near as 7 deg puts them, the second so much higher; bodies are 40 mm high. */
test.each([
  [45, []],
  [41.5, ['Servo bodies stand too near each other: leg1 and leg2 (1.5 mm apart)']],
  [39, ['SERVO BODIES OVERLAP: leg1 and leg2 (by 1 mm)']],
] as const)('bodies one above the other, at joints %s mm higher', (high_mm, faults) => {
  const half = (7 * Math.PI) / 180;
  const points = [0, 120, 240].flatMap((pair) =>
    [-half, half].map((side, k) => {
      const angle = (pair * Math.PI) / 180 + side;
      return [70 * Math.cos(angle), 70 * Math.sin(angle), k * high_mm];
    }),
  );
  const { platform } = withBodies('{ servo_body_mm: [20, 40, 36], gap_mm: 2 }', 'outward', 7);
  const legs = platform!.legs.map((leg, i) => ({ ...leg, base_mm: points[i] as [number, number, number] }));
  const told = bodiesOf({ ...platform!, legs })!.faults;
  expect(told).toHaveLength(faults.length);
  for (const [i, words] of faults.entries()) expect(told[i]).toContain(words);
  expect(bodiesOf(platform!)!.faults).toHaveLength(1);
});

type Point = readonly [number, number];

/** From a point to a segment. */
function away([x, y]: Point, [[x1, y1], [x2, y2]]: readonly [Point, Point]): number {
  const [dx, dy] = [x2 - x1, y2 - y1];
  const t = Math.min(1, Math.max(0, ((x - x1) * dx + (y - y1) * dy) / (dx * dx + dy * dy)));
  return Math.hypot(x1 + t * dx - x, y1 + t * dy - y);
}

/** Least distance from a corner of one outline to an edge of another: how far apart they are where none overlap. */
const apart = (outlines: readonly (readonly Point[])[]): number =>
  Math.min(
    ...outlines.flatMap((one, i) =>
      outlines.flatMap((two, k) =>
        i === k ? [] : one.flatMap((point) => two.map((from, n) => away(point, [from, two[(n + 1) % two.length]!]))),
      ),
    ),
  );

/** The deepest overlap that is told, mm, to 0.01 mm; 0: none is. */
const overlapOf = (faults: readonly string[]): number =>
  Math.max(
    0,
    ...faults.flatMap((fault) => [...fault.matchAll(/\(by ([\d.]+) mm\)/g)].map((match) => Number(match[1]))),
  );

/** At 7 to 14 deg the two of a pair are nearest, at 20 and 26 deg neighbours of two pairs, whose room depends on how far inward the bodies lie. */
describe('the design search’s collisions', () => {
  test.each(['outward', 'inward'] as const)('find the room that the outlines leave, cranks %s', (facing) => {
    for (const half of [7, 9, 14, 20, 26]) {
      const rig = withBodies(STANDING, facing, half);
      const clearance = usualClearance(rig.platform!.clearance);
      const legs = new LegSet();
      const [any] = randomDesigns(1, 1);
      new Geometries(askOf(rig)).put({ ...any!, base_radius_mm: 70, base_half_rad: toRad(half), facing }, legs);
      const spaces = new Spaces(clearance, rig.platform!.pivot_mm);
      spaces.begin(legs, clearance.servo_body_mm);
      const { outlines, faults } = bodiesOf(rig.platform!)!;
      const overlap = overlapOf(faults);
      if (overlap > 0) expect(spaces.least * 1000).toBeCloseTo(-overlap, 1);
      else expect(spaces.least * 1000).toBeCloseTo(apart(outlines), 6);
    }
  });
});

test.each([STANDING, SUNK, '{ gap_mm: 2 }'])(
  'a sheet with %s: outlines on it at true size, no words over others',
  (given) => {
    const rig = withBodies(given, 'outward', 7);
    const [base] = sheetsOf(rig);
    const paths = [...base!.text.matchAll(/data-body="(leg\d)" d="M([^"]+)Z"/g)];
    expect(paths.map(([, name]) => name)).toEqual(['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6']);
    const joints = [...base!.text.matchAll(/data-joint="leg\d" cx="([^"]+)" cy="([^"]+)"/g)];
    const { outlines } = bodiesOf(rig.platform!)!;
    for (const [i, [, , d = '']] of paths.entries()) {
      const [jx, jy] = rig.platform!.legs[i]!.base_mm;
      for (const [k, at] of d.split('L').entries()) {
        const [x = NaN, y = NaN] = at.split(' ').map(Number);
        const [bx, by] = outlines[i]![k]!;
        expect(x - Number(joints[i]![1])).toBeCloseTo(bx - jx, 2);
        expect(Number(joints[i]![2]) - y).toBeCloseTo(by - jy, 2);
      }
    }
    expect(base!.text).toMatch(given === SUNK ? /class="cut" data-body/ : /class="body" data-body/);
    for (const piece of base!.text.split('<g transform'))
      expect(overlaps(boxesOf(piece, { title: 5, piece: 4, small: 2.8 }))).toEqual([]);
  },
);

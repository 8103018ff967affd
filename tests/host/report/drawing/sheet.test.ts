import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { sheetsOf } from '../../../../host/report/drawing/sheet.ts';
import { LINEAR, OWL, rigOf, swap } from '../../rig/owl.ts';
import { boxesOf, overlaps } from './boxes.ts';

const SIZES = { title: 5, piece: 4, small: 2.8 };
const file = (path: string): string => readFileSync(new URL(`../../../../${path}`, import.meta.url), 'utf8');
const OWL_SHEETS = sheetsOf(rigOf(OWL));

/** Middles of the six joints marked on a sheet, mm of the paper. */
const holes = (svg: string): (readonly [number, number])[] =>
  [...svg.matchAll(/data-joint="leg\d" cx="([^"]+)" cy="([^"]+)"/g)].map(([, x, y]) => [Number(x), Number(y)]);
const gap = (points: readonly (readonly [number, number])[], i: number, j: number): number =>
  Math.hypot((points[i]?.[0] ?? NaN) - (points[j]?.[0] ?? NaN), (points[i]?.[1] ?? NaN) - (points[j]?.[1] ?? NaN));

/** The chord of a circle over an angle in degrees. */
const chord = (radius: number, angle: number): number => 2 * radius * Math.sin((angle * Math.PI) / 360);

describe.each([
  ['the owl', OWL],
  ['the demo', file('host/demo/night-owl.yaml')],
  ['the stork', file('tests/data/stork.yaml')],
  ['actuators', LINEAR],
])('the sheets of %s', (_, text) => {
  test('one unit of the picture is 1 mm of paper', () => {
    for (const { text: svg } of sheetsOf(rigOf(text))) {
      const [, width, height, box] = /width="(\S+)mm" height="(\S+)mm" viewBox="0 0 ([^"]+)"/.exec(svg) ?? [];
      expect(box).toBe(`${width ?? ''} ${height ?? ''}`);
      expect(svg).not.toMatch(/scale\(|NaN|undefined/);
      expect(svg).toMatch(/<path class="bar" data-mm="100" d="M\S+ \S+h100"/);
      expect(svg).toContain('Measure this: it must be 100 mm.');
    }
  });

  test('no words overlap others on a piece', () => {
    for (const { text: svg } of sheetsOf(rigOf(text)))
      for (const piece of svg.split('<g transform')) {
        const boxes = boxesOf(piece, SIZES);
        expect(boxes.length).toBeGreaterThan(1);
        expect(overlaps(boxes)).toEqual([]);
      }
  });
});

test('the joints stand as far apart as the file’s rings say', () => {
  const [base, moving] = OWL_SHEETS.map((sheet) => holes(sheet.text));
  for (const [points, radius, half] of [
    [base, 70, 14],
    [moving, 55, 46],
  ] as const) {
    expect(points).toHaveLength(6);
    for (const i of [0, 2, 4]) expect(gap(points ?? [], i, i + 1)).toBeCloseTo(chord(radius, 2 * half), 2);
    for (const i of [1, 3, 5]) expect(gap(points ?? [], i, (i + 1) % 6)).toBeCloseTo(chord(radius, 120 - 2 * half), 2);
  }
});

test('leg1 and leg2 stand at the largest x, leg2 higher on the paper: y is up', () => {
  const [base = []] = OWL_SHEETS.map((sheet) => holes(sheet.text));
  const most = Math.max(...base.map(([x]) => x));
  expect([base[0]?.[0], base[1]?.[0]]).toEqual([most, most]);
  expect(base[1]?.[1]).toBeLessThan(base[0]?.[1] ?? NaN);
});

test('points by hand stand where the file puts them', () => {
  const points = [[38, -40, 0], [38, 40, 0], [15, 53, 2], [-53, 13, 0], [-53, -13, 0], [15, -53, 0]] as const; // prettier-ignore
  const text = swap(OWL, [
    'moving: { radius_mm: 55, half_angle_deg: 46 }',
    `moving: { points_mm: ${JSON.stringify(points)} }`,
  ]);
  const moving = holes(sheetsOf(rigOf(text))[1]?.text ?? '');
  const [x0 = NaN, y0 = NaN] = moving[0] ?? [];
  points.forEach(([x, y], i) => {
    expect(moving[i]?.[0]).toBeCloseTo(x0 + x - 38, 3);
    expect(moving[i]?.[1]).toBeCloseTo(y0 - (y + 40), 3);
  });
  expect(sheetsOf(rigOf(text))[1]?.text).toMatch(/leg3, z 2.mm/);
});

test('everything of an A4 plate stays off the margin that printers leave', () => {
  for (const sheet of OWL_SHEETS) expect(sheet.paper).toBe('A4');
  const [, shift = ''] = /translate\((\S+) /.exec(OWL_SHEETS[0]?.text ?? '') ?? [];
  for (const [x] of holes(OWL_SHEETS[0]?.text ?? '')) {
    expect(Number(shift) + x).toBeGreaterThan(10);
    expect(Number(shift) + x).toBeLessThan(200);
  }
});

test('a plate that A4 cannot hold gets a larger sheet, which says so', () => {
  const [base] = sheetsOf(rigOf(LINEAR));
  expect(base?.paper).toBe('A2');
  expect(base?.text).toContain('on A2 (420 × 594 mm)');
});

test('the protractor is there for servos that turn, with the crank’s circle at its length', () => {
  expect(OWL_SHEETS.at(-1)?.shows).toContain('horn protractor');
  expect(OWL_SHEETS.at(-1)?.text).toMatch(/<circle class="dashed" [^>]*r="22"/);
  expect(sheetsOf(rigOf(LINEAR)).flatMap(({ shows }) => shows)).toEqual(['base', 'moving plate']);
});

test('a tick of the protractor stands at its angle', () => {
  const svg = OWL_SHEETS.at(-1)?.text ?? '';
  const [, cx = '', cy = ''] = /<circle class="hole" cx="(\S+)" cy="(\S+)"/.exec(svg) ?? [];
  const [, x = '', y = ''] = /<text class="small" x="(\S+)" y="(\S+)" text-anchor="middle">\+30</.exec(svg) ?? [];
  // The words' base line stands 1 mm below their middle.
  expect((Math.atan2(Number(cy) - (Number(y) - 1), Number(x) - Number(cx)) * 180) / Math.PI).toBeCloseTo(30, 1);
});

test('the sizes of a plate are told, and the moving plate at home lies dotted over the base', () => {
  const [base = '', moving = ''] = OWL_SHEETS.map((sheet) => sheet.text);
  expect(base).toContain(`leg1 to leg2 ${chord(70, 28).toFixed(2)} mm, leg2 to leg3 ${chord(70, 92).toFixed(2)} mm`);
  expect(moving).toContain('radius 55 mm, half angle 46 deg');
  const [, path = ''] = /data-of="home" d="M([^"]+)Z"/.exec(base) ?? [];
  const outline = path.split('L').map((at) => at.split(' ').map(Number));
  const [x, y] = [0, 1].map((k) => outline.reduce((sum, at) => sum + (at[k] ?? NaN) / 6, 0));
  expect(outline).toHaveLength(6);
  for (const at of outline)
    expect(Math.hypot((at[0] ?? NaN) - (x ?? NaN), (at[1] ?? NaN) - (y ?? NaN))).toBeCloseTo(55, 2);
  expect(moving).not.toContain('data-of="home"');
});

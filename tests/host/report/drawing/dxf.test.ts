/**
 * Plates as DXF, read back by an independent package (dxf-parser) and held against the group codes of the reference (Autodesk,
 * Drawing Interchange and File Formats, Release 12, 1992).
 */
import { readFileSync } from 'node:fs';
import dxf, {
  type ICircleEntity,
  type IDxf,
  type IEntity,
  type ILineEntity,
  type IPoint,
  type IPolylineEntity,
  type ITextEntity,
} from 'dxf-parser';
import { describe, expect, it } from 'vitest';
import { dxfOf } from '../../../../host/report/drawing/dxf.ts';
import { platePlan } from '../../../../host/report/drawing/plate-plan.ts';
import { LINEAR, OWL, rigOf, swap } from '../../rig/owl.ts';

/** The package's types describe a module where Node has the class. */
const DxfParser = dxf as unknown as new () => { parseSync: (text: string) => IDxf | null };

type Rig = ReturnType<typeof rigOf>;
const PLATES = ['base', 'moving'] as const;
const POINTS = [[38, -40, 0], [38, 40, 0], [15, 53, 2], [-53, 13, 0], [-53, -13, 0], [15, -53, 0]]; // prettier-ignore

const RIGS: readonly (readonly [string, Rig])[] = [
  ['the owl', rigOf(OWL)],
  ['the demo', rigOf(readFileSync('host/demo/night-owl.yaml', 'utf8'))],
  ['actuators', rigOf(LINEAR)],
  [
    'points by hand',
    rigOf(
      swap(OWL, ['moving: { radius_mm: 55, half_angle_deg: 46 }', `moving: { points_mm: ${JSON.stringify(POINTS)} }`]),
    ),
  ],
];

const textOf = ({ name, platform }: Rig, plate: 'base' | 'moving'): string => dxfOf(platePlan(name, platform!, plate));

function entitiesOf(text: string, layer: string): IEntity[] {
  const read = new DxfParser().parseSync(text);
  return read!.entities.filter((entity) => entity.layer === layer);
}

describe.each(RIGS)('the plates of %s', (_, rig) => {
  it.each(PLATES)('%s: the holes stand where the rig has its joints, to a millionth of a mm', (plate) => {
    const holes = entitiesOf(textOf(rig, plate), 'JOINTS') as ICircleEntity[];
    expect(holes.map(({ type }) => type)).toEqual(Array.from({ length: 6 }, () => 'CIRCLE'));
    for (const [i, { center }] of holes.entries()) {
      const [x, y] = rig.platform!.legs[i]![`${plate}_mm`];
      expect(Math.abs(center.x - x)).toBeLessThan(1e-6);
      expect(Math.abs(center.y - y)).toBeLessThan(1e-6);
    }
  });

  it.each(PLATES)('%s: a line of 100 mm to measure, below all marks', (plate) => {
    const text = textOf(rig, plate);
    const [bar] = entitiesOf(text, 'CHECK') as ILineEntity[];
    const [from, to] = bar!.vertices;
    expect([to!.x - from!.x, to!.y - from!.y]).toEqual([100, 0]);
    for (const { center } of entitiesOf(text, 'JOINTS') as ICircleEntity[])
      expect(center.y).toBeGreaterThan(from!.y + 10);
  });

  it.each(PLATES)('%s: its extents hold all words, each letter at least half as wide as it is high', (plate) => {
    const text = textOf(rig, plate);
    const { $EXTMIN: low, $EXTMAX: high } = new DxfParser().parseSync(text)!.header as Record<string, IPoint>;
    const words = entitiesOf(text, 'WORDS') as ITextEntity[];
    expect(words.length).toBeGreaterThan(8);
    for (const { startPoint: from, textHeight, text: line } of words) {
      expect(from.x).toBeGreaterThanOrEqual(low!.x);
      expect(from.y).toBeGreaterThanOrEqual(low!.y);
      expect(from.x + 0.5 * textHeight * line.length).toBeLessThanOrEqual(high!.x);
      expect(from.y + textHeight).toBeLessThanOrEqual(high!.y);
    }
  });

  it.each(PLATES)('%s: every line is a group code or its value, in ASCII, in the order of the reference', (plate) => {
    const text = textOf(rig, plate);
    expect(text).toMatch(/^[\x20-\x7e\r\n]*$/);
    const lines = text.split('\r\n');
    expect(lines.pop()).toBe('');
    expect(lines.length % 2).toBe(0);
    const groups = Array.from({ length: lines.length / 2 }, (_, k) => [lines[2 * k]!, lines[2 * k + 1]!] as const);
    for (const [code, value] of groups) {
      expect(code).toMatch(/^ {0,2}\d+$/);
      const n = Number(code);
      if (n >= 10 && n < 60) expect(value).toMatch(/^-?\d+\.\d+$/);
      if (n >= 60 && n < 80) expect(value).toMatch(/^\d+$/);
    }
    const named = groups.flatMap(([code, value], k) =>
      Number(code) === 0 && value === 'SECTION' ? [groups[k + 1]![1]] : [],
    );
    expect(named).toEqual(['HEADER', 'TABLES', 'ENTITIES']);
    expect(groups.slice(2, 4).map(([, value]) => value)).toEqual(['$ACADVER', 'AC1009']);
    expect(groups.at(-1)).toEqual(['  0', 'EOF']);
    const known = [
      'SECTION',
      'ENDSEC',
      'TABLE',
      'ENDTAB',
      'LTYPE',
      'LAYER',
      'CIRCLE',
      'LINE',
      'POLYLINE',
      'VERTEX',
      'SEQEND',
      'TEXT',
      'EOF',
    ];
    for (const [code, value] of groups) if (Number(code) === 0) expect(known).toContain(value);
    const read = new DxfParser().parseSync(text)!;
    const layers = Object.keys(read.tables.layer.layers);
    expect(read.entities.filter(({ layer }) => !layers.includes(layer))).toEqual([]);
  });
});

it('a ring as its radius and half angle say, by hand', () => {
  const [first, second] = entitiesOf(textOf(rigOf(OWL), 'base'), 'JOINTS') as ICircleEntity[];
  const half = (14 * Math.PI) / 180;
  expect([first!.center.x, first!.center.y]).toEqual([
    expect.closeTo(70 * Math.cos(half), 8),
    expect.closeTo(-70 * Math.sin(half), 8),
  ]);
  expect(second!.center.y).toBeCloseTo(70 * Math.sin(half), 8);
});

it('cranks at 0 deg lie across their servos’ axes; the moving plate at home lies over the base', () => {
  const rig = rigOf(OWL);
  const text = textOf(rig, 'base');
  const direction = ({ vertices: [a, b] }: ILineEntity): number[] => [b!.x - a!.x, b!.y - a!.y];
  const cranks = (entitiesOf(text, 'CRANKS') as ILineEntity[]).map(direction);
  const axes = (entitiesOf(text, 'AXES') as ILineEntity[]).map(direction);
  expect(cranks).toHaveLength(6);
  for (const [i, [x = NaN, y = NaN]] of cranks.entries()) {
    expect(Math.hypot(x, y)).toBeCloseTo(22, 8);
    expect(x * axes[i]![0]! + y * axes[i]![1]!).toBeCloseTo(0, 6);
  }
  // Outward of leg1, whose crank's axis is 14 deg below the x axis: down.
  const [first] = entitiesOf(text, 'CRANKS') as ILineEntity[];
  const half = (14 * Math.PI) / 180;
  expect(first!.vertices[1]).toMatchObject({
    x: expect.closeTo(70 * Math.cos(half), 8) as number,
    y: expect.closeTo(-70 * Math.sin(half) - 22, 8) as number,
  });
  const [home] = entitiesOf(text, 'HOME') as IPolylineEntity[];
  expect(home!.vertices.map(({ x, y }) => Math.hypot(x, y))).toEqual(
    Array.from({ length: 6 }, () => expect.closeTo(55, 8)),
  );
  expect(entitiesOf(textOf(rig, 'moving'), 'HOME')).toEqual([]);
});

it('outlines are closed', () => {
  const outlines = ['OUTLINE', 'HOME'].flatMap((layer) => entitiesOf(textOf(rigOf(OWL), 'base'), layer));
  expect(outlines.map((outline) => (outline as IPolylineEntity).shape)).toEqual([true, true]);
});

it('a name that is not ASCII does not break the file', () => {
  const rig = { ...rigOf(OWL), name: 'Eule „Ärger“ 🦉' };
  expect(new DxfParser().parseSync(textOf(rig, 'base'))!.entities.length).toBeGreaterThan(20);
});

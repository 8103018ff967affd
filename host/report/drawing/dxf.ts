/**
 * Marks as a DXF file that any CAD or cutting program reads: release 12, ASCII, by its reference (Autodesk, Drawing Interchange and
 * File Formats, Release 12, 1992: group codes 0 and 2 for what follows, 8 layer, 10/20/30 and 11/21/31 points, 40 radius or height,
 * 62 colour, 66 and 70 flags). DXF of that release has no unit: a unit is a mm, and the words on the sheet say so.
 */
import { LAYERS, type Layer, type Mark, pointsOf } from './plate-plan.ts';

type Group = readonly [code: number, value: string | number];

/** Layers' colours by AutoCAD's numbers (1 red, 3 green, 4 cyan, 5 blue, 6 magenta, 7 black or white, 8 grey), and their lines. */
const LOOK: Readonly<Record<Layer, readonly [colour: number, line: 'CONTINUOUS' | 'DASHED']>> = {
  JOINTS: [1, 'CONTINUOUS'],
  OUTLINE: [8, 'DASHED'],
  CRANKS: [3, 'CONTINUOUS'],
  AXES: [5, 'DASHED'],
  HOME: [4, 'DASHED'],
  CUT: [1, 'CONTINUOUS'],
  BODIES_NOT_CUT: [8, 'DASHED'],
  CHECK: [6, 'CONTINUOUS'],
  WORDS: [7, 'CONTINUOUS'],
};

/** To a billionth of a mm, and no minus before a zero. */
const figure = (value: number): string => (Math.round(value * 1e9) / 1e9 + 0).toFixed(9).replace(/^-(?=0\.0+$)/, '');

/** Release 12 knows ASCII only. */
const ascii = (words: string): string =>
  words
    .replace(/[‘’]/g, "'")
    .replace(/[–—−]/g, '-')
    .replace(/[^\x20-\x7e]/g, '?');

const point = (first: 10 | 11, [x, y]: readonly [number, number]): readonly Group[] => [
  [first, figure(x)],
  [first + 10, figure(y)],
  [first + 20, figure(0)],
];

function entity(mark: Mark): readonly Group[] {
  const on: Group = [8, mark.layer];
  switch (mark.kind) {
    case 'circle':
      return [[0, 'CIRCLE'], on, ...point(10, mark.at), [40, figure(mark.radius)]];
    case 'line':
      return [[0, 'LINE'], on, ...point(10, mark.from), ...point(11, mark.to)];
    case 'words':
      return [[0, 'TEXT'], on, ...point(10, mark.at), [40, figure(mark.height)], [1, ascii(mark.words)]];
    case 'outline': {
      const vertices = mark.points.flatMap((at): readonly Group[] => [[0, 'VERTEX'], on, ...point(10, at)]);
      return [[0, 'POLYLINE'], on, [66, 1], ...point(10, [0, 0]), [70, 1], ...vertices, [0, 'SEQEND'], on];
    }
  }
}

const section = (name: string, groups: readonly Group[]): readonly Group[] => [
  [0, 'SECTION'],
  [2, name],
  ...groups,
  [0, 'ENDSEC'],
];

const table = (name: string, rows: readonly (readonly Group[])[]): readonly Group[] => [
  [0, 'TABLE'],
  [2, name],
  [70, rows.length],
  ...rows.flat(),
  [0, 'ENDTAB'],
];

function header(marks: readonly Mark[]): readonly Group[] {
  const all = marks.flatMap(pointsOf);
  const [xs, ys] = [all.map(([x]) => x), all.map(([, y]) => y)];
  return [
    [9, '$ACADVER'],
    [1, 'AC1009'],
    [9, '$EXTMIN'],
    ...point(10, [Math.min(...xs), Math.min(...ys)]),
    [9, '$EXTMAX'],
    ...point(10, [Math.max(...xs), Math.max(...ys)]),
  ];
}

/** Line types: their pattern's length, then dashes and, below 0, gaps, mm. */
const LINE_TYPES = table('LTYPE', [
  [
    [0, 'LTYPE'],
    [2, 'CONTINUOUS'],
    [70, 0],
    [3, 'Solid line'],
    [72, 65],
    [73, 0],
    [40, figure(0)],
  ],
  [
    [0, 'LTYPE'],
    [2, 'DASHED'],
    [70, 0],
    [3, '__ __ __'],
    [72, 65],
    [73, 2],
    [40, figure(3.2)],
    [49, figure(2)],
    [49, figure(-1.2)],
  ],
]);

const LAYER_TABLE = table(
  'LAYER',
  LAYERS.map((name): readonly Group[] => {
    const [colour, line] = LOOK[name];
    return [
      [0, 'LAYER'],
      [2, name],
      [70, 0],
      [62, colour],
      [6, line],
    ];
  }),
);

/** The file's text. */
export function dxfOf(marks: readonly Mark[]): string {
  const groups: readonly Group[] = [
    ...section('HEADER', header(marks)),
    ...section('TABLES', [...LINE_TYPES, ...LAYER_TABLE]),
    ...section('ENTITIES', marks.flatMap(entity)),
    [0, 'EOF'],
  ];
  return groups.map(([code, value]) => `${String(code).padStart(3)}\r\n${String(value)}\r\n`).join('');
}

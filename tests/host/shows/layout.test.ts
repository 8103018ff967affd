/** One layout of a night: what host/shows/layout.ts says is what the compiler makes of assembly/night/plan.ts. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { MOST_LINES, MOST_NAME } from '../../../host/rig/night/names.ts';
import { MOST_STARTS } from '../../../host/rig/night/schema.ts';
import * as HOST from '../../../host/shows/layout.ts';
import { boardsFor, halfPages, nightRoom, roomFault } from '../../../host/shows/room.ts';
import { compileAssembly } from '../../asc.ts';

/** Name in plan.ts of what the host calls otherwise. */
const EXPRESSIONS: readonly (readonly [expression: string, value: number])[] = [
  ['NIGHT_MAGIC', HOST.MAGIC],
  ['NIGHT_VERSION', HOST.VERSION],
  ...(
    ['SHOWS', 'PLAN_PAGES', 'PLAN_BYTES', 'ENTRY_BYTES', 'NAME_BYTES', 'IN_PINS', 'OUT_PINS', 'ANALOG_PINS'] as const
  ).map((name) => [name, HOST[name]] as const),
  ...(['NO_PIN', 'NOBODY', 'BLOCK', 'SEGMENT', 'HEAT', 'ENTRY_NAME_AT', 'PLAN_STARTS'] as const).map(
    (name) => [name, HOST[name]] as const,
  ),
  ...Object.entries(HOST.PLAN).map(([name, at]) => [`offsetof<Plan>('${name}')`, at] as const),
  ...Object.entries(HOST.ENTRY).map(([name, at]) => [`offsetof<Entry>('${name}')`, at] as const),
  ...Object.entries(HOST.PLAN_TABLE).map(([name, at]) => [`PLAN_${name.toUpperCase()}_AT`, at] as const),
  ...Object.entries(HOST.PLAN_FLAG).map(([name, bit]) => [`PLAN_${name.toUpperCase()}`, bit] as const),
  ...Object.entries(HOST.START_FLAG).map(([name, bit]) => [`START_${name.toUpperCase()}`, bit] as const),
  ['1000000 / FRAME_US', HOST.FRAME_HZ],
  ['SHOW_STEP_MM', HOST.stepOf(0)],
  ['SHOW_STEP_RAD', HOST.stepOf(3)],
];

it('every number is as plan.ts has it', async () => {
  const source = [
    `import { ${[...readFileSync('assembly/night/plan.ts', 'utf8').matchAll(/^export (?:const|class) (\w+)/gm)]
      .map(([, name = '']) => name)
      .filter((name) => name !== 'enum')
      .join(', ')} } from '../assembly/night/plan';`,
    ...EXPRESSIONS.map(([text], i) => `export function value${String(i)}(): f64 { return f64(${text}); }`),
  ].join('\n');
  const exports = await compileAssembly('build/probe-plan.ts', new Map([['build/probe-plan.ts', source]]), '-O0');
  const values = EXPRESSIONS.map(([text], i) => [text, (exports[`value${String(i)}`] as () => number)()]);
  expect(values).toEqual(EXPRESSIONS.map(([text, value]) => [text, value]));
  expect(EXPRESSIONS.length).toBeGreaterThan(55);
}, 60_000);

it('the rig file allows what a plan has room for', () => {
  expect(MOST_LINES).toEqual({ inputs: HOST.IN_PINS, outputs: HOST.OUT_PINS, analog: HOST.ANALOG_PINS });
  expect([MOST_STARTS, MOST_NAME]).toEqual([HOST.PLAN_STARTS, HOST.NAME_BYTES]);
});

it('half a room is whole sectors, two of which are left for the record', () => {
  // By hand: pico 478 sectors of 4 KiB: 238 each; f405 7 of 128 KiB: 2 each; native 128 of 4 KiB: 63 each.
  expect([...nightRoom]).toEqual([
    ['pico', 238 * 4096],
    ['f405', 2 * 131_072],
    ['native', 63 * 4096],
  ]);
  expect(halfPages({ pages: 0, sector: 16 })).toBeLessThan(0);
});

it('a night that is longer than that is told so, with the boards that it fits', () => {
  expect(boardsFor(258_048)).toEqual(['pico', 'f405', 'native']);
  expect(boardsFor(258_049)).toEqual(['pico', 'f405']);
  expect(roomFault('f405', 262_144)).toBeNull();
  expect(roomFault('f405', 262_400)).toBe(
    'these shows take 262400 bytes, and the board f405 has room for 262144; it would fit pico: pack fewer or shorter ones',
  );
  expect(roomFault('pico', 262_400)).toBeNull();
  expect(roomFault(null, 262_400)).toBeNull();
  expect(roomFault(null, 974_849)).toMatch(/the largest board has room for 974848; it fits no board/);
});

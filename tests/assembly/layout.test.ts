/**
 * One layout of the memory: what boards/layout.h and host/controller/layout.ts say, and where the host packs a rig image, is what
 * the compiler makes of assembly/layout.ts. In the header IN_STORE is Inputs.store, JOINT_BYTES the size of a JointImage, STATE_LIVE
 * is State.live, NIGHT_IN_PINS is IN_PINS of night/plan.ts; any other name is the same on both sides.
 */
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { IMAGE_VERSION, imageFingerprint, packImage } from '../../host/controller/image.ts';
import * as HOST from '../../host/controller/layout.ts';
import { type Rig, toRad } from '../../host/rig/rig.ts';
import { compileAssembly } from '../asc.ts';
import { rigOf } from './rigs.ts';

const CLASSES = new Map([
  ['IN', 'Inputs'],
  ['OUT', 'Outputs'],
  ['IMAGE', 'Image'],
  ['LEG', 'LegImage'],
  ['JOINT', 'JointImage'],
]);
const ENUMS = new Map([
  ['STATE', 'State'],
  ['TRIP', 'Trip'],
]);
/** Constants of layout.ts, though they begin as fields do. */
const CONSTANTS = ['IMAGE_MAX', 'RING_DATA_AT'];

const at = (record: string, field: string): string => `offsetof<layout.${record}>('${field}')`;

/** What a name of the C header is in AssemblyScript. */
function meaning(name: string): string {
  const [, first = '', rest = ''] = /^([A-Z]+)_(\w+)$/.exec(name) ?? [];
  const [record, field] = [CLASSES.get(first), rest.toLowerCase()];
  if (CONSTANTS.includes(name)) return `layout.${name}`;
  if (ENUMS.has(first)) return `states.${ENUMS.get(first)!}.${field}`;
  if (first === 'NIGHT') return `plan.${rest}`;
  if (first === 'RING') return at('Ring', field);
  if (record === undefined) return `layout.${name}`;
  return rest === 'BYTES' ? `offsetof<layout.${record}>()` : at(record, field);
}

/** Values of AssemblyScript expressions, in their order. */
async function valuesOf(expressions: readonly string[]): Promise<number[]> {
  const source = [
    "import * as layout from '../assembly/layout';",
    "import * as states from '../assembly/states';",
    "import * as plan from '../assembly/night/plan';",
    ...expressions.map((text, i) => `export function value${String(i)}(): u32 { return u32(${text}); }`),
  ];
  const exports = await compileAssembly('build/probe.ts', new Map([['build/probe.ts', source.join('\n')]]), '-O0');
  return expressions.map((_, i) => (exports[`value${String(i)}`] as () => number)());
}

const headerOf = (text: string): [string, number][] =>
  [...text.matchAll(/^#define (\w+) (\d+)u$/gm)].map(([, name = '', value]) => [name, Number(value)]);

describe('the boards’ header', () => {
  const text = readFileSync('boards/layout.h', 'utf8');
  const header = headerOf(text);

  it('is read as a whole', () => {
    // The guard against being included twice has no number.
    expect(text.match(/^#define/gm)!.length).toBe(header.length + 1);
    expect(header.length).toBeGreaterThan(40);
  });

  it('has every number as layout.ts and states.ts have it', async () => {
    const values = await valuesOf(header.map(([name]) => meaning(name)));
    expect(header).toEqual(header.map(([name], i) => [name, values[i]]));
  });

  it('is the only one: no file of the boards defines such a name for itself', () => {
    const names = new Set(header.map(([name]) => name));
    const files = readdirSync('boards', { recursive: true, encoding: 'utf8' }).filter((file) => /\.[ch]$/.test(file));
    const own = files
      .filter((file) => file !== 'layout.h')
      .flatMap((file) => headerOf(readFileSync(join('boards', file), 'utf8')).map(([name]) => name))
      .filter((name) => names.has(name) || /^(IN|OUT|IMAGE|JOINT|PLACES?)_/.test(name));
    // What a slot has room for, which slots.c holds against IMAGE_MAX.
    expect(own).toEqual(['IMAGE_MOST']);
  });
});

describe('the host’s table', () => {
  const fields = (record: string, table: Readonly<Record<string, number>>): [string, number][] =>
    Object.entries(table).map(([field, value]) => [at(record, field), value]);

  it('has every number as layout.ts has it', async () => {
    const { IMAGE, INPUT, OUTPUT, PAGE, RING, STORE, ...constants } = HOST;
    const table: [string, number][] = [
      ...fields('Image', IMAGE),
      ...fields('Inputs', INPUT),
      ...fields('Outputs', OUTPUT),
      ...fields('Ring', RING),
      ['layout.STORE_DONE', STORE.done],
      ['layout.STORE_FAILED', STORE.failed],
      ...Object.entries(PAGE).map(([name, value]): [string, number] => [`layout.PAGE_${name.toUpperCase()}`, value]),
      ...Object.entries(constants).map(([name, value]): [string, number] => [`layout.${name}`, value]),
    ];
    const values = await valuesOf(table.map(([expression]) => expression));
    expect(table).toEqual(table.map(([expression], i) => [expression, values[i]]));
    expect(table.length).toBeGreaterThan(20);
  });
});

describe('the rig image', () => {
  /** Every figure is another one, so that none can stand in another's place. */
  const rig: Rig = rigOf({
    hz: 250,
    ahead_ms: 24,
    delay_ms: 104,
    hold_s: 7,
    low_v: 6.4,
    restKind: 'hanging',
    stopCategory: 2,
    poseSpeed: [51, 52, 53, 1.1, 1.2, 1.3],
    rest: [-3, 1, 2, 0.01, 0.02, 0.03],
    wobble: { cure: 'broad', hz: 8, damping: 0.05 },
  });
  const image = packImage(rig);
  const view = new DataView(image.buffer);
  const f32 = (offset: number): number => view.getFloat32(offset, true);

  it('has its general part where layout.ts has it', async () => {
    const { platform } = rig;
    const wanted: [string, number, (offset: number) => number][] = [
      ['magic', 0x31525750, (o) => view.getUint32(o, true)],
      ['version', IMAGE_VERSION, (o) => view.getUint16(o, true)],
      ['length', image.length, (o) => view.getUint16(o, true)],
      ['fingerprint', imageFingerprint(image), (o) => view.getUint32(o, true)],
      ['tick_hz', 250, (o) => view.getUint16(o, true)],
      ['look_ahead', 6, (o) => view.getUint16(o, true)],
      ['joint_count', 8, (o) => view.getUint8(o)],
      ['leg_count', 6, (o) => view.getUint8(o)],
      ['drive', 1, (o) => view.getUint8(o)],
      ['flags', 0, (o) => view.getUint8(o)],
      ['rest_kind', 1, (o) => view.getUint8(o)],
      ['stop_category', 2, (o) => view.getUint8(o)],
      ['stop_pin', 20, (o) => view.getUint8(o)],
      ['power_pin', 21, (o) => view.getUint8(o)],
      ['delay_us', 80_000, (o) => view.getUint32(o, true)],
      ['hold_ms', 7000, (o) => view.getUint32(o, true)],
      ['low_mv', 6400, (o) => view.getUint16(o, true)],
      ['crank', platform!.crank_mm, f32],
      ['rod', platform!.rod_mm, f32],
      ['rod_end_sin', Math.sin(toRad(28)), f32],
      // It looks forward: x of the carrier is z of the base.
      ['mount_20', 1, f32],
      ['pose_speed_0', 51, f32],
      ['pose_speed_5', 1.3, f32],
      ['pose_slow_0', 10, f32],
      ['pose_slow_5', toRad(15), f32],
      ['pose_rest_0', -3, f32],
      ['pose_rest_5', 0.03, f32],
      // The legs: neither nod nor lid carries anything.
      ['wobble_joints', 0b111111, (o) => view.getUint16(o, true)],
    ];
    const offsets = await valuesOf(wanted.map(([field]) => at('Image', field)));
    wanted.forEach(([field, value, read], i) => expect(read(offsets[i]!), field).toBeCloseTo(value, 5));
  });

  it('has its wobble filter, legs and joints where layout.ts has them', async () => {
    const joint = (field: string): string =>
      `layout.JOINTS_AT + 7 * offsetof<layout.JointImage>() + ${at('JointImage', field)}`;
    const lid: Readonly<Record<string, number>> = {
      lo: 0,
      hi: toRad(55),
      speed: toRad(400),
      plus: toRad(4000),
      slow: toRad(20),
    };
    const names = Object.keys(lid);
    const [taps = 0, share = 0, back = 0, wait = 0, count = 0, hz = 0, pin = 0, most = 0, ux = 0, max = 0, ...of] =
      await valuesOf([
        at('Image', 'wobble_taps'),
        'layout.WOBBLE_SHARES_AT',
        'layout.WOBBLE_BACK_AT',
        at('Image', 'wobble_wait'),
        'layout.WOBBLE_TAPS',
        joint('frame_hz'),
        joint('pin'),
        joint('max_us'),
        `layout.LEGS_AT + offsetof<layout.LegImage>() + ${at('LegImage', 'ux')}`,
        'layout.IMAGE_MAX',
        ...names.map(joint),
      ]);
    names.forEach((name, i) => expect(f32(of[i]!), name).toBeCloseTo(lid[name]!, 4));
    expect([view.getUint16(hz, true), view.getUint8(pin), f32(most)]).toEqual([50, 9, 2400]);
    // leg2 has its crank at azimuth 90 deg.
    expect([f32(ux), f32(ux + 4)]).toEqual([expect.closeTo(0, 6), expect.closeTo(1, 6)]);
    const earlier = view.getUint8(taps);
    expect(earlier).toBeGreaterThan(1);
    expect(earlier).toBeLessThanOrEqual(count);
    const shares = Array.from({ length: earlier }, (_, k) => view.getUint32(share + 4 * k, true) / 2 ** 30);
    const backs = Array.from({ length: earlier }, (_, k) => view.getUint16(back + 2 * k, true));
    // Half a period of 8 Hz at 250 ticks a second lies between two of them; they and the present tick make up the whole.
    expect(shares.every((one) => one > 0 && one < 1)).toBe(true);
    expect(backs).toEqual(backs.toSorted((a, b) => a - b));
    expect(backs[0]).toBeGreaterThan(12);
    expect(view.getUint16(wait, true)).toBeLessThan(backs.at(-1)!);
    expect(max).toBeGreaterThanOrEqual(image.length + 8 * 64);
  });
});

it('a block that holds records is as long as they are, by their class, not by a number', () => {
  const files = ['assembly', 'assembly/night', 'tests/assembly', 'tests/published/parts'].flatMap((folder) =>
    readdirSync(folder).map((file) => join(folder, file)),
  );
  const texts = files
    .filter((file) => /^assembly.*\.ts$|spec\.ts$|parts\.ts$/.test(file))
    .map((file) => readFileSync(file, 'utf8'));
  const blocksOf = (text: string): [string, string][] =>
    [...text.matchAll(/^(?:export )?const (\w+): usize = memory\.data\((.*)\)/gm)].map(([, name, size]) => [
      name!,
      size!,
    ]);
  const all = new Map(texts.flatMap(blocksOf));
  // A name is first of all the file's own.
  const records = texts.flatMap((text) => {
    const own = new Map(blocksOf(text));
    return [...text.matchAll(/changetype<(\w+)>\((\w+)/g)].map(([, record, block]) => ({
      record: record!,
      size: own.get(block!) ?? all.get(block!),
    }));
  });
  const held = records.filter(({ size }) => size !== undefined);
  expect(held.length).toBeGreaterThan(20);
  expect(held.filter(({ size }) => /^[\d\s*+]*$/.test(size!))).toEqual([]);
});

/** `posewright new` from outside: the files, that the other commands take them, and what it refuses, in words. */
import { existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { askAll } from '../../../host/cli/new/ask.ts';
import type { Io } from '../../../host/cli/io.ts';
import { needController, run, scratch } from './fixture.ts';

needController();
const folder = scratch();
afterAll(folder.remove);

const NAMES = ['README.md', 'each-axis.csv', 'rig.schema.json', 'rig.yaml'];

const CRANK = `drive: crank
base: upright
base_ring_mm: [34, 101]
plate_ring_mm: [27, 80]
horn_mm: 24
rod_mm: 130
head_g: 700
head_size_mm: [110, 120, 130]
servo: [20, 0.16, 2.3]
tilt: nod
tilt_servo: [35, 0.2, 3]
face: [lid, jaw]
supply_v_a: [6.0, 30]
board: pico
`;
const LINEAR = `drive: linear
stroke_mm: [155, 205]
head_g: 2000
linear_servo: [80, 25, 1.2]
supply: battery
supply_v_a: [11.1, 20]
`;

describe.each([
  ['crank', CRANK],
  ['linear', LINEAR],
])('a folder by answers of drive %s', (drive, answers) => {
  const file = folder.put(`${drive}.answers.yaml`, answers);
  const dir = folder.path(drive);
  const rig = join(dir, 'rig.yaml');

  it('has its files, and the document names them', async () => {
    const { code, out, err } = await run(['new', dir, '--answers', file, '--json']);
    expect(code, err).toBe(0);
    const { ok, files } = JSON.parse(out) as { ok: boolean; files: string[] };
    expect(ok).toBe(true);
    expect([...files].sort()).toEqual(NAMES.map((name) => join(dir, name)).sort());
    expect(readdirSync(dir).sort()).toEqual([...NAMES].sort());
    expect(JSON.parse(readFileSync(join(dir, 'rig.schema.json'), 'utf8'))).toHaveProperty('properties.platform');
  });

  it.each([
    ['check', ['check', rig]],
    ['reach', ['reach', rig]],
    ['load', ['load', rig]],
    ['why', ['why', rig, join(dir, 'each-axis.csv')]],
    ['replay', ['replay', rig, join(dir, 'each-axis.csv')]],
  ])('passes %s without a warning, and nothing is unknown', async (_, argv) => {
    const { code, out, err } = await run(argv);
    expect(code, out + err).toBe(0);
    expect(err).not.toMatch(/warning|error/);
    expect(out).not.toMatch(/unknown|not known/);
  });
});

describe('what it is asked', () => {
  it('takes from lines, with typical values for empty ones, and asks again after a wrong one', async () => {
    const lines = ['crank', 'sideways', 'upright', '', '34 101', '27,80', '', '130', ...Array<string>(20).fill('')];
    const dir = folder.path('asked');
    const { code, err } = await run(['new', dir], { stdin: lines.join('\n') });
    expect(code, err).toBe(0);
    expect(err).toContain('base: found "sideways"; allowed: flat, upright or hanging');
    const yaml = readFileSync(join(dir, 'rig.yaml'), 'utf8');
    expect(yaml).toContain('rod_mm: { value: 130, from: measured }');
    expect(yaml).toContain('crank_mm: { value: 22, from: assumed }');
    expect(yaml).toContain('rpy_deg: [0, 90, 0]');
  });

  it('writes nothing where the lines end too soon', async () => {
    const dir = folder.path('ended');
    const { code, err } = await run(['new', dir], { stdin: 'crank\n' });
    expect(code).toBe(2);
    expect(err).toMatch(/base {2}standard input ended before this was answered/);
    expect(existsSync(dir)).toBe(false);
  });

  it('answers itself with --yes', async () => {
    expect((await run(['new', folder.path('yes'), '--yes'])).code).toBe(0);
  });
});

describe('--from demo', () => {
  it('copies the owl and its stream, with what to do next and the hook by which an editor finds the schema', async () => {
    const dir = folder.path('demo');
    const { code, out } = await run(['new', dir, '--from', 'demo', '--json']);
    expect(code).toBe(0);
    expect((JSON.parse(out) as { files: string[] }).files).toHaveLength(5);
    const demo = (name: string): string => readFileSync(new URL(`../../../host/demo/${name}`, import.meta.url), 'utf8');
    const made = (name: string): string => readFileSync(join(dir, name), 'utf8');
    expect(made('dusk.csv')).toBe(demo('dusk.csv'));
    expect(made('owl-neck.yaml')).toBe(demo('owl-neck.yaml'));
    expect(made('night-owl.yaml')).toBe(`# yaml-language-server: $schema=./rig.schema.json\n${demo('night-owl.yaml')}`);
    expect(JSON.parse(made('rig.schema.json'))).toMatchObject({ title: 'A rig of posewright' });
    const commands = [...made('README.md').matchAll(/^ {4}posewright (.*?)(?: {2}.*)?$/gm)].map(
      ([, words]) => words ?? '',
    );
    expect(commands).toHaveLength(9);
    const quick = commands.filter((words) => /^(check|load)/.test(words));
    for (const words of quick)
      expect((await run(words.split(' ').map((word) => (word.includes('.') ? join(dir, word) : word)))).code).toBe(0);
  });
});

describe('files that are there', () => {
  it('stay as they are without --force, all of them, and one is enough to refuse', async () => {
    const dir = folder.path('kept');
    mkdirSync(dir);
    writeFileSync(join(dir, 'README.md'), 'mine');
    const { code, err } = await run(['new', dir, '--yes']);
    expect([code, readdirSync(dir)]).toEqual([2, ['README.md']]);
    expect(err).toContain('this file exists already: --force overwrites it');
    expect(readFileSync(join(dir, 'README.md'), 'utf8')).toBe('mine');
    expect((await run(['new', dir, '--yes', '--force'])).code).toBe(0);
    expect(readFileSync(join(dir, 'README.md'), 'utf8')).not.toBe('mine');
  });

  it('are no folder, or in none: words', async () => {
    const file = folder.put('a-file', '');
    for (const [dir, words] of [
      [file, 'not a folder'],
      [folder.path('no/such'), 'the folder around it is not there'],
    ] as const) {
      const { code, err } = await run(['new', dir, '--yes']);
      expect([code, err]).toEqual([2, expect.stringContaining(words)]);
    }
  });
});

describe('wrong answers', () => {
  it.each([
    ['drive', 'drive: pneumatic'],
    ['drive', 'drive: 3'],
    ['base', 'base: sideways'],
    ['base_ring_mm', 'base_ring_mm: 34'],
    ['base_ring_mm', 'base_ring_mm: [101, 34]'],
    ['base_ring_mm', 'base_ring_mm: [34, 34]'],
    ['base_ring_mm.1', 'base_ring_mm: [0, 101]'],
    ['plate_ring_mm.2', 'plate_ring_mm: [27, wide]'],
    ['horn_mm', 'horn_mm: -22'],
    ['rod_mm', 'rod_mm: 22'],
    ['rod_mm', 'rod_mm: 40'],
    ['rod_mm', 'rod_mm: 120 mm'],
    ['stroke_mm', '{ drive: linear, stroke_mm: [205, 155] }'],
    ['stroke_mm', '{ drive: linear, stroke_mm: [20, 50] }'],
    ['stroke_mm', 'stroke_mm: [155, 205]'],
    ['head_g', 'head_g: 0'],
    ['head_g', 'head_g: .nan'],
    ['head_size_mm', 'head_size_mm: [100, 110]'],
    ['servo.2', 'servo: [20, 160, 2.3]'],
    ['servo', 'servo: strong'],
    ['tilt_servo', 'tilt_servo: [35, 0.2, 3]'],
    ['face', 'face: lid'],
    ['face.1', 'face: [leg1]'],
    ['face', 'face: [lid, lid]'],
    ['face', 'face: [a, b, c, d, e, f, g, h, i]'],
    ['supply_v_a', 'supply_v_a: [6]'],
    ['supply_v_a', 'supply_v_a: { v: 6, a: 20 }'],
    ['board', 'board: native'],
    ['rod', 'rod: 120'],
  ])('%s: words with its name, exit code 2, nothing written: %s', async (question, answers) => {
    const file = folder.put('wrong.yaml', `${answers}\n`);
    const dir = folder.path('wrong');
    const { code, out, err } = await run(['new', dir, '--answers', file, '--json']);
    expect(code, out).toBe(2);
    const { problems } = JSON.parse(out) as { problems: { path: string; message: string; line: number }[] };
    expect(problems.map(({ path }) => path)).toContain(question);
    expect(problems.every(({ message }) => message.length > 10)).toBe(true);
    expect(problems[0]?.line).toBe(1);
    expect(err).toContain(question);
    expect(existsSync(dir)).toBe(false);
  });

  it.each([
    ['--from', ['--from', 'owl']],
    ['--answers --yes', ['--yes', '--answers', 'x.yaml']],
    ['there is no such file', ['--answers', 'no-such.yaml']],
  ])('of options: %s', async (words, argv) => {
    const { code, err } = await run(['new', folder.path('wrong'), ...argv]);
    expect([code, err]).toEqual([2, expect.stringContaining(words)]);
  });
});

it('closes standard input after the last answer: a terminal has no end of its own, and would keep the process alive', async () => {
  let closed = false;
  const typed = async function* (): AsyncGenerator<Uint8Array> {
    try {
      await Promise.resolve();
      for (;;) yield new TextEncoder().encode('\n');
    } finally {
      closed = true;
    }
  };
  const io = { stdin: typed(), stderr: { write: () => true } } as unknown as Io;
  expect(await askAll(io)).toEqual({ given: {} });
  expect(closed).toBe(true);
});

it('--responses writes responses that the rig can play, and says so in the folder', { timeout: 120_000 }, async () => {
  const owl = folder.path('responsive');
  const made = await run(['new', owl, '--yes', '--responses']);
  expect(made.code, made.err).toBe(0);
  expect(readdirSync(owl).sort()).toEqual([...NAMES, 'responses.ts'].sort());
  expect(readFileSync(join(owl, 'README.md'), 'utf8')).toMatch(/`responses\.ts` lets the prop react/);
  const { code, out, err } = await run(['replay', join(owl, 'rig.yaml'), join(owl, 'each-axis.csv')]);
  expect(code, out + err).toBe(0);
  expect(out.replaceAll(/\s+/g, ' ')).toMatch(/responses change nothing that is asked here/);
  // Someone on the left, then on the right: it turns with the new rig's limits to spare.
  const inputs = join(owl, 'inputs.csv');
  writeFileSync(inputs, 't_s,left,right\n0,0,0\n1,0.8,0\n3,0,0.8\n');
  const moved = await run(['replay', join(owl, 'rig.yaml'), join(owl, 'each-axis.csv'), '--inputs', inputs, '--json']);
  const answer = JSON.parse(moved.out) as {
    joints: { peak_error_deg: number; limit_ticks: number }[];
    responses: unknown;
  };
  expect(moved.code).toBe(0);
  expect(Math.max(...answer.joints.map(({ peak_error_deg }) => peak_error_deg))).toBeLessThan(0.05);
  expect(Math.max(...answer.joints.map(({ limit_ticks }) => limit_ticks))).toBe(0);
  expect(answer.responses).toMatchObject([{ column: 'yaw_deg', moved: expect.closeTo(8, 1) as number }]);
  const [together] = [await run(['new', folder.path('both'), '--from', 'demo', '--responses'])];
  expect([together.code, together.err]).toEqual([2, expect.stringMatching(/--responses.*found with --from/)]);
});

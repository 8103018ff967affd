/** `measure`: readings in, figures with tolerance out, and into the rig file on request; wrong readings are words. */
import { existsSync, lstatSync, readFileSync, symlinkSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { differenceLines } from '../../../host/cli/rig-edit.ts';
import { OWL, run, scratch } from './fixture.ts';

const files = scratch();
afterAll(() => {
  files.remove();
});
const owl = files.put('owl.yaml', OWL);
const PULL = ['--joint', 'nod', '--radius-mm', '80', '--up-kg', '1.2', '--down-kg', '0.8'];
const SAG = ['--joint', 'nod', '--weight-kg', '1', '--arm-mm', '60', '--sag-mm', '20', '--pointer-mm', '200'];
const SWING = [
  '--part',
  'beak',
  '--axis',
  'x',
  '--swings',
  '20',
  '--seconds',
  '18',
  '--string-mm',
  '600',
  '--apart-mm',
  '40',
];
const WOBBLE = ['--swings', '8', '--seconds', '2.6', '--first', '12', '--last', '5'];
const STALL = ['--joint', 'lid', '--current-a', '2', '--for-s', '0.5'];
const BALANCE = ['--part', 'shell', '--axis', 'z', '--edge-mm', '-20', '--span-mm', '120', '--scale-kg', '0.31'];

describe('a pull', () => {
  it('is told with its tolerance, and writes nothing unless asked', async () => {
    const { code, out, err } = await run(['measure', owl, 'pull', ...PULL]);
    expect([code, err]).toEqual([0, '']);
    // 9.80665 m/s² · 0.08 m · (1.2 ± 0.8) kg / 2; at the servo of a gear of 3 a third of the friction.
    expect(out).toMatch(/gravity torque +0\.785 ± 0\.015 N·m/);
    expect(out).toMatch(/friction at the joint +0\.157 ± 0\.011 N·m \(7\.2 %\)/);
    expect(out).toContain('+ 30:     friction_nm: { value: 0.0523, from: measured, within_percent: 7.2 }');
    expect(out).toContain('-w writes this');
    expect(readFileSync(owl, 'utf8')).toBe(OWL);
  });

  it('is in the JSON', async () => {
    const { code, out } = await run(['measure', owl, 'pull', ...PULL, '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({
      ok: true,
      what: 'pull',
      found: [{ what: 'gravity torque', unit: 'N·m', value: 0.785 }, { value: 0.157 }, { value: 0.0523 }],
      changes: [{ path: 'servos.neck.friction_nm', to: { value: 0.0523, from: 'measured', within_percent: 7.2 } }],
      kept: null,
    });
  });

  it('whose difference is lost in the scale is told and not written', async () => {
    const { code, out } = await run(['measure', owl, 'pull', ...PULL.with(7, '1.19')]);
    expect(code).toBe(0);
    expect(out).toMatch(/friction is lost in what the\s+readings may be off by/);
    expect(out).toMatch(/written +nothing/);
  });

  it('with a finer scale is off by less', async () => {
    const { out } = await run(['measure', owl, 'pull', ...PULL, '--scale-off-kg', '0.002', '--ruler-off-mm', '0']);
    expect(out).toMatch(/friction at the joint +0\.1569 ± 0\.0011 N·m/);
  });
});

describe('--write', () => {
  it('changes the rig, and keeps the old file beside it, a number higher each time', async () => {
    const rig = files.put('mine.yaml', OWL);
    const { code, out } = await run(['measure', rig, 'sag', ...SAG, '-w']);
    expect(code).toBe(0);
    const once = readFileSync(rig, 'utf8');
    const [, value] = /stiffness_nm_rad: \{ value: ([\d.]+), from: measured, within_percent: [\d.]+ \}/.exec(once)!;
    expect(Number(value)).toBeCloseTo((9.80665 * 0.06) / Math.atan(0.1), 1);
    expect(readFileSync(files.path('mine.before-1.yaml'), 'utf8')).toBe(OWL);
    expect(out).toContain('mine.before-1.yaml');
    await run(['measure', rig, 'pull', ...PULL, '-w']);
    expect(readFileSync(files.path('mine.before-2.yaml'), 'utf8')).toBe(once);
    expect((await run(['check', rig])).code).toBe(0);
  });

  it('of what the rig says already writes nothing, and keeps no file', async () => {
    const rig = files.put('twice.yaml', OWL);
    for (let n = 0; n < 2; n++) expect((await run(['measure', rig, 'pull', ...PULL, '-w'])).code).toBe(0);
    expect((await run(['measure', rig, 'pull', ...PULL, '-w'])).out).toMatch(/nothing: .* says so\s+already/);
    expect(existsSync(files.path('twice.before-2.yaml'))).toBe(false);
  });

  it('through a link changes the file that it leads to, and keeps the old one beside that', async () => {
    files.put('led-to.yaml', OWL);
    const link = files.path('link.yaml');
    symlinkSync('led-to.yaml', link);
    expect((await run(['measure', link, 'pull', ...PULL, '-w'])).code).toBe(0);
    expect(lstatSync(link).isSymbolicLink()).toBe(true);
    expect(readFileSync(files.path('led-to.yaml'), 'utf8')).toContain('friction_nm: { value: 0.0523');
    expect(readFileSync(files.path('led-to.before-1.yaml'), 'utf8')).toBe(OWL);
  });

  it('writes a wobble that the rig did not have, and leaves its cure alone', async () => {
    const rig = files.put('swings.yaml', OWL);
    expect((await run(['measure', rig, 'wobble', ...WOBBLE, '-w'])).code).toBe(0);
    expect(readFileSync(rig, 'utf8')).toContain('\n  wobble: { cure: none, hz: 3.08, damping: 0.0174 }\n');
  });

  it('writes a current and a centre of mass', async () => {
    const rig = files.put('more.yaml', OWL);
    expect((await run(['measure', rig, 'stall', ...STALL, '-w'])).code).toBe(0);
    expect((await run(['measure', rig, 'balance', ...BALANCE, '-w'])).code).toBe(0);
    const text = readFileSync(rig, 'utf8');
    expect(text).toContain('stall_current_a: { value: 2, from: measured, within_percent: 3 }');
    // -20 + 120 · 0.31 / 0.62
    expect(text).toContain('name: shell, on: moving, mass_kg: 0.62, at_mm: [0, 0, 40] }');
  });
});

it('says a caution with each', async () => {
  for (const [what, args] of Object.entries({
    pull: PULL,
    sag: SAG,
    swing: SWING,
    wobble: WOBBLE,
    stall: STALL,
    balance: BALANCE,
  }))
    expect((await run(['measure', owl, what, ...args])).out).toMatch(/^Caution: /);
});

const without = (args: readonly string[], option: string): string[] => args.toSpliced(args.indexOf(option), 2);
const swap = (args: readonly string[], option: string, text: string): string[] =>
  args.with(args.indexOf(option) + 1, text);

/** A tetrahedron with a corner at 0 and edges of 60 mm along the axes. */
const TETRA = `solid t\n${[
  ['0 0 0', '0 60 0', '60 0 0'],
  ['0 0 0', '60 0 0', '0 0 60'],
  ['0 0 0', '0 0 60', '0 60 0'],
  ['60 0 0', '0 60 0', '0 0 60'],
]
  .map((corners) => `facet normal 0 0 0 outer loop ${corners.map((c) => `vertex ${c}`).join(' ')} endloop endfacet`)
  .join('\n')}\nendsolid t\n`;

describe('a mesh', () => {
  it('gives a part its centre and inertia by its weight', async () => {
    const rig = files.put('meshed.yaml', OWL);
    const stl = files.put('t.stl', TETRA);
    const { code, err } = await run(['measure', rig, 'mesh', '--part', 'shell', '--stl', stl, '-w']);
    expect([code, err]).toEqual([0, '']);
    // Centre a quarter of the edge; 2·(1/10 - 1/16)·0.62 kg·(60 mm)² about it.
    expect(readFileSync(rig, 'utf8')).toContain(
      'name: shell, on: moving, mass_kg: 0.62, at_mm: [15, 15, 15], inertia_kgmm2: [167, 167, 167] }',
    );
  });

  it('that is open, missing or not asked for is words', async () => {
    const open = files.put('open.stl', TETRA.replace(/facet.*\n/, ''));
    const mesh = ['measure', owl, 'mesh', '--part', 'shell'];
    expect((await run([...mesh, '--stl', open])).err).toMatch(/--stl +this mesh is not closed: 3 edges/);
    expect((await run([...mesh, '--stl', 'nowhere.stl'])).err).toContain('there is no such file');
    expect((await run(mesh)).err).toMatch(/--stl +is missing/);
    expect((await run(['measure', owl, 'pull', ...PULL, '--stl', open])).err).toContain('pull does not read a mesh');
    expect((await run([...mesh, '--stl', owl])).err).toContain('no STL file');
  });
});

describe('words for', () => {
  it.each<[string, string[], RegExp]>([
    ['swing', swap(SWING, '--swings', '0'), /--swings +found 0; allowed: a whole number from 1/],
    ['swing', swap(SWING, '--swings', '2.5'), /--swings +found 2\.5; allowed: a whole number/],
    ['swing', swap(SWING, '--seconds', 'ten'), /--seconds .*allowed: a number from 0\.1/],
    ['swing', swap(SWING, '--part', 'tail'), /--part +"tail" is not in this rig; it has shell, beak or frame/],
    ['swing', swap(SWING, '--axis', 'w'), /--axis +"w" is not in this rig; it has x, y or z/],
    ['swing', without(SWING, '--axis'), /--axis +it takes --joint or --part with --axis/],
    ['swing', swap(SWING, '--part', 'frame'), /--mass-kg +is missing: the rig does not say what it weighs/],
    ['swing', ['--joint', 'lid', ...SWING.slice(4)], /--joint +lid has no load/],
    ['pull', swap(PULL, '--down-kg', '1.3'), /--down-kg +1\.3 kg is above --up-kg, 1\.2 kg/],
    ['pull', swap(PULL, '--up-kg', '-1'), /--up-kg +found -1; allowed: a number from 0/],
    ['pull', swap(swap(PULL, '--up-kg', '0'), '--down-kg', '0'), /--up-kg +is 0: nothing was pulled/],
    ['pull', swap(PULL, '--radius-mm', ''), /--radius-mm +is empty/],
    ['pull', swap(PULL, '--radius-mm', '80mm'), /--radius-mm /],
    ['pull', swap(PULL, '--radius-mm', 'Infinity'), /--radius-mm /],
    ['pull', without(PULL, '--joint'), /--joint +it takes --joint/],
    ['pull', without(PULL, '--up-kg'), /--up-kg +is missing: the scale while it is pulled up/],
    ['pull', swap(PULL, '--joint', 'ear'), /--joint +"ear" is not in this rig; it has leg1/],
    ['pull', [...PULL, '--swings', '3'], /--swings +pull does not read this/],
    ['pull', [...PULL, '--at-deg', '0'], /--at-deg +nod has no load with a known mass_kg/],
    ['pull', [...PULL, '--scale-off-kg', '-1'], /--scale-off-kg +found "-1"/],
    ['sag', swap(SAG, '--sag-mm', '0'), /--sag-mm +found 0; allowed: a number from 0\.01/],
    ['wobble', swap(WOBBLE, '--last', '13'), /--last .*did not die away/],
    ['stall', swap(STALL, '--for-s', '5'), /--for-s +found 5; allowed: a number from 0\.01 to 1 /],
    ['stall', [...STALL, '--idle-a', '2'], /--idle-a .*the servo itself drew nothing/],
    ['stall', [...STALL, '--seen-v', '5'], /--seen-v +the rig has no supply/],
    ['balance', swap(BALANCE, '--scale-kg', '0.9'), /--scale-kg +0\.9 kg is more than the whole weighs/],
    ['balance', swap(BALANCE, '--span-mm', '0'), /--span-mm +is 0/],
    ['balance', without(BALANCE, '--scale-kg'), /--scale-kg +is missing/],
    ['pul', PULL, /"pul" is no measurement; allowed: pull, .*Did you mean pull\?/],
  ])('%s %j', async (what, args, words) => {
    const rig = files.put('wrong.yaml', OWL);
    const { code, out, err } = await run(['measure', rig, what, ...args, '-w']);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(words);
    expect(readFileSync(rig, 'utf8')).toBe(OWL);
    expect(existsSync(files.path('wrong.before-1.yaml'))).toBe(false);
  });

  it('a rig that is not there, one that is wrong, and standard input that is to be written', async () => {
    expect((await run(['measure', 'nowhere.yaml', 'pull', ...PULL])).err).toContain('there is no such file');
    const bad = files.put('bad.yaml', OWL.replace('rod_mm: 120', 'rod_mm: x'));
    expect((await run(['measure', bad, 'pull', ...PULL])).err).toContain('platform.rod_mm');
    const { code, err } = await run(['measure', '-', 'pull', ...PULL, '-w'], { stdin: OWL });
    expect(code).toBe(2);
    expect(err).toContain('only a file can be written');
  });
});

it('shows lines that go and lines that come, and no other', () => {
  expect(differenceLines('a\nb\nc\nd\n', 'a\nB\nc\nd\ne\n')).toEqual(['- 2: b', '+ 2: B', '+ 5: e']);
  expect(differenceLines('a\n', 'a\n')).toEqual([]);
});

/** Every command that reads a rig finds the meshes beside it: a box as a mesh answers as the same box in plain words. */
import { existsSync, mkdirSync, truncateSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { boxStl } from '../rig/mesh/boxes.ts';
import { GENTLE, OWL, needController, run, scratch } from './fixture.ts';

const files = scratch();
beforeAll(needController);
afterAll(() => {
  files.remove();
});
const withShell = (more: string): string => OWL.replace('at_mm: [0, 0, 38] }', more);
mkdirSync(files.path('rig'));
const mesh = files.put('rig/owl.yaml', withShell('at_mm: [0, 0, -2], shape: { mesh: head.stl } }'));
const plain = files.put('rig/plain.yaml', withShell('at_mm: [0, 0, 38], shape: { box: { size_mm: [80, 60, 120] } } }'));
const gentle = files.put('gentle.csv', GENTLE);
files.put('rig/head.stl', boxStl([-40, -30, -20], [80, 60, 120]));

describe('a rig with a mesh', () => {
  it.each([
    ['load', []],
    ['load', ['--stream', gentle]],
    ['reach', []],
    ['solve', ['--pose', '0,0,2,0,5,0']],
    ['why', []],
    ['tune', []],
  ])('%s %j answers as the plain box does', async (command, options) => {
    const [one, other] = [
      await run([command, mesh, ...options, '--json']),
      await run([command, plain, ...options, '--json']),
    ];
    expect(one.code).toBe(other.code);
    const rounded = (out: string): string =>
      out
        .replaceAll('owl.yaml', 'plain.yaml')
        .replace(/-?\d+\.\d{6,}/g, (n) => String(Number(Number(n).toPrecision(6))));
    expect(rounded(one.out)).toBe(rounded(other.out));
    expect(one.out.length).toBeGreaterThan(100);
  });

  it.each([
    ['check', []],
    ['replay', [gentle]],
    ['draw', ['-o', files.path('d.svg')]],
    ['retime', [gentle, '-o', files.path('r.csv')]],
    ['measure', ['wobble', '--swings', '8', '--seconds', '2.6', '--first', '12', '--last', '5']],
  ])('%s reads it', async (command, options) => {
    const { code, out, err } = await run([command, mesh, ...options, '--json']);
    expect([code, err.includes('mesh'), JSON.parse(out).ok]).toEqual([0, false, true]);
  });

  it('is found beside the rig file only', async () => {
    const away = files.put('away.yaml', withShell('at_mm: [0, 0, -2], shape: { mesh: head.stl } }'));
    const { code, err } = await run(['check', away]);
    expect(code).toBe(2);
    expect(err).toMatch(/head\.stl: there is no such file/);
  });

  it('refuses a mesh that is too large, and a folder, in words', async () => {
    files.put('rig/large.stl', '');
    truncateSync(files.path('rig/large.stl'), 65 * 2 ** 20);
    mkdirSync(files.path('rig/folder.stl'));
    for (const [name, words] of [
      ['large.stl', /larger than 64 MB: export it more coarsely/],
      ['folder.stl', /this is a folder/],
    ] as const) {
      const rig = files.put('rig/wrong.yaml', withShell(`at_mm: [0, 0, 38], shape: { mesh: ${name} } }`));
      const { code, err } = await run(['load', rig]);
      expect(code).toBe(2);
      expect(err).toMatch(words);
    }
  });

  it('tune writes the new rig beside the mesh, nowhere else', async () => {
    const { code, err } = await run(['tune', mesh, '-o', files.path('elsewhere.yaml')]);
    expect(code).toBe(2);
    expect(err).toMatch(/a mesh \(shell\) that stands beside it/);
    expect(existsSync(files.path('elsewhere.yaml'))).toBe(false);
  });

  it('measure does not write over what the mesh says', async () => {
    const balance = ['--part', 'shell', '--axis', 'z', '--edge-mm', '-20', '--span-mm', '120', '--scale-kg', '0.31'];
    const { code, err } = await run(['measure', mesh, 'balance', ...balance]);
    expect(code).toBe(2);
    expect(err).toMatch(/shell has its centre and inertia from head\.stl/);
  });
});

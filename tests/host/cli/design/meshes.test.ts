/** The meshes of the given rig go where its results go: what was asked, and every design, is read there as anywhere. */
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { NECK, OWL_TEXT } from '../../design/want/wants.ts';
import { boxStl } from '../../rig/mesh/boxes.ts';
import { run, scratch } from '../fixture.ts';

const folder = scratch();
afterAll(folder.remove);
const SHELL = /at_mm: \[0, 0, 38\], shape: \{ ellipsoid_shell: .*? \} \}/;
const STL = boxStl([-60, -55, -50], [120, 110, 100]);
const EASY = NECK.replace('night-owl.yaml', 'rigs/owl.yaml')
  .replace('height_mm: 130', 'height_mm: 180')
  .replace('firm: { lowest_hz: 5 }', 'firm: {}')
  .replace(/axes:\n.*\n/, '');
let want = '';

const design = (output: string, ...more: readonly string[]) =>
  run(['design', '--want', want, '-o', folder.path(output), '--workers', '1', '--evaluations', '600', ...more]);
const read = (...names: readonly string[]): string => readFileSync(join(folder.path(''), ...names), 'utf8');
const designsIn = (output: string): string[] =>
  readdirSync(folder.path(output)).filter((name) => /^\d-.*\.yaml$/.test(name));

beforeAll(async () => {
  mkdirSync(folder.path('rigs/cad'), { recursive: true });
  folder.put('rigs/cad/head.stl', STL);
  expect(OWL_TEXT).toMatch(SHELL);
  folder.put('rigs/owl.yaml', OWL_TEXT.replace(SHELL, 'at_mm: [0, 0, 38], shape: { mesh: cad/head.stl }'));
  want = folder.put('want.yml', EASY);
  expect(await design('neck')).toMatchObject({ code: 0, err: '' });
}, 240_000);

describe('a result of a rig with a mesh', () => {
  it('has it beside what was asked and beside the designs, which are valid rigs there', async () => {
    expect(read('neck/asked/rigs/cad/head.stl')).toBe(STL);
    expect(read('neck/cad/head.stl')).toBe(STL);
    const files = [...designsIn('neck'), 'asked/rigs/owl.yaml'];
    expect(files.length).toBeGreaterThan(2);
    for (const file of files) expect((await run(['check', join(folder.path('neck'), file)])).code, file).toBe(0);
  });

  it('is put together and gone on with where the given rig is no longer', async () => {
    for (const name of ['rigs', 'want.yml']) rmSync(folder.path(name), { recursive: true });
    const merged = await run(['design', 'merge', folder.path('neck'), '-o', folder.path('merged')]);
    expect(merged).toMatchObject({ code: 0, err: '' });
    expect(read('merged/cad/head.stl')).toBe(STL);
    expect(designsIn('merged')).toEqual(designsIn('neck'));
    const asked = join(folder.path('neck'), 'asked');
    want = join(asked, 'want.yaml');
    expect((await design('neck', '--resume')).code).toBe(0);
  }, 240_000);

  it('is another search once the mesh is another', async () => {
    writeFileSync(join(folder.path('neck'), 'asked/rigs/cad/head.stl'), boxStl([-60, -55, -50], [120, 110, 101]));
    const { code, err } = await design('neck', '--resume', '--force');
    expect([code, err]).toEqual([2, expect.stringContaining('the want file, its rig or its stream was another')]);
  });

  it('does not go over another file of that name, without --force', async () => {
    mkdirSync(folder.path('mine/cad'), { recursive: true });
    folder.put('mine/cad/head.stl', 'mine');
    const refused = await design('mine');
    expect([refused.code, refused.err]).toEqual([2, expect.stringContaining('--force writes over it')]);
    expect(read('mine/cad/head.stl')).toBe('mine');
    expect(readdirSync(folder.path('mine'))).toEqual(['cad']);
  });
});

/** What `posewright design merge` refuses, and what it says is missing. */
import { cpSync, readFileSync, writeFileSync } from 'node:fs';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { readSearch, writeSearch } from '../../../host/design/search/state.ts';
import { NECK, OWL_TEXT } from '../design/want/wants.ts';
import { run, scratch } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
folder.put('night-owl.yaml', OWL_TEXT);
const EASY = NECK.replace('height_mm: 130', 'height_mm: 180')
  .replace('firm: { lowest_hz: 5 }', 'firm: {}')
  .replace(/axes:\n.*\n/, '');

const merged = (name: string) =>
  run(['design', 'merge', folder.path(name), '-o', folder.path(`${name}-merged`), '--json']);

beforeAll(async () => {
  const search = ['--workers', '1', '--evaluations', '900'];
  const ran = await run(['design', '--want', folder.put('want.yml', EASY), '-o', folder.path('part'), ...search]);
  expect(ran.code).toBe(0);
  for (const name of ['changed', 'early']) cpSync(folder.path('part'), folder.path(name), { recursive: true });
}, 120_000);

it('refuses shards of a want that has been changed since', async () => {
  writeFileSync(folder.path('changed/asked/want.yaml'), EASY.replace('roll_deg: 15', 'roll_deg: 14'));
  expect(await merged('changed')).toMatchObject({
    code: 2,
    err: expect.stringContaining('what was asked there has been changed since the search') as string,
  });
});

it('names a shard that was stopped before its end', async () => {
  const { search } = readSearch(readFileSync(folder.path('early/search.json'), 'utf8'));
  for (const island of search!.islands) island.used -= 1;
  writeFileSync(folder.path('early/search.json'), writeSearch(search!));
  const { code, out } = await merged('early');
  expect(code).toBe(0);
  expect(JSON.parse(out)).toMatchObject({ missing: ['shard 1 of 1 was stopped early'], complete: false });
}, 60_000);

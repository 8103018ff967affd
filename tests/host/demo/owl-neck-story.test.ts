/** The README's story of a design: the demo's want is searched, the best balance of what was found is tuned, and plays the show. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { needController, run, scratch } from '../cli/fixture.ts';

const folder = scratch();
afterAll(folder.remove);
const demo = (name: string): string => readFileSync(`host/demo/${name}`, 'utf8');
const want = folder.put('owl-neck.yaml', demo('owl-neck.yaml'));
const dusk = folder.put('dusk.csv', demo('dusk.csv'));
folder.put('night-owl.yaml', demo('night-owl.yaml'));

beforeAll(needController);

it('finds designs; each holds wherever its soft limits let it go, and the best balance plays the show with four times yes', async () => {
  const neck = folder.path('neck');
  const found = await run(['design', '--want', want, '-o', neck, '--workers', '1']);
  expect(found.code).toBe(0);
  const files = [...new Set(found.out.match(/^\d-[a-z-]+/gm))].map((name) => `${neck}/${name}.yaml`);
  expect(files).toHaveLength(8);
  for (const file of files.filter((_, i) => i % 3 === 0)) {
    const { code, out } = await run(['load', file]);
    // Whether it may stay there for long is another question: mostly.
    expect(out).toMatch(/^Can it carry it\? +(yes|mostly)/m);
    expect(code).toBe(0);
  }
  const best = files.find((file) => file.includes('best-balance'))!;
  const [tuned, slower] = [folder.path('tuned.yaml'), folder.path('slower.csv')];
  expect((await run(['tune', best, '--stream', dusk, '-o', tuned])).code).toBe(0);
  expect((await run(['retime', tuned, dusk, '-o', slower])).code).toBe(0);
  const { code, out } = await run(['why', tuned, slower]);
  expect(out.match(/^(Can it get there|Can it carry it|Can you power it|Will it be smooth)\? +yes/gm)).toHaveLength(4);
  expect(code).toBe(0);
  // README, "A design, before metal is cut": rows of its tables, as they are printed.
  const told = readFileSync('README.md', 'utf8').match(/^ {4}\d-(best-balance|smallest) .*$/gm)!;
  for (const row of told) expect(found.out).toContain(row.trim());
  expect(told).toHaveLength(4);
}, 400_000);

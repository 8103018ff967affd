/** Designs that turn up only while a wish to relax is looked for: they are the answer, and no wish has to be relaxed. */
import { afterAll, expect, it } from 'vitest';
import { z } from 'zod';
import { NECK, OWL_TEXT } from '../design/want/wants.ts';
import { run, scratch } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
folder.put('night-owl.yaml', OWL_TEXT);
const document = z.object({
  ok: z.boolean(),
  late: z.boolean(),
  front: z.array(z.unknown()),
  relax: z.array(z.unknown()),
});

it('shows them, and tells no wish besides', async () => {
  // Hard enough that 300 designs hold none of it.
  const want = folder.put(
    'want.yml',
    NECK.replace('height_mm: 130', 'height_mm: 180')
      .replace('roll_deg: 15', 'roll_deg: 34')
      .replace('pitch_deg: [-12, 9]', 'pitch_deg: 5')
      .replace('together: 0.5', 'together: 0')
      .replace('lowest_hz: 5', 'lowest_hz: 7.5')
      .replace(/axes:\n.*\n/, ''),
  );
  const few = ['--workers', '1', '--evaluations', '300', '--json'];
  const { code, out } = await run(['design', '--want', want, '-o', folder.path('neck'), ...few]);
  const told = document.parse(JSON.parse(out));
  expect([code, told.ok, told.late]).toEqual([0, true, true]);
  expect(told.front.length).toBeGreaterThan(0);
  expect(told.relax).toEqual([]);
}, 120_000);

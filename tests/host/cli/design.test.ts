import { existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { readWant } from '../../../host/design/want/read.ts';
import { SCHEMA_HOOK } from '../../../host/new/rig-file.ts';
import { readRig } from '../../../host/rig/read.ts';
import { NECK, OWL_TEXT } from '../design/want/wants.ts';
import { run, scratch, stream } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
folder.put('night-owl.yaml', `${SCHEMA_HOOK}\n${OWL_TEXT}`);
folder.put('broken.yaml', OWL_TEXT.replace('crank_mm: 22', 'crank_mm: none'));
folder.put('tail.csv', 't_s,tail_deg\n0,0\n1,2\n');
folder.put('far.csv', stream(1, { z_mm: (t) => 300 * t }));
const EASY = NECK.replace('height_mm: 130', 'height_mm: 180')
  .replace('firm: { lowest_hz: 5 }', 'firm: {}')
  .replace(/axes:\n.*\n/, '');
const want = folder.put('want.yml', EASY);
const put = (name: string, from: string | RegExp, to: string): string => folder.put(name, EASY.replace(from, to));

/** With few designs, in this thread: threads start from dist/. */
const design = (path: string, output: string, ...more: readonly string[]) =>
  run(['design', '--want', path, '-o', folder.path(output), '--workers', '1', '--evaluations', '900', ...more]);

/** On with what is in the folder, as it was asked. */
const goOn = (output: string, ...more: readonly string[]) =>
  run(['design', '--want', want, '-o', folder.path(output), '--workers', '1', '--resume', ...more]);

const figure = z.number().nullable();
const document = z.object({
  ok: z.boolean(),
  front: z
    .array(
      z.object({
        rig: z.string(),
        why: z.string().min(1),
        binds: z.array(z.string()),
        travel: z
          .array(z.object({ axis: z.string(), unit: z.string(), minus: z.number(), plus: z.number() }))
          .length(6),
        use: figure,
        hold_use: z.number(),
        torque_used: z.object({ use: z.number(), joint: z.string(), where: z.string() }),
        lowest_hz: z.number().positive(),
        price: figure,
        size_mm: z.object({ base_radius: z.number(), plate_radius: z.number(), height: z.number() }),
        robust: figure,
      }),
    )
    .max(8),
  relax: z.array(z.object({ wish: z.string(), by: z.number(), words: z.string() })),
  evaluated: z.number(),
});
const answerIn = (output: string) =>
  document.parse(JSON.parse(readFileSync(join(folder.path(output), 'front.json'), 'utf8')));

describe('design', () => {
  let first: Awaited<ReturnType<typeof run>>;
  beforeAll(async () => {
    first = await design(want, 'neck', '--json');
  }, 240_000);

  it('finds designs that hold, answers with one document, and exits 0', () => {
    expect(first.code).toBe(0);
    const told = document.parse(JSON.parse(first.out));
    expect(told.front.length).toBeGreaterThan(2);
    expect(told.evaluated).toBe(900);
    for (const { travel, size_mm } of told.front) {
      expect(travel[3]!.plus).toBeGreaterThanOrEqual(15 * (1 - 1e-4));
      expect(travel[2]!.minus).toBeLessThanOrEqual(-8 * (1 - 1e-4));
      expect(size_mm.base_radius).toBeLessThanOrEqual(75);
      expect(size_mm.height).toBeLessThanOrEqual(180);
    }
    expect(told.front.map(({ why }) => why).join()).toContain('cheapest that holds');
  });

  it('writes each as a rig file without a mistake, a page, and what was asked', () => {
    for (const { rig } of answerIn('neck').front) {
      const text = readFileSync(join(folder.path('neck'), rig), 'utf8');
      expect(readRig(text)).toMatchObject({ problems: [], advice: [] });
      expect(text).toContain('# An owl in a night exhibit');
    }
    expect(readFileSync(join(folder.path('neck'), 'front.html'), 'utf8')).toContain('Trade-offs');
    // Each names the schema by which an editor completes.
    expect(JSON.parse(readFileSync(join(folder.path('neck'), 'rig.schema.json'), 'utf8'))).toHaveProperty('properties');
    expect(readdirSync(join(folder.path('neck'), 'asked')).sort()).toEqual(['night-owl.yaml', 'want.yaml']);
  });

  it('leaves the results of an earlier search alone, unless told to write over them', async () => {
    const again = await design(want, 'neck');
    expect(again.code).toBe(2);
    expect(again.err).toMatch(
      /results of an earlier search are there: --resume goes on with it, --force writes over them/,
    );
  });

  it('goes on with a search only where the same is asked', async () => {
    const other = await design(put('other.yml', 'roll_deg: 15', 'roll_deg: 14'), 'neck', '--resume');
    expect(other).toMatchObject({
      code: 2,
      err: expect.stringMatching(/does not fit: the want file, its rig or its stream was another/) as string,
    });
    expect(await design(want, 'nothing', '--resume')).toMatchObject({
      code: 2,
      err: expect.stringMatching(/nothing +there is no search to go on with/) as string,
    });
    const same = await goOn('neck', '--json');
    expect(same).toMatchObject({ code: 0, out: first.out });
  }, 60_000);

  it.each([
    [['--seed', '2'], /--seed +found 2; allowed: 1, as the search in .* has it, or leave it out/],
    [['--evaluations', '1200'], /--evaluations +found 1200; allowed: 900, as the search there has it, or leave it out/],
    [['--minutes', '1'], /--minutes +found it, but the search there is one of 900 evaluations/],
    [['--shard', '1/2'], /--shard +found 1\/2; allowed: 1\/1/],
  ])('names what is asked otherwise than of the search in the folder: %j', async (more, words) => {
    expect(await goOn('neck', ...more)).toMatchObject({ code: 2, err: expect.stringMatching(words) as string });
  });

  it('has no more shards than the evaluations have islands, since the number of shards changes nothing', async () => {
    const words = /--shard +found 1\/3; allowed: at most 2 shards for 9000 evaluations, one for each 6000/;
    expect(await design(want, 'bad', '--shard', '1/3', '--evaluations', '9000')).toMatchObject({
      code: 2,
      err: expect.stringMatching(words) as string,
    });
    expect((await design(want, 'bad', '--shard', '1/2')).err).toMatch(/allowed: one shard, the whole search, for 900/);
  });

  it('is what one machine finds from shards that are merged, to the last digit; a missing one is named', async () => {
    const shards = ['1/2', '2/2'];
    for (const [i, shard] of shards.entries()) {
      const part = await design(want, `part${String(i)}`, '--shard', shard, '--evaluations', '9000');
      expect(part.code).toBe(0);
      expect(part.out).toMatch(/shard \d of 2: 4500 designs looked at/);
    }
    const whole = await design(want, 'whole', '--evaluations', '9000', '--json');
    const parts = shards.map((_, i) => folder.path(`part${String(i)}`));
    // In whatever order.
    const merged = await run(['design', 'merge', parts[1]!, parts[0]!, '-o', folder.path('merged'), '--json']);
    const twice = await run(['design', 'merge', parts[0]!, parts[0]!, '-o', folder.path('twice')]);
    expect(merged.code).toBe(0);
    expect(merged.out).toBe(whole.out);
    const one = await run(['design', 'merge', parts[0]!, '-o', folder.path('one')]);
    expect(one.out.replace(/\s+/g, ' ')).toContain('not all that was planned: shard 2 of 2 is missing');
    expect(one.out).not.toContain('--resume');
    expect(twice).toMatchObject({ code: 2, err: expect.stringMatching(/it is the same shard as another/) as string });
  }, 240_000);
});

describe('wishes that cannot be', () => {
  it.each([
    [
      'a travel that no leg has',
      'z_mm: [-8, 4]',
      'z_mm: [-300, 4]',
      /relax one +must\.z_mm: -[\d.]+ … [\d.]+ mm instead of -300 … 4 mm/,
    ],
    [
      'a stream out of every reach',
      'together: 0.5',
      'together: 0.5\n  follow: far.csv',
      /relax one +must\.follow: without it, or with its poses at \d+ % of their size:\s+at [\d.]+ s, z 300 mm, leg\d\s+is\s+stopped by its rod/,
    ],
    [
      'a servo that holds itself alone',
      'firm: {}',
      'firm: { hold_use: 0.01 }',
      /relax one +firm\.hold_use: [\d.]+ instead of 0\.01/,
    ],
  ])(
    '%s: says what to relax, and exits 1',
    async (name, from, to, words) => {
      const told = await design(put('hard.yml', from, to), name.replace(/ /g, '-'), '--evaluations', '600');
      expect(told.code).toBe(1);
      expect(told.out).toMatch(words);
      expect(existsSync(join(folder.path(name.replace(/ /g, '-')), 'front.html'))).toBe(true);
    },
    240_000,
  );

  it.each([
    ['a travel beyond half a turn', 'roll_deg: 15', 'roll_deg: 400', /bad.yml:\d+ +must\.roll_deg +found 400/],
    [
      'servo classes that nothing may have',
      /price: (\d+)/g,
      'legs: false, price: $1',
      /servos +found legs: false on every class, and no joint of axes that names one; allowed: a class for the legs/,
    ],
    ['no servo class', /servos:\n.*\n.*\n/, 'servos: {}\n', /found no servo class/],
    [
      'a room smaller than the servos',
      'base_radius_mm: 75',
      'base_radius_mm: 12',
      /room\.base_radius_mm +found 12; allowed: 20 mm or more, or six servo bodies of 20 x 40 x 38 mm have no room/,
    ],
    [
      'a room lower than a servo',
      'height_mm: 180',
      'height_mm: 15',
      /room\.height_mm +found 15; allowed: 20 mm or more, or servo bodies of 20 x 40 x 38 mm have no room/,
    ],
    ['nothing to do', /roll_deg[^]*?together: 0.5/, 'yaw_deg: 0', /bad.yml:3 +must +found nothing that is asked/],
    [
      'ways the wrong way round',
      '[-12, 9]',
      '[9, -12]',
      /found 9; allowed: degrees as the lowest of \[lowest, highest\]/,
    ],
    [
      'a stream that is not there',
      'together: 0.5',
      'together: 0.5\n  follow: gone.csv',
      /bad.yml:8 +must\.follow +gone\.csv: there is no such file/,
    ],
    [
      'a stream of another rig',
      'together: 0.5',
      'together: 0.5\n  follow: tail.csv',
      /bad.yml:8 +must\.follow +tail\.csv is no stream of night-owl\n.*tail\.csv:1 +tail_deg/,
    ],
    [
      'a class that is the rig’s alone',
      'better:',
      'axes: { nod: { servo: [face] } }\nbetter:',
      /found face, which is no servo class of this file; allowed: small or neck; the given rig’s own is one with "face: \{\}" under servos/,
    ],
    ['a negative price', 'price: 12', 'price: -1', /servos\.small\.price +found -1/],
    ['a rig with errors', 'night-owl.yaml', 'broken.yaml', /broken\.yaml:\d+ +platform\.crank_mm/],
    [
      'itself for a rig',
      'night-owl.yaml',
      'bad.yml',
      /bad\.yml:2 +from +bad\.yml is a want file, not a rig; allowed: the rig file[^\n]*\n1 error\n$/,
    ],
    ['a rig that is not there', 'night-owl.yaml', 'nowhere.yaml', /from +nowhere\.yaml: /],
    [
      'a rig elsewhere',
      'night-owl.yaml',
      '../night-owl.yaml',
      /from +found "\.\.\/night-owl\.yaml"; allowed: a file in the folder/,
    ],
  ])('%s: words, and exit 2', async (_, from, to, words) => {
    const told = await design(put('bad.yml', from, to), 'bad');
    expect(told).toMatchObject({ code: 2, out: '', err: expect.stringMatching(words) as string });
    expect(existsSync(folder.path('bad'))).toBe(false);
  });

  it.each([
    [['--seed', 'x'], /--seed +found "x"; allowed: a whole number/],
    [['--shard', '3/2'], /--shard +found "3\/2"; allowed: K\/N/],
    [['--minutes', '1'], /found together; allowed: one of them/],
  ])('options %j: words, and exit 2', async (more, words) => {
    expect(await design(want, 'bad', ...more)).toMatchObject({ code: 2, err: expect.stringMatching(words) as string });
  });

  it('a file where the folder should be: words, and exit 2', async () => {
    mkdirSync(folder.path('x'), { recursive: true });
    writeFileSync(folder.path('x/file'), '');
    expect((await design(want, 'x/file')).code).toBe(2);
  });
});

it('prints the JSON Schema of want files', async () => {
  const { code, out } = await run(['design', '--schema']);
  expect(code).toBe(0);
  expect(JSON.parse(out)).toMatchObject({ properties: { must: { properties: { yaw_deg: {} } } } });
});

it('shows a want file in its help that is right by itself', async () => {
  const { out } = await run(['design', '--help']);
  const text = /^ {2}want: [^]*?^ {2}better: .*$/m.exec(out)![0].replace(/^ {2}/gm, '');
  expect(readWant(text)).toMatchObject({ problems: [], file: { want: 'steady' } });
});

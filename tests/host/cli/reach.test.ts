import { readFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { LINEAR } from '../rig/owl.ts';
import { OWL, run, scratch } from './fixture.ts';

const folder = scratch();
afterAll(folder.remove);
const owl = folder.put('owl.yaml', OWL);
const lift = folder.put('lift.yaml', LINEAR.replace('home_z_mm: 250', 'home_z_mm: 290'));
const loose = folder.put(
  'loose.yaml',
  LINEAR.replace('half_angle_deg: 50', 'half_angle_deg: 10').replace('home_z_mm: 250', 'home_z_mm: 290'),
);

const stop = z.strictObject({ joint: z.string(), cause: z.enum(['rod', 'stroke', 'limit', 'rod_end']) }).nullable();
const answer = z.object({
  ok: z.boolean(),
  home_z_mm: z.number(),
  condition: z.number().min(1).nullable(),
  axes: z
    .array(
      z.object({
        axis: z.enum(['x', 'y', 'z', 'roll', 'pitch', 'yaw']),
        unit: z.enum(['mm', 'deg']),
        minus: z.number().max(0),
        plus: z.number().min(0),
        minus_stop: stop,
        plus_stop: stop,
      }),
    )
    .length(6),
  box: z.object({ share: z.number(), interval: z.tuple([z.number(), z.number()]) }).nullable(),
  planes: z.array(z.object({ rows: z.array(z.string()) })),
  changes: z.array(z.object({ path: z.string() })).nullable(),
});

async function json(code: number, ...argv: string[]): Promise<z.infer<typeof answer>> {
  const ran = await run(['reach', ...argv, '--json']);
  expect(ran.code, ran.err).toBe(code);
  expect(ran.out).not.toMatch(/NaN|Infinity/);
  return answer.parse(JSON.parse(ran.out));
}

describe('reach', () => {
  it('answers as one document', async () => {
    const { ok, box, planes, changes, condition } = await json(0, owl);
    expect([ok, box, planes, changes]).toEqual([true, null, [], null]);
    expect(condition).toBeGreaterThan(1);
  });

  it('answers everything at once', async () => {
    const asked = ['--at', '0,0,2,0,0,3', '--plane', 'x,yaw', '--box', 'x=-3..3,yaw=-1..1', '--samples', '200'];
    const { box, planes, changes } = await json(0, owl, ...asked, '--sensitivity');
    expect(box?.share).toBe(1);
    expect(box?.interval[0]).toBeLessThan(1);
    expect(planes).toHaveLength(1);
    expect(changes?.length).toBeGreaterThan(10);
  });

  it('works on actuators', async () => {
    const { axes } = await json(0, lift);
    for (const { minus_stop, plus_stop } of axes) expect([minus_stop, plus_stop]).not.toContain(null);
  });

  it('prints a table, how firmly it is held, the map, the box and what would give more, every figure with its unit', async () => {
    const asked = ['--plane', 'pitch,z', '--box', 'z=-90..90', '--samples', '500', '--sensitivity'];
    const { code, out } = await run(['reach', owl, ...asked]);
    expect(code).toBe(1);
    expect(out).toMatch(/test-owl: how far it goes from home/);
    expect(out).toMatch(/^yaw +-[\d.]+ deg +leg\d’s rod end +turns right +[\d.]+ deg/m);
    expect(out).toMatch(/^held +firmly at home/m);
    expect(out).toMatch(/^box +z -90 to 90 mm: [\d.]+ % of 500 random poses/m);
    expect(out).toMatch(/\. {2}in reach/);
    expect(out).toMatch(/^to go further +x back stops at/m);
    expect(out).not.toMatch(/NaN|undefined|null/);
  });

  it('writes a page, never over a file without --force, and never over the rig', async () => {
    const report = folder.path('reach.html');
    const { code, out } = await run(['reach', owl, '--report', report]);
    expect([code, out.includes(`${report} shows`)]).toEqual([0, false]);
    expect(readFileSync(report, 'utf8')).toMatch(/^<!doctype html>[^]*class="chart plane"/);
    expect((await run(['reach', owl, '--report', report])).err).toMatch(/--force overwrites it/);
    expect((await run(['reach', owl, '--report', report, '--force', '--sensitivity'])).out).toContain(
      `${report} shows`,
    );
    expect((await run(['reach', owl, '--report', owl, '--force'])).err).toMatch(/one of the inputs/);
  });

  it('a home that no servo can hold: words, exit 1, no NaN', async () => {
    const { code, out } = await run(['reach', loose, '--sensitivity']);
    expect(code).toBe(1);
    expect(out).toMatch(/at home the plate hangs loose/);
    expect(out).not.toMatch(/NaN|undefined|Infinity/);
    expect((await json(1, loose)).condition).toBeNull();
  });

  it.each([
    [['--at', '0,0,300,0,0,0'], /the prop cannot reach this pose because of the reach of leg1’s rod/],
    [['--at', '0,0'], /takes six numbers/],
    [['--plane', 'x'], /two axes with a comma between/],
    [['--plane', 'x,twist'], /"twist" is no axis of a pose; allowed: x, y, z, roll, pitch, yaw/],
    [['--plane', 'x,x'], /names x twice/],
    [['--box', ''], /found nothing/],
    [['--box', 'x=1'], /"x=1" is not an axis and its range/],
    [['--box', 'sway=1..2'], /"sway" is no axis/],
    [['--box', 'x=5..2'], /x goes from 5 to 2; allowed: the first below the second/],
    [['--box', 'x=a..2'], /x /],
    [['--box', 'x=1..2,x=3..4'], /x stands there twice/],
    [['--box', 'yaw=-400..2'], /more than a whole turn/],
    [['--samples', '0'], /--samples.*a whole number from 1/],
    [['--seed', '1.5'], /--seed.*a whole number/],
  ])('%j is refused in words', async (argv, words) => {
    const { code, out, err } = await run(['reach', owl, ...argv]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(words);
    const document = JSON.parse((await run(['reach', owl, ...argv, '--json'])).out);
    expect(document).toMatchObject({ ok: false });
  });

  it('a rig of joints only has nowhere to go', async () => {
    const text = OWL.replace(/platform:\n( {2}.*\n)+/, '')
      .replace(/parts:\n( {2}.*\n)+/, '')
      .replace(/ {2}leg\d:.*\n/g, '')
      .replace(/ {2}pose_speed.*\n {2}leg:.*\n/, '');
    const { code, err } = await run(['reach', '-'], { stdin: text });
    expect(err).toMatch(/this rig has joints only/);
    expect(code).toBe(2);
  });
});

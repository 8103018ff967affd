/** `bringup --do estimate` by words: answers from a file, the table kept beside the rig, the difference shown before it is written. */
import { readFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { plan } from '../../../host/bringup/estimate/plan.ts';
import { PLATE, measure, rigOfText, trueProp } from '../bringup/estimate/prop.ts';
import { OWL, needController, run, scratch } from './fixture.ts';

needController();
const files = scratch();
afterAll(() => {
  files.remove();
});

const WALKED = OWL.replace(/leg(\d): \{ pin/g, 'leg$1: { walked_deg: [-60, 60], pin');

describe('bringup --do estimate', () => {
  it('answers from a file, keeps the readings, shows what it writes, and fits the table again', async () => {
    const rig = rigOfText(WALKED);
    const path = files.put('owl.yaml', WALKED);
    const prop = trueProp(rig, { crank_mm: 0.4, rod_mm: -0.8 });
    const poses = plan(rig, 12).map(({ pulses_us }) => pulses_us);
    const rows = measure(rig, prop, poses, PLATE, 1, 0.1);
    const answers = files.put(
      'answers.txt',
      rows.map(({ plate }) => plate.map(({ value }) => value).join(' ')).join('\n'),
    );
    const words = `estimate poses=12 readings=${answers}`;
    const { code, out, err } = await run(['bringup', path, '--on', 'sim', '--do', words, '--json']);
    expect([code, err]).toEqual([0, expect.stringContaining('crank_mm') as string]);
    const [verb] = (JSON.parse(out) as { verbs: { after: Record<string, number>; readings: string }[] }).verbs;
    expect(verb!.readings).toBe(files.path('owl.readings-1.csv'));
    expect(Math.abs(verb!.after['platform.crank_mm']! - 22.4)).toBeLessThan(0.2);
    expect(Math.abs(verb!.after['platform.rod_mm']! - 119.2)).toBeLessThan(0.2);
    const now = readFileSync(path, 'utf8');
    expect(err.indexOf('+ ')).toBeGreaterThan(0);
    expect(err.indexOf('Written;')).toBeGreaterThan(err.indexOf('+ '));
    expect(readFileSync(files.path('owl.before-1.yaml'), 'utf8')).toBe(WALKED);
    expect((await run(['check', path])).code).toBe(0);
    const again = files.put('again.yaml', WALKED);
    await run(['bringup', again, '--on', 'sim', '--do', `estimate table=${verb!.readings}`]);
    expect(readFileSync(again, 'utf8')).toBe(now);
  }, 60_000);

  it.each([
    [['estimate readings=/nowhere/a.txt'], 2, /no such file|not there|there is no/i],
    [['estimate table=/nowhere/a.csv'], 1, /no such file|not there|there is no/i],
    [['estimate'], 1, /have not been walked/],
  ])('%j writes nothing', async (words, code, says) => {
    const path = files.put('wrong.yaml', OWL);
    const ran = await run(['bringup', path, '--on', 'sim', '--do', ...words]);
    expect([ran.code, readFileSync(path, 'utf8')]).toEqual([code, OWL]);
    expect(ran.out + ran.err).toMatch(says);
  });
});

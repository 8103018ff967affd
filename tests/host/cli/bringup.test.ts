/** `bringup` by words on the simulation: files, JSON, exit codes, and words for what is wrong. */
import { existsSync, readFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { OWL, needController, run, scratch } from './fixture.ts';

needController();
const files = scratch();
afterAll(() => {
  files.remove();
});

const NOTED = OWL.replace('lid: { servo: neck, pin: 9,', 'lid: { servo: neck, pin: 9, # the upper one\n        ');

describe('bringup --do', () => {
  it('writes what it found, comments kept, the old file beside', async () => {
    const rig = files.put('owl.yaml', NOTED);
    const { code, out } = await run(['bringup', rig, '--on', 'sim', '--do', 'walk lid binds=40']);
    expect(code).toBe(0);
    const text = readFileSync(rig, 'utf8');
    expect(text).toContain('# the upper one');
    expect(text).toMatch(/walked_deg: \[0, 3[67](\.\d)?\]/);
    expect(readFileSync(files.path('owl.before-1.yaml'), 'utf8')).toBe(NOTED);
    expect(out).toMatch(/This is a rehearsal: sim is not a real board\./);
    expect(out).toMatch(/\+ \d+: .*walked_deg/);
    expect(out).toMatch(/it moves at 20 deg\/s \(10 mm\/s\) at most: .* have not been walked through/);
    expect((await run(['check', rig])).code).toBe(0);
  });

  it('is one JSON document, a verb an entry', async () => {
    const rig = files.put('json.yaml', OWL);
    const words = [
      '--do',
      'jog nod 5',
      '--do',
      'centre leg1 --rods-off reading=2.1 reading=1.9 reading=0.1 reading=-0.1',
    ];
    const { code, out } = await run(['bringup', rig, '--on', 'sim', ...words, '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toEqual({
      ok: true,
      target: 'sim',
      proven: 'simulation',
      verbs: [
        { verb: 'jog', joint: 'nod', before: { at: -20 }, after: { at: -15 }, written: null, ended: null },
        {
          verb: 'centre',
          joint: 'leg1',
          before: { centre_us: 1500 },
          // 2 deg too far at 10 µs per degree.
          after: { centre_us: 1480 },
          written: expect.stringContaining('json.before-1.yaml') as string,
          ended: null,
        },
      ],
    });
  });

  it('ends with 1 at the first verb that ends early, and writes nothing of it', async () => {
    const rig = files.put('early.yaml', OWL);
    const { code, out } = await run(['bringup', rig, '--on', 'sim', '--do', 'jog nod 200', '--do', 'walk lid']);
    expect(code).toBe(1);
    expect(out).toMatch(/Jog ended early: nod would be at 180 deg, and its soft limits are -28 deg and 25 deg/);
    expect(out).not.toContain('lid');
    expect(readFileSync(rig, 'utf8')).toBe(OWL);
    const short = await run(['bringup', rig, '--on', 'sim', '--do', 'centre leg1 --rods-off reading=3']);
    expect([short.code, short.out]).toEqual([1, expect.stringContaining('there is no reading= left')]);
    expect(existsSync(files.path('early.before-1.yaml'))).toBe(false);
  });

  it.each([
    [['--do', 'walk lid'], /say where the board is: one of sim/],
    [['--on', 'sim'], /standard input is no terminal, so say what to do/],
    [['--on', 'sim', '--json'], /--json.*needs --do/],
    [['--on', 'sim', '--do', 'walk lid', '--do', 'fly'], /"fly" is not a verb/],
    [['--on', 'sim', '--do', 'centre leg1'], /take the rods off/],
    [['--on', 'moon', '--do', 'walk lid'], /"moon" is not a target/],
  ])('%j is refused before anything moves', async (words, says) => {
    const rig = files.put('wrong.yaml', OWL);
    const { code, err, out } = await run(['bringup', rig, ...words]);
    expect([code, readFileSync(rig, 'utf8')]).toEqual([2, OWL]);
    expect(err).toMatch(says);
    expect(out).not.toContain('rehearsal');
  });
});

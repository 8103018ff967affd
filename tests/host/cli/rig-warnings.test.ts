/** Warnings of reading a rig are told by `check`; every other command says in one line how many there are. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { GENTLE, OWL, needController, run, scratch } from './fixture.ts';

beforeAll(needController);
const folder = scratch();
afterAll(folder.remove);

/** Two warnings: it falls without power, and its board is not known. */
const WARNED = OWL.replace('rest: on_stop\naudience: bench', 'rest: powered\naudience: bench\nboard: { kind: nano }');
const rig = folder.put('warned.yaml', WARNED);
const spaced = folder.put('two words.yaml', WARNED);
const show = folder.put('show.csv', GENTLE);
const COUNTED = /^2 warnings: posewright check .*warned\.yaml shows them\n$/;

describe('warnings of a rig', () => {
  it('are told in full by check', async () => {
    const { err, code } = await run(['check', rig]);
    expect(code).toBe(0);
    expect(err.match(/warning: /g)?.length).toBeGreaterThanOrEqual(2);
    expect(err).toMatch(/ rest +warning: /);
  });

  it.each([
    ['solve', rig, '--pose', '0,0,0,0,0,0'],
    ['reach', rig],
    ['load', rig],
    ['load', rig, '--json'],
    ['replay', rig, show],
    ['retime', rig, show, '-o', folder.path('slower.csv')],
    ['why', rig],
  ])('are one line after %s', async (...argv) => {
    const { err, code } = await run(argv);
    expect(code).toBeLessThan(2);
    expect(err).toMatch(COUNTED);
  });

  it('are not counted where there are none, and a stream’s own are told still', async () => {
    const quiet = folder.put('quiet.yaml', OWL);
    expect((await run(['solve', quiet, '--pose', '0,0,0,0,0,0'])).err).toBe('');
    const hole = folder.put('hole.csv', 't_s,z_mm\n0,0\n0.02,0\n0.04,0\n8.04,0\n8.06,0\n');
    const { err } = await run(['load', rig, '--stream', hole]);
    expect(err).toMatch(/^2 warnings: posewright check/);
    expect(err).toMatch(/hole\.csv:5 +t_s +warning: nothing is asked/);
  });

  it('name a file with blanks, and standard input, as a shell wants them', async () => {
    expect((await run(['reach', spaced])).err).toMatch(/posewright check ".*two words\.yaml" shows them/);
    expect((await run(['reach', '-'], { stdin: WARNED })).err).toBe('2 warnings: posewright check - shows them\n');
  });

  it('stand beside errors in full', async () => {
    const broken = folder.put('broken.yaml', WARNED.replace('crank_mm: 22', 'crank_mm: none'));
    const { err, code } = await run(['reach', broken]);
    expect(code).toBe(2);
    expect(err).toMatch(/crank_mm/);
    expect(err).not.toMatch(/posewright check/);
  });
});

import { describe, expect, it } from 'vitest';
import { run } from './fixture.ts';

describe('the program', () => {
  it('helps, and exits 0', async () => {
    const { code, out, err } = await run(['--help']);
    expect([code, err]).toEqual([0, '']);
    for (const words of ['check', 'replay', 'Exit code', 'posewright check night-owl.yaml'])
      expect(out).toContain(words);
  });

  it.each(['check', 'replay'])('shows an example of %s', async (command) => {
    for (const argv of [
      [command, '--help'],
      ['help', command],
    ]) {
      const { code, out } = await run(argv);
      expect(code).toBe(0);
      expect(out).toContain(`posewright ${command} night-owl.yaml`);
    }
  });

  it.each([
    ['nothing', []],
    ['an unknown command', ['chek']],
    ['an unknown command that is asked for help', ['chek', '--help']],
    ['help with an unknown command', ['help', 'chek']],
    ['standard output as a file', ['tune', 'package.json', '-o', '-']],
    ['an unknown option', ['check', '--colour', 'x']],
    ['too few arguments', ['replay', 'owl.yaml']],
    ['too many', ['check', 'a', 'b']],
  ])('exits 2 for %s, with words on standard error only', async (_, argv) => {
    const { code, out, err } = await run(argv);
    expect([code, out]).toEqual([2, '']);
    expect(err).not.toBe('');
  });

  it('answers a wrong command line in JSON, when that was asked for', async () => {
    const { code, out } = await run(['replay', 'owl.yaml', '--json']);
    expect(code).toBe(2);
    expect(JSON.parse(out)).toMatchObject({ ok: false, problems: [{ message: "missing required argument 'stream'" }] });
    expect((await run(['check', '--help', '--json'])).out).not.toContain('"ok"');
  });

  it('guesses what was meant', async () => {
    expect((await run(['chek'])).err).toContain('check');
  });
});

import { describe, expect, it } from 'vitest';
import { Command } from 'commander';
import { run } from './fixture.ts';
import { COMMANDS, runCli } from '../../../host/cli/main.ts';

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

  it.each(COMMANDS.map((listed) => [listed.takes, listed] as const))(
    'lists %s as its module has it',
    async (takes, listed) => {
      const program = new Command();
      const silent = { write: () => undefined };
      const io = {
        stdout: silent,
        stderr: silent,
        stdin: process.stdin,
        env: {},
        now: () => 0,
        onInterrupt: () => undefined,
      };
      (await listed.load())(program, io, () => undefined);
      const [command] = program.commands;
      const nameOf = (a: { name(): string; variadic: boolean }): string => `${a.name()}${a.variadic ? '...' : ''}`;
      const arguments_ =
        command?.registeredArguments.map((a) => (a.required ? `<${nameOf(a)}>` : `[${nameOf(a)}]`)) ?? [];
      expect([command?.name(), ...arguments_].join(' ')).toBe(takes);
    },
  );

  it('ends a fault of its own with 3, and says what to send', async () => {
    let err = '';
    const silent = { write: () => undefined };
    const broken = {
      write: () => {
        throw new Error('a fault made for this test');
      },
    };
    const io = {
      stdout: broken,
      stderr: { write: (text: string) => (err += text) },
      stdin: process.stdin,
      env: {},
      now: () => 0,
      onInterrupt: silent.write,
    };
    expect(await runCli(['check', '--schema'], io)).toBe(3);
    expect(err).toMatch(
      /^This is a fault of posewright.* Please report it: send the lines\nbelow, the command as you typed it/,
    );
    expect(err).toMatch(/posewright \d+\.\d+\.\d+, Node v\d+.*\nError: a fault made for this test/);
  });

  it('prints one document for a fault of its own with --json', async () => {
    let [out, writes] = ['', 0];
    const io = {
      stdout: {
        write: (text: string) => {
          if (writes++ === 0) throw new Error('a fault made for this test');
          out += text;
        },
      },
      stderr: { write: () => undefined },
      stdin: process.stdin,
      env: {},
      now: () => 0,
      onInterrupt: () => undefined,
    };
    expect(await runCli(['check', 'host/demo/night-owl.yaml', '--json'], io)).toBe(3);
    const message = expect.stringContaining('a fault made for this test');
    expect(JSON.parse(out)).toMatchObject({ ok: false, problems: [{ file: 'posewright', message }] });
  });

  it('guesses what was meant', async () => {
    expect((await run(['chek'])).err).toContain('check');
  });
});

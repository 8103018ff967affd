/** What may be written, and what stands on the disk when something goes wrong. */
import { execFileSync } from 'node:child_process';
import {
  chmodSync,
  existsSync,
  lstatSync,
  mkdirSync,
  readFileSync,
  readdirSync,
  rmSync,
  statSync,
  symlinkSync,
} from 'node:fs';
import { createServer } from 'node:net';
import { once } from 'node:events';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { Output, publish, refusedOutput, writeAll } from '../../../host/cli/outputs.ts';
import { faultWords } from '../../../host/cli/faults.ts';
import { GENTLE, OWL, needController, run, scratch } from './fixture.ts';

const files = scratch();
const owl = files.put('owl.yaml', OWL);
const gentle = files.put('gentle.csv', GENTLE);
const bad = files.put('bad.yaml', OWL.replace('crank_mm: 22', 'crank_mm: many'));
let folder = '';
const at = (name: string): string => join(folder, name);
const left = (): string[] => readdirSync(folder).sort();

beforeAll(needController);
beforeEach(() => {
  folder = files.path('out');
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder);
});
afterAll(() => {
  files.remove();
});

describe('--force', () => {
  it('is needed for a file that is there', async () => {
    files.put('out/page.html', 'old');
    const { code, err } = await run(['reach', owl, '--report', at('page.html')]);
    expect([code, err]).toEqual([2, expect.stringContaining('this file exists already: --force overwrites it')]);
    expect(readFileSync(at('page.html'), 'utf8')).toBe('old');
  });

  it('replaces a regular file, keeps its mode, and leaves nothing beside it', async () => {
    files.put('out/page.html', 'old');
    chmodSync(at('page.html'), 0o640);
    expect((await run(['reach', owl, '--report', at('page.html'), '--force'])).code).toBe(0);
    expect(readFileSync(at('page.html'), 'utf8')).toContain('<!doctype html>');
    expect(statSync(at('page.html')).mode & 0o777).toBe(0o640);
    expect(left()).toEqual(['page.html']);
  });

  it('leaves a link a link: the file it leads to is replaced, with its mode', async () => {
    mkdirSync(at('far'));
    files.put('out/far/page.html', 'old');
    chmodSync(at('far/page.html'), 0o600);
    symlinkSync('far/page.html', at('link.html'));
    expect((await run(['reach', owl, '--report', at('link.html')])).code).toBe(2);
    expect((await run(['reach', owl, '--report', at('link.html'), '--force'])).code).toBe(0);
    expect(lstatSync(at('link.html')).isSymbolicLink()).toBe(true);
    expect(readFileSync(at('far/page.html'), 'utf8')).toContain('<!doctype html>');
    expect(statSync(at('far/page.html')).mode & 0o777).toBe(0o600);
    expect([left(), readdirSync(at('far'))]).toEqual([['far', 'link.html'], ['page.html']]);
  });

  it.each(['', '--force'])('does not replace a link that leads nowhere, nor one in a circle (%s)', async (force) => {
    symlinkSync('nowhere.html', at('link.html'));
    symlinkSync('circle.html', at('circle.html'));
    for (const [name, words] of [
      ['link.html', 'this is a link to nowhere.html, which is not there'],
      ['circle.html', 'this is a link to circle.html, which is not there'],
    ] as const) {
      const { code, err } = await run(['reach', owl, '--report', at(name), ...(force ? [force] : [])]);
      expect([code, err]).toEqual([2, expect.stringContaining(words)]);
      expect(lstatSync(at(name)).isSymbolicLink()).toBe(true);
    }
    expect(left()).toEqual(['circle.html', 'link.html']);
  });

  it('refuses what is no regular file', async () => {
    mkdirSync(at('folder'));
    execFileSync('mkfifo', [at('pipe')]);
    const server = createServer().listen(at('socket'));
    await once(server, 'listening');
    symlinkSync('/dev/null', at('link'));
    const refused: readonly (readonly [string, string])[] = [
      [at('folder'), 'this is a folder, not a file'],
      [at('pipe'), 'this is a pipe, not a file'],
      [at('socket'), 'this is a socket, not a file'],
      [at('link'), 'this is a device, not a file'],
      ['/dev/full', 'this is a device, not a file'],
      ['/dev/null', 'this is a device, not a file'],
      [at('new/'), 'this is the name of a folder'],
      ['', 'this is no name'],
      ['-', 'only a file can be written here'],
    ];
    const told = refused.map(([path]) => refusedOutput(path, true, []));
    server.close();
    expect(told).toEqual(refused.map(([, words]) => expect.stringContaining(words)));
  });

  it('never writes over what is read, by whatever name', () => {
    symlinkSync(gentle, at('link.csv'));
    for (const path of [gentle, at('link.csv')])
      expect(refusedOutput(path, true, [owl, gentle])).toMatch(/this file is one of the inputs/);
  });
});

describe('what cannot be written is said before any work is done', () => {
  const long = 'x'.repeat(300);
  const PLACES = (): readonly (readonly [string, RegExp])[] => [
    ['/proc/x.html', /^no file can be made in \/proc$/],
    [at('no/such/x.html'), /^there is no folder .*no\/such$/],
    [join(gentle, 'x.html'), /part of this path is a file, not a folder/],
    [at(`${long}.html`), /this name is too long for this disk/],
  ];

  it('in words', () => {
    for (const [path, words] of PLACES()) expect(refusedOutput(path, false, [])).toMatch(words);
  });

  it.each([
    ['reach', []],
    ['load', []],
    ['why', [gentle]],
    ['replay', [gentle]],
    ['retime', [gentle, '-o', 'never.csv']],
    ['tune', []],
  ] as const)('by %s --report', async (command, more) => {
    for (const [path, words] of PLACES()) {
      // A rig with a fault in it would be told of next: the place is asked about first.
      const { code, err } = await run([command, owl, ...more, '--report', path]);
      expect(code).toBe(2);
      expect(err).toContain(path);
      expect(err.slice(err.indexOf(path) + path.length + 2).split('\n')[0]).toMatch(words);
    }
    expect(existsSync('never.csv')).toBe(false);
  });

  it.each([
    ['reach', [bad]],
    ['load', [bad]],
    ['why', [bad, gentle]],
    ['replay', [bad, gentle]],
    ['retime', [bad, gentle, '-o', 'never.csv']],
    ['tune', [bad]],
    ['check', [bad]],
    ['wiring', [bad]],
    ['compare', [bad, owl]],
    ['log', ['--on', 'usb', '--rig', bad]],
    ['shows', ['run', 'dusk', '--on', 'sim', '--rig', bad, '--night', bad]],
  ] as const)('by %s --report: that a page ends in .html', async (command, argv) => {
    files.put('out/notes.txt', 'mine');
    const PAGE = /^the page is HTML: name a file that ends in \.html$/;
    for (const [name, words] of [
      ['x.txt', PAGE],
      ['x', PAGE],
      ['.html', PAGE],
      // Another name is needed: --force would be no way out.
      ['notes.txt', PAGE],
      ['no/x.txt', /^there is no folder/],
    ] as const) {
      const { code, out, err } = await run([command, ...argv, '--report', at(name)]);
      expect([code, out]).toEqual([2, '']);
      expect(err.slice(err.indexOf(at(name)) + at(name).length + 2).split('\n')[0]).toMatch(words);
      expect(err).not.toContain('crank_mm');
    }
    expect(readFileSync(at('notes.txt'), 'utf8')).toBe('mine');
    expect(left()).toEqual(['notes.txt']);
    // By any case, and the short ending.
    for (const name of ['X.HTML', 'x.htm'])
      expect((await run([command, ...argv, '--report', at(name)])).err).not.toContain('the page is HTML');
  });

  it.each([
    ['replay', [gentle]],
    ['retime', [gentle]],
    ['tune', []],
  ] as const)('by %s -o', async (command, more) => {
    for (const [path] of PLACES()) {
      const { code, err } = await run([command, owl, ...more, '-o', path]);
      expect([code, err]).toEqual([2, expect.stringContaining(path)]);
    }
  });

  it('a name of 250 letters is no trouble', async () => {
    const name = `${'y'.repeat(245)}.html`;
    expect((await run(['reach', owl, '--report', at(name)])).code).toBe(0);
    expect(left()).toEqual([name]);
  });
});

describe('two files', () => {
  it('are written together', () => {
    expect(
      writeAll(
        [
          { path: at('a'), text: 'A' },
          { path: at('b'), text: 'B' },
        ],
        false,
      ),
    ).toBeNull();
    expect([readFileSync(at('a'), 'utf8'), readFileSync(at('b'), 'utf8'), left()]).toEqual(['A', 'B', ['a', 'b']]);
  });

  it.each([true, false])(
    'or not at all: the second’s place is taken meanwhile (the first was there: %s)',
    (wasThere) => {
      if (wasThere) files.put('out/a', 'old');
      const [a, b] = [new Output(at('a'), true), new Output(at('b'), false)];
      a.write('A');
      b.write('B');
      files.put('out/b', 'somebody else’s');
      expect(publish([a, b])).toEqual({ path: at('b'), fault: expect.stringContaining('this file exists already') });
      expect(left()).toEqual(wasThere ? ['a', 'b'] : ['b']);
      expect(readFileSync(at('b'), 'utf8')).toBe('somebody else’s');
      if (wasThere) expect(readFileSync(at('a'), 'utf8')).toBe('old');
    },
  );

  it('or not at all: the second cannot even be begun', () => {
    const path = at('gone/b');
    expect(
      writeAll(
        [
          { path: at('a'), text: 'A' },
          { path, text: 'B' },
        ],
        true,
      ),
    ).toMatchObject({ path });
    expect(left()).toEqual([]);
  });

  it('from retime: the stream is not written where the page cannot be', async () => {
    const argv = ['retime', owl, gentle, '-o', at('new.csv'), '--report', '/proc/page.html'];
    expect((await run(argv)).code).toBe(2);
    expect(left()).toEqual([]);
  });
});

it.each(['EACCES', 'EPERM', 'ENOSPC', 'EDQUOT', 'EFBIG', 'ENAMETOOLONG', 'EROFS', 'EISDIR', 'ENOTDIR', 'ELOOP', 'EIO'])(
  '%s is told in words',
  (code) => {
    const words = faultWords(Object.assign(new Error(`${code}: as the system says it`), { code, syscall: 'open' }));
    expect(words).toMatch(/^[a-z]/);
    expect(words).not.toContain(code);
  },
);

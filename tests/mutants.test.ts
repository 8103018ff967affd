/** The list of `npm run mutants` fits the code as it is: each text that it changes stands exactly once where it looks for it. */
import { existsSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';

interface Mutant {
  /** The fault in one sentence. */
  readonly why: string;
  readonly file: string;
  readonly find: string;
  readonly put: string;
  /** Test files of which one must turn red, and a part of the test's name where not all of them need run. */
  readonly tests: readonly string[];
  readonly only?: string;
  /** A program without which the tests cannot run. */
  readonly needs?: string;
}
const list = JSON.parse(readFileSync('tests/mutants/list.json', 'utf8')) as Mutant[];

it('there are mutants of the controller, of the boards and of the host', () => {
  for (const folder of ['assembly', 'boards', 'host'])
    expect(list.some(({ file }) => file.startsWith(`${folder}/`))).toBe(true);
});

it.each(list)('$file: $why', ({ file, find, put, tests, only }) => {
  expect(readFileSync(file, 'utf8').split(find).length - 1, find).toBe(1);
  expect(put).not.toBe(find);
  expect(tests.length).toBeGreaterThan(0);
  for (const test of tests) {
    expect(existsSync(test), test).toBe(true);
    if (only !== undefined) expect(readFileSync(test, 'utf8')).toContain(only);
  }
});

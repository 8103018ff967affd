import { readFileSync, readdirSync } from 'node:fs';
import { defineConfig } from 'vitest/config';

/** What is measured against a clock on the wall, or draws a page: by itself, after everything else, or a busy machine fails it. */
const ALONE = ['board', 'sound'].map((name) => `tests/host/stage/browser/${name}.test.ts`);
/** Files that put something in a module's place, where the next file in the same process would find it. */
const MOCKING = readdirSync('tests', { recursive: true, encoding: 'utf8' })
  .map((name) => `tests/${name}`)
  .filter((file) => file.endsWith('.test.ts') && /\bvi\.(mock|doMock|resetModules)\(/.test(readFileSync(file, 'utf8')));
/**
 * Each file in a process of its own: those that mock, start processes of their own, or test the page, whose state is its modules'.
 * They are the long ones too, so they come first. The others share two processes: starting one, and its imports into it, took more
 * time than most files' tests.
 */
const APART = [
  'tests/{boards,night}/**/*.test.ts',
  'tests/host/{build,stage}/**/*.test.ts',
  'tests/host/bringup/{true-prop,whole,wrong-answers}.test.ts',
  'tests/host/cli/{bin,boards,bringup-console}.test.ts',
  ...MOCKING,
];
const EVERY = 'tests/**/*.test.ts';
// Projects of one order run by their names' alphabet.
const first = { maxWorkers: 2, sequence: { groupOrder: 0 } };

export default defineConfig({
  test: {
    testTimeout: 120_000,
    hookTimeout: 120_000,
    projects: [
      { extends: true, test: { ...first, name: 'apart', include: APART, exclude: ALONE } },
      {
        extends: true,
        test: { ...first, name: 'together', include: [EVERY], exclude: [...ALONE, ...APART], isolate: false },
      },
      { extends: true, test: { name: 'alone', include: ALONE, maxWorkers: 1, sequence: { groupOrder: 1 } } },
    ],
  },
});

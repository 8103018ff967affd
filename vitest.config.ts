import { defineConfig } from 'vitest/config';

/** What is measured against a clock on the wall, or draws a page: by itself, after everything else, or a busy machine fails it. */
const ALONE = ['board', 'sound'].map((name) => `tests/host/stage/browser/${name}.test.ts`);
/**
 * Each file in a process of its own: those that start processes or put something in a module's place, and the page, whose state
 * is its modules'. They are the long ones too, so they come first. The others share two processes: starting one, and its imports
 * into it, took more time than most files' tests.
 */
const APART = [
  'tests/{boards,night}/**/*.test.ts',
  'tests/host/{build,stage}/**/*.test.ts',
  'tests/host/bringup/{true-prop,whole,wrong-answers}.test.ts',
  'tests/host/cli/{bin,boards,bringup-console,bringup-safety,shows-run,slow-hardware}.test.ts',
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

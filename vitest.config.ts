import { defineConfig } from 'vitest/config';

/** What is measured against a clock on the wall, or draws a page: by itself, after everything else, or a busy machine fails it. */
const ALONE = ['board', 'sound'].map((name) => `tests/host/stage/browser/${name}.test.ts`);

export default defineConfig({
  test: {
    testTimeout: 120_000,
    hookTimeout: 120_000,
    projects: [
      {
        extends: true,
        test: {
          name: 'together',
          include: ['tests/**/*.test.ts'],
          exclude: ALONE,
          maxWorkers: 2,
          sequence: { groupOrder: 0 },
        },
      },
      { extends: true, test: { name: 'alone', include: ALONE, maxWorkers: 1, sequence: { groupOrder: 1 } } },
    ],
  },
});

import { expect, it } from 'vitest';
import { toldIn } from '../../../host/cli/told.ts';
import type { Io } from '../../../host/cli/io.ts';

it('an answer that nobody can give reads "unknown" in every command', () => {
  const io = { stdout: { write: () => true }, env: {} } as unknown as Io;
  expect((['yes', 'mostly', 'no', 'unknown', 'still'] as const).map((word) => toldIn(word, io))).toEqual([
    'yes',
    'mostly',
    'no',
    'unknown',
    'nothing moves',
  ]);
});

/** Answers from a file: what is said of keys that no question has. */
import { describe, expect, it } from 'vitest';
import { readAnswers } from '../../../host/new/answers.ts';

const said = (key: string): string => {
  const read = readAnswers({ [key]: 30 });
  return 'faults' in read ? read.faults.map(({ message }) => message).join() : '';
};

describe('a key that no question has', () => {
  it('without its unit is told the question, not the key that a rig would have', () => {
    expect(said('horn')).toBe('unknown key horn; likely meant: horn_mm');
    expect(said('HEAD')).toBe('unknown key HEAD; likely meant: head_g or head_size_mm');
  });

  it('with a slip in it is told the nearest', () => {
    expect(said('rodd_mm')).toMatch(/the nearest known key is rod_mm/);
  });
});

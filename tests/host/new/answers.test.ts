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

describe('an answer after a wrong one', () => {
  const names = (given: Readonly<Record<string, unknown>>): string[] => {
    const read = readAnswers(given);
    return 'faults' in read ? read.faults.map(({ question }) => question) : [];
  };

  it('that decides what is asked is not said to be out of place', () => {
    const face_servo = [2, 0.1, 0.8];
    expect(names({ face: 'jaw', face_servo })).toEqual(['face']);
    expect(names({ tilt: 'sideways', tilt_servo: face_servo })).toEqual(['tilt']);
    expect(names({ face: [], face_servo })).toEqual(['face_servo']);
  });
});

/** Inputs over time for a replay: read from a file, held from row to row. */
import { describe, expect, it } from 'vitest';
import { SensedRows, readSensed } from '../../../host/replay/sensed.ts';
import { SENSES } from '../../responses.ts';

const read = (text: string): SensedRows => {
  const rows = readSensed(text, SENSES);
  if (!(rows instanceof SensedRows)) throw new Error(JSON.stringify(rows));
  return rows;
};

it('each row holds until the next, from the stream’s own time 0', () => {
  const rows = read('t_s,hand,light,door\n# a comment\n-1,0,1,0\n0.5,1,0.5,0\n\n2,1,0,1\n');
  expect(rows.at(1e9)).toEqual({ closed: 0, analog: [0, 0, 0, 0] });
  rows.zero_us = 2e9;
  expect(rows.at(2e9 - 1.1e6)).toMatchObject({ closed: 0, analog: [0, 0, 0, 0] });
  expect(rows.at(2e9)).toMatchObject({ closed: 0, analog: [0, 0, 0, 65535] });
  expect(rows.at(2e9 + 0.5e6)).toMatchObject({ closed: 0b10, analog: [0, 0, 0, 32768] });
  expect(rows.at(2e9 + 60e6)).toMatchObject({ closed: 0b11, analog: [0, 0, 0, 0] });
});

describe('refused, all at once and with the line', () => {
  it.each([
    ['', 1, /is empty/],
    ['t_s,hand\n', 1, /has no rows; allowed: at least one/],
    ['# held\n\nt_s,hand\n# 0,1\n', 3, /has no rows/],
    ['time,hand\n0,1\n', 1, /found time first; allowed: t_s/],
    ['t_s,foot\n0,1\n', 1, /found foot, which is no input of this rig; allowed: door, hand, left/],
    ['t_s,hand\n0,1\n0,0\n', 3, /found t_s 0; allowed: numbers that increase/],
    ['t_s,hand\n0,0.5\n', 2, /found 0.5 for hand; allowed: 0 \(open\) or 1/],
    ['t_s,light\n0,1.5\n', 2, /found 1.5 for light; allowed: 0 to 1/],
    ['t_s,light\n0\n', 2, /found nothing for light/],
    ['t_s,light\nx,1\n', 2, /found t_s x/],
  ])('%j', (text, line, words) => {
    expect(readSensed(text, SENSES)).toEqual(
      expect.arrayContaining([{ line, message: expect.stringMatching(words) as string }]),
    );
  });

  it('a rig without inputs says where they stand', () => {
    expect(readSensed('t_s,hand\n0,1\n', { inputs: {}, analog: {} })).toMatchObject([
      { line: 1, message: expect.stringMatching(/it has none: inputs stand in the rig file, under night/) },
    ]);
  });
});

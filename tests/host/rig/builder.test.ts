/** What a builder leaves out or sets askew: a servo's centre, the stop, the power switch. Advice of `check`, and of nobody else. */
import { describe, expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { OWL, problemsOf, swap } from './owl.ts';

const advised = (...changes: (readonly [string, string])[]): string[] => {
  const { rig, problems, advice } = readRig(swap(OWL, ...changes));
  expect(rig).not.toBeNull();
  expect(problems.map(({ path }) => path)).not.toContain('board.stop');
  return advice.map(({ path, message }) => `${path}: ${message}`).filter((text) => !text.startsWith('motion.'));
};

describe('a servo’s centre', () => {
  it('that would hold the range is told where the range is lost', () => {
    const [fault] = problemsOf(swap(OWL, ['limit_deg: [5, 55]', 'limit_deg: [5, 95]'])).filter(
      ({ path }) => path === 'joints.lid.limit_deg',
    );
    expect(fault?.severity).toBe('error');
    // The middle of 5 … 95 is 50 deg: centre 1500 - 500 = 1000 µs; a tooth is 14.4 deg, 144 µs: 3 of them are 432 µs.
    expect(fault?.message).toMatch(
      /; centre_us: 1000 would hold both soft limits; with the horn moved by 3 teeth of its spline, so that it stands at 0 with a shorter pulse, it is about centre_us: 1068 \(25 teeth are usual, not measured; 144 µs each\)$/,
    );
  });

  it('is not told where no centre does', () => {
    const [fault] = problemsOf(swap(OWL, ['limit_deg: [5, 55]', 'limit_deg: [-100, 95]'])).filter(
      ({ path }) => path === 'joints.lid.limit_deg',
    );
    expect(fault?.message).toMatch(/leaves -90 … 90 deg$/);
  });

  it('is advised where the range ends at one side only', () => {
    expect(advised(['limit_deg: [5, 55]', 'limit_deg: [5, 90]'])).toEqual([
      expect.stringMatching(
        /^joints\.lid\.centre_us: at the widest pulse 0 µs are left .* 950 µs.*; centre_us: 1025 would hold/,
      ),
    ]);
    expect(advised(['limit_deg: [5, 55]', 'limit_deg: [5, 87]'])).toEqual([]);
  });
});

describe('switches', () => {
  it.each<[string, string, RegExp[]]>([
    ['stop: { pin: 20, category: 1 }, power_pin: 21', 'stop: { pin: 20 }, power_pin: 21', []],
    [
      'stop: { pin: 20, category: 1 }, power_pin: 21',
      'power_pin: 18',
      [/^board\.stop: is not given: .*stop: \{ pin: 19, /],
    ],
    ['stop: { pin: 20, category: 1 }, power_pin: 21', 'stop: { pin: 20 }', [/^board\.power_pin: .*power_pin: 18 on/]],
    [
      'stop: { pin: 20, category: 1 }, power_pin: 21',
      'link: uart0',
      [/^board\.stop: .*pin: 18, /, /^board\.power_pin: .*power_pin: 19 on/],
    ],
  ])('%s → %s', (from, to, wanted) => {
    expect(advised([from, to])).toEqual(wanted.map((words) => expect.stringMatching(words)));
  });

  it('of a rig without a board nothing is told', () => {
    expect(advised([/^board:.*$/m.exec(OWL)![0], ''])).toEqual([]);
  });
});

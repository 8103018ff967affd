/** Figures into a rig's text: they change, a comment beside one says what it was, and not a letter besides. */
import { describe, expect, it } from 'vitest';
import { type FigureChange, withFigures } from '../../../host/rig/edit.ts';

const TEXT = `rig: a   # first
servos:
  s:
    stall: 2   # a guess
    stiff: unknown
  t: { stall: 3 }
parts:
  - { name: p, at_mm: [1, 2, 3] }   # heavy
`;
const by = 'measured by posewright';
const edit = (text: string, ...changes: FigureChange[]): string | null => withFigures(text, changes, by);
const measured = (value: number): FigureChange['to'] => ({ value, from: 'measured', within_percent: 5 });

describe('in place', () => {
  it('writes over a plain figure, and its comment says what it was', () => {
    expect(edit(TEXT, { path: ['servos', 's', 'stall'], to: measured(2.5) })).toBe(
      TEXT.replace(
        '2   # a guess',
        '{ value: 2.5, from: measured, within_percent: 5 }   # measured by posewright; was 2: a guess',
      ),
    );
  });

  it('adds a key behind the last of its group, on a line or within braces', () => {
    const to = measured(4e-6);
    const entry = '{ value: 4e-6, from: measured, within_percent: 5 }';
    expect(edit(TEXT, { path: ['servos', 's', 'new'], to }, { path: ['servos', 't', 'new'], to })).toBe(
      TEXT.replace('unknown\n', `unknown\n    new: ${entry}\n`).replace('stall: 3 }', `stall: 3, new: ${entry} }`),
    );
  });

  it('writes over a number of a list', () => {
    expect(edit(TEXT, { path: ['parts', 0, 'at_mm', 2], to: 3.5 })).toContain('at_mm: [1, 2, 3.5] }');
  });

  it('keeps the line ends of Windows', () => {
    const text = TEXT.replaceAll('\n', '\r\n');
    const made = edit(text, { path: ['servos', 's', 'new'], to: 7 });
    expect(made).toBe(text.replace('unknown\r\n', 'unknown\r\n    new: 7\r\n'));
  });

  it('the same twice says the oldest figure', () => {
    const once = edit(TEXT, { path: ['servos', 's', 'stall'], to: measured(2.5) })!;
    expect(edit(once, { path: ['servos', 's', 'stall'], to: measured(2.6) })).toContain('; was 2: a guess');
  });
});

describe('what is shared', () => {
  it('is given to the one group alone, which merges the other', () => {
    const text = 'servos:\n  a: &a { stall: 2 } # of both\n  b: { <<: *a, frame: 50 }\n';
    const made = edit(text, { path: ['servos', 'b', 'stall'], to: 3 });
    expect(made).toContain('a: &a { stall: 2 } # of both');
    expect(made).toMatch(/b: \{ <<: \*a, frame: 50, stall: 3 \}/);
  });

  it('by an anchor on the group is not changed in the one alone', () => {
    expect(edit('a: &x { k: 1 }\nb: *x\n', { path: ['a', 'k'], to: 2 })).toBeNull();
  });

  it('has no place where there is no group', () => {
    expect(edit(TEXT, { path: ['joints', 'nod', 'load'], to: 2 })).toBeNull();
  });
});

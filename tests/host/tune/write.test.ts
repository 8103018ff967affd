/** New limits in a rig's text: the figures change, a comment beside one says what it was, and not a space besides. */
import { describe, expect, it } from 'vitest';
import type { Figures, TunedJoint } from '../../../host/tune/result.ts';
import { roundedDown } from '../../../host/tune/plan.ts';
import { commentEdits } from '../../../host/tune/comments.ts';
import { withNewLimits } from '../../../host/tune/write.ts';
import { LINEAR, OWL, swap } from '../rig/owl.ts';
import { SICK, axisText, rigIn } from './axes.ts';

type Constant = Pick<Figures, 'speed' | 'plus' | 'minus'> & Partial<Figures>;
const staying = (figures: Constant): Figures => ({ plus_gone: Infinity, minus_gone: Infinity, ...figures });
const joint = (path: string, file: Constant, limits: Constant, unit: 'deg' | 'mm' = 'deg'): TunedJoint => ({
  name: path,
  path,
  unit,
  outcome: 'tuned',
  file: staying(file),
  limits: staying(limits),
  could: null,
  full_range_s: { before: 1, after: 1 },
  bound_by: '',
  before: null,
  after: null,
});
const nod = (limits: Constant): TunedJoint => joint('joints.nod', { speed: 70, plus: 1500, minus: 1200 }, limits);

describe('in place', () => {
  it('writes over the figures that change, and nothing else', () => {
    const text = withNewLimits(OWL, [nod({ speed: 60.5, plus: 440, minus: 1200 })]);
    expect(text).toBe(
      swap(
        OWL,
        ['speed_deg_s: 70\n', 'speed_deg_s: 60.5\n'],
        ['{ plus: 1500, minus: 1200 }', '{ plus: 440, minus: 1200 }'],
      ),
    );
  });

  it('makes two of one acceleration, and the comment behind it says what it was', () => {
    const before = axisText(SICK['a direct drive']!);
    const file = { speed: 250, plus: 1500, minus: 1500 };
    const text = withNewLimits(before, [joint('joints.tilt', file, { speed: 97.5, plus: 491, minus: 1500 })]);
    expect(text).toBe(
      swap(
        before,
        [
          'accel_deg_s2: 1500     # a guess',
          'accel_deg_s2: { plus: 491, minus: 1500 }     # tuned by posewright; was 1500: a guess',
        ],
        ['speed_deg_s: 250   # it', 'speed_deg_s: 97.5   # tuned by posewright; was 250: it'],
      ),
    );
    expect(rigIn(text!).joints[0]!.plus).toBeCloseTo((491 * Math.PI) / 180, 9);
  });

  it('the legs of cranks and of actuators, with Windows’ line ends as well', () => {
    const legs = joint('motion.leg', { speed: 220, plus: 1500, minus: 2200 }, { speed: 200, plus: 1500, minus: 2000 });
    const wanted = swap(OWL, [
      '{ speed_deg_s: 220, accel_deg_s2: { plus: 1500, minus: 2200 } }',
      '{ speed_deg_s: 200, accel_deg_s2: { plus: 1500, minus: 2000 } }',
    ]);
    expect(withNewLimits(OWL, [legs])).toBe(wanted);
    const windows = (text: string): string => text.replaceAll('\n', '\r\n');
    expect(withNewLimits(windows(OWL), [legs])).toBe(windows(wanted));
    const sticks = joint(
      'motion.leg',
      { speed: 30, plus: 200, minus: 200 },
      { speed: 25, plus: 150, minus: 150 },
      'mm',
    );
    expect(withNewLimits(LINEAR, [sticks])).toBe(
      swap(LINEAR, ['speed_mm_s: 30, accel_mm_s2: 200', 'speed_mm_s: 25, accel_mm_s2: 150']),
    );
  });

  it('a limit that fades: a key of its own behind the accelerations, or over the one there is', () => {
    const before = axisText(SICK['a direct drive']!);
    const file = { speed: 250, plus: 1500, minus: 1500 };
    const fades = { ...file, plus: 900, plus_gone: 121 };
    const text = withNewLimits(before, [joint('joints.tilt', file, fades)])!;
    expect(text).toBe(
      swap(before, [
        'accel_deg_s2: 1500     # a guess\n',
        'accel_deg_s2: { plus: 900, minus: 1500 }     # tuned by posewright; was 1500: a guess\n    accel_gone_at_deg_s: { plus: 121 }\n',
      ]),
    );
    expect(rigIn(text).joints[0]!.plus_gone).toBeCloseTo((121 * Math.PI) / 180, 9);
    expect(rigIn(text).joints[0]!.minus_gone).toBe(Infinity);
    const later = withNewLimits(text, [joint('joints.tilt', fades, { ...fades, plus_gone: 99.5, minus_gone: 300 })]);
    expect(later).toBe(swap(text, ['{ plus: 121 }', '{ plus: 99.5, minus: 300 }']));
    const windows = (lines: string): string => lines.replaceAll('\n', '\r\n');
    expect(withNewLimits(windows(before), [joint('joints.tilt', file, fades)])).toBe(windows(text));
  });

  it('a limit that faded and stays now: its key goes', () => {
    const before = axisText(SICK['a direct drive']!);
    const file = { speed: 250, plus: 1500, minus: 1500 };
    const fades = { ...file, plus: 900, plus_gone: 121 };
    const text = withNewLimits(before, [joint('joints.tilt', file, fades)])!;
    const stays = withNewLimits(text, [joint('joints.tilt', fades, file)])!;
    expect(stays).not.toContain('accel_gone_at');
    expect(stays).toContain('# it looked good');
    const { plus, plus_gone } = rigIn(stays).joints[0]!;
    expect([(plus * 180) / Math.PI, plus_gone]).toEqual([expect.closeTo(1500, 9), Infinity]);
  });

  it('the same inside braces', () => {
    const lid = joint(
      'joints.lid',
      { speed: 400, plus: 4000, minus: 4000 },
      { speed: 400, plus: 4000, minus: 4000, plus_gone: 350 },
    );
    expect(withNewLimits(OWL, [lid])).toBe(
      swap(OWL, ['accel_deg_s2: 4000', 'accel_deg_s2: 4000, accel_gone_at_deg_s: { plus: 350 }']),
    );
  });

  it('a comment tells the oldest figure, however often it is tuned, and a # in quotes begins none', () => {
    const before = swap(OWL, ['speed_deg_s: 70\n', 'speed_deg_s: 70   # a first guess\n']);
    const once = withNewLimits(before, [nod({ speed: 60.5, plus: 1500, minus: 1200 })])!;
    expect(once).toContain('speed_deg_s: 60.5   # tuned by posewright; was 70: a first guess\n');
    const slower = joint(
      'joints.nod',
      { speed: 60.5, plus: 1500, minus: 1200 },
      { speed: 50, plus: 1500, minus: 1200 },
    );
    expect(withNewLimits(once, [slower])).toBe(swap(once, ['speed_deg_s: 60.5', 'speed_deg_s: 50']));
    const flow = "{ servo: 'neck # 1', speed_deg_s: 70 }   # mine\n";
    const at = flow.indexOf('70');
    expect(commentEdits(flow, [{ from: at, to: at + 2 }]).map(({ text }) => text)).toEqual([
      " tuned by posewright; was { servo: 'neck # 1', speed_deg_s: 70 }: mine",
    ]);
  });

  it('leaves a file without changes as it is', () => {
    expect(withNewLimits(OWL, [])).toBe(OWL);
    expect(withNewLimits(OWL, [{ ...nod({ speed: 1, plus: 1, minus: 1 }), outcome: 'cannot_hold' }])).toBe(OWL);
  });
});

describe('figures that are shared', () => {
  const shared = swap(
    OWL,
    ['{ plus: 1500, minus: 1200 }', '&quick { plus: 1500, minus: 1200 }'],
    ['accel_deg_s2: 4000', 'accel_deg_s2: *quick'],
  );

  it('an alias becomes figures of its own', () => {
    const lid = joint('joints.lid', { speed: 400, plus: 1500, minus: 1200 }, { speed: 400, plus: 900, minus: 1200 });
    const text = withNewLimits(shared, [lid])!;
    const [, , , , , , before, after] = rigIn(text).joints;
    expect([before!.plus, after!.plus].map((rad) => Math.round((rad * 180) / Math.PI))).toEqual([1500, 900]);
    expect(text).toContain('&quick { plus: 1500, minus: 1200 }');
  });

  it('an anchor that others use is not changed behind their back', () => {
    expect(withNewLimits(shared, [nod({ speed: 70, plus: 900, minus: 1200 })])).toBeNull();
    const text = withNewLimits(shared, [nod({ speed: 60, plus: 1500, minus: 1200 })]);
    expect(text).toBe(swap(shared, ['speed_deg_s: 70\n', 'speed_deg_s: 60\n']));
  });
});

describe('rounding', () => {
  it.each([
    [45.98, 45.9],
    [45.9, 45.9],
    [1234.5, 1230],
    [9999, 9990],
    [0.012349, 0.0123],
    [100, 100],
  ])('%d deg becomes %d, never more', (value, wanted) => {
    expect(roundedDown(value)).toBe(wanted);
  });
});

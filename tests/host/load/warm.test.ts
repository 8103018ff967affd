/** Servos that hold with more than they may for long: along a stream, at rest, where holding takes most; by hand from m·g·arm. */
import { describe, expect, it } from 'vitest';
import { load } from '../../../host/load/load.ts';
import type { LoadAnswer } from '../../../host/load/result.ts';
import { carryWords } from '../../../host/load/words.ts';
import { HOME } from '../../../host/rig/rig.ts';
import { TILT, rigFrom, streamOf } from './rigs.ts';

/** 12 kg hanging 50 mm below the axis: nothing to hold at 0 deg, m·g·arm·sin θ elsewhere, of 1.5·3·0.9 = 4.05 N·m at the axis. */
const HANGS = [['mass_kg: 0.9, at_mm: [50, 0, 0]', 'mass_kg: 12, at_mm: [0, 0, -50]']] as const;
const MOMENT_NM = 12 * 9.80665 * 0.05;
const STALL_NM = 1.5 * 3 * 0.9;

/** Degrees of the nod over time. */
interface Course {
  readonly seconds: number;
  readonly deg: (t_s: number) => number;
}

const answerOf = (changes: readonly (readonly [string, string])[], course?: Course): LoadAnswer => {
  const rig = rigFrom(TILT, ...changes);
  const stored = course && streamOf(rig, course.seconds, (t_s) => ({ joints: [course.deg(t_s), 0] }));
  const stream = stored ? { name: 'lean.csv', stored } : null;
  const answer = load(rig, { pose: HOME, without: [], stream });
  if ('refused' in answer) throw new Error(answer.refused);
  return answer;
};

/** Leans to so many degrees and back in 10 s. */
const lean = (deg: number): Course => ({ seconds: 10, deg: (t_s) => (deg / 2) * (1 - Math.cos((Math.PI * t_s) / 5)) });

describe('a servo that holds with more than it may for long', () => {
  it('along a stream makes the answer mostly, with how long on end', () => {
    const answer = answerOf(HANGS, lean(25));
    const [warm] = answer.warm;
    expect(warm).toMatchObject({ joint: 'nod', where: 'stream' });
    const share = (MOMENT_NM * Math.sin((25 * Math.PI) / 180)) / STALL_NM;
    expect(warm!.share).toBeCloseTo(share, 2);
    // Above half of the torque beyond asin(0.5·4.05 / 5.884) = 20.13 deg, and the lean is there for 2.91 s.
    const there = Math.asin((0.5 * STALL_NM) / MOMENT_NM) / ((12.5 * Math.PI) / 180);
    expect(warm!.for_s).toBeCloseTo((2 * (Math.PI - Math.acos(1 - there)) * 5) / Math.PI, 1);
    const { verdict, because } = carryWords(answer);
    expect(verdict).toBe('mostly');
    expect(because).toMatch(
      /^nod needs up to 61 % of its torque to hold along lean\.csv for 2\.9 s without a break from 3\.\d\d s/,
    );
    expect(because).toContain('its continuous limit is 50 %. What helps: shorter holds, a counterweight, less weight');
    expect(because).toContain(`or a servo with a stall torque of ${((1.5 * share) / 0.5).toFixed(2)} N·m`);
    expect(answer.ok).toBe(true);
  });

  it('a stream that stays below is a yes, wherever else its soft limits would let it go', () => {
    expect(carryWords(answerOf(HANGS, lean(18))).verdict).toBe('yes');
  });

  it('without a stream is judged where holding takes most, and says where', () => {
    const { verdict, because } = carryWords(answerOf(HANGS));
    expect(verdict).toBe('mostly');
    expect(because).toMatch(
      /at the hardest pose within its soft limits \(nod -?25 deg\); its continuous limit is 50 %/,
    );
    expect(carryWords(answerOf([])).verdict).toBe('yes');
  });

  it('at rest counts where the prop rests powered, and nowhere else', () => {
    const parked = [
      ...HANGS,
      ['gear_ratio: 3', 'gear_ratio: 3\n    rest_deg: 25'],
      ['rest: hanging', 'rest: powered'],
    ] as const;
    expect(answerOf(parked, lean(10)).warm).toMatchObject([{ joint: 'nod', where: 'rest', for_s: null }]);
    expect(carryWords(answerOf(parked, lean(10))).because).toContain('at rest, where it stays powered');
    expect(answerOf(parked.slice(0, -1), lean(10)).warm).toEqual([]);
  });

  it('a push shorter than a second is no hold', () => {
    const nudge = { seconds: 4, deg: (t_s: number) => 25 / (1 + ((t_s - 2) / 0.2) ** 4) };
    const { joints, warm } = answerOf(HANGS, nudge);
    expect(joints[0]!.along!.hot!.for_s).toBeGreaterThan(0.1);
    expect(warm).toEqual([]);
  });
});

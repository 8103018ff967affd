/** From a measured wobble to its cure in the rig file. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { modesAt } from '../../../host/physics/vibration/modes.ts';
import { homePosture } from '../../../host/physics/dynamics/places.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { wobbleDelay_ms } from '../../../host/rig/wobble.ts';
import { type KnownWobble, type WobbleCure, cureFor } from '../../../host/tune/wobble.ts';
import { computedWobble } from '../../../host/tune/computed-wobble.ts';
import { withNewWobble } from '../../../host/tune/wobble-file.ts';
import shapers from '../../published/values/shapers.json' with { type: 'json' };

const OWL = readFileSync('host/demo/night-owl.yaml', 'utf8');
const owl = readRig(OWL).rig!;
const SHAKE: Extract<KnownWobble, { from: 'shake' }> = {
  from: 'shake',
  hz: 3.2041,
  hz_within: 0.01,
  damping: 0.0302,
  damping_within: 0.003,
  column: 'ay',
  from_s: 1.9,
  to_s: 6.4,
  swings: 14.4,
  explained: 0.87,
  drifts: 0,
};
const cured = (measured: Partial<Omit<typeof SHAKE, 'from'>> & { from?: 'shake' | 'swings' } = {}, rig: Rig = owl) => {
  const cure = cureFor(rig, { ...SHAKE, ...measured });
  if ('problem' in cure) expect.fail(cure.problem);
  return cure;
};

describe('which cure', () => {
  it('a well measured wobble: tolerant; found, cured, and what it costs, in words', () => {
    const cure = cured();
    expect(cure).toMatchObject({ from: 'shake', cure: 'tolerant', hz: 3.204, damping: 0.03 });
    // Undamped, at most 5 % is left in a range that is 0.287 of the frequency wide (Singhose 2009); damping changes little.
    const { ZVD } = shapers['sh-insensitivity-5pct'].derived;
    expect(cure.quiet_hz[0]).toBeCloseTo(3.204 * (1 - ZVD / 2), 1);
    expect(cure.quiet_hz[1]).toBeCloseTo(3.204 * (1 + ZVD / 2), 1);
    const text = withNewWobble(OWL, cure);
    expect(cure.delay_ms).toBeCloseTo(wobbleDelay_ms(readRig(text).rig!), 9);
    expect(cure.words).toEqual([
      'it wobbles at 3.204 Hz, give or take 0.010 Hz, with a damping of 0.030, give or take 0.003 (19 times in 20): a swing is half as large after 3.7 more; from 14 swings in the column ay, 1.90 to 6.40 s, of whose motion one decaying swing explains 87 %',
      expect.stringMatching(/^cure: tolerant, which leaves about 5 % at most of a wobble from 2\.7\d to 3\.6\d Hz$/),
      expect.stringMatching(
        /^it costs 14\d ms: .* quick turns of 7 of 10 joints, which move the weight, are rounded off$/,
      ),
      'it was measured in one pose, at the weight the prop had then: measure again when that changes',
    ]);
  });

  it('one that is known worse: broad; worse than that: said', () => {
    expect(cured({ hz_within: 0.55 }).cure).toBe('broad');
    const vague = cured({ hz_within: 1 });
    expect(vague.cure).toBe('broad');
    expect(vague.words.join()).toMatch(/not precise enough/);
  });

  it('one that is too slow for the others: exact; too slow for all: words', () => {
    const slow = cured({ hz: 1.3, hz_within: 0.01 });
    expect(slow.cure).toBe('exact');
    expect(slow.words.join()).not.toMatch(/not precise enough/);
    expect(cured({ hz: 1.3, hz_within: 0.1 }).words.join()).toMatch(/not precise enough/);
    expect(cureFor(owl, { ...SHAKE, hz: 0.3 })).toEqual({
      problem: expect.stringMatching(/cannot look back far enough/),
    });
  });

  it('what to know: poor damping, a frequency that changes', () => {
    expect(cured({ damping_within: 0.03 }).words.join()).toMatch(/the damping is imprecise/);
    expect(cured({ drifts: 0.021 }).words.join()).toMatch(/small swings are 2\.1 % faster than large ones/);
    expect(cured({ drifts: -0.021 }).words.join()).toMatch(/2\.1 % slower/);
  });

  it('counted swings', () => {
    const cure = cured({ from: 'swings', swings: 8, hz_within: 0.13, damping_within: 0.01 });
    expect(cure.cure).toBe('tolerant');
    expect(cure.words[0]).toMatch(/from 8 counted swings$/);
  });
});

describe('into the file', () => {
  const FIGURES = { cure: 'tolerant', hz: 3.204, damping: 0.03 } as const;
  const FLOW = 'wobble: { cure: tolerant, hz: 3.204, damping: 0.03 }';

  it('where there is a group: nothing else changes', () => {
    expect(withNewWobble(OWL, FIGURES)).toBe(OWL.replace('wobble: { cure: none }', FLOW));
  });

  it('where there is none: a line behind the last of motion, comments in their places', () => {
    const without = OWL.replace('  wobble: { cure: none }\n', '');
    const [head, tail] = without.split(/(?=\nsupply:)/) as [string, string];
    const written = withNewWobble(without, FIGURES);
    expect(written).toBe(`${head.trimEnd()}\n  ${FLOW}\n${tail}`.replace(/\n\n\nsupply/, '\n\nsupply'));
    expect(readRig(written).rig!.motion.wobble).toEqual(FIGURES);
  });

  it.each([
    ['a motion in one line', 'motion: { tick_hz: 200 }'],
    ['no motion', ''],
    [
      'a wobble over several lines',
      'motion:\n  wobble:   # guessed\n    cure: exact\n    hz: 2   # heard\n    damping: 0.1\n  tick_hz: 100',
    ],
    [
      'a last key over several lines',
      'motion:\n  tick_hz: 100\n  leg:\n    speed_deg_s: 200   # quick\n    accel_deg_s2:\n      plus: 1500\n      minus: 2000   # heavy',
    ],
    ['no line end behind it', 'motion:\n  tick_hz: 100'],
  ])('%s: the same figures otherwise, comments kept', (_, motion) => {
    const text = `rig: it   # mine\n${motion}`;
    const written = withNewWobble(text, FIGURES);
    expect(written).toMatch(/# mine/);
    for (const comment of ['# heavy', '# quick']) expect(written.includes(comment)).toBe(text.includes(comment));
    expect(written).toMatch(/cure: tolerant/);
    expect(written).not.toMatch(/cure: exact/);
  });
});

describe('computed, before there is a prop', () => {
  const computed = (rig: Rig) => {
    const wobble = computedWobble(rig);
    if ('problem' in wobble) expect.fail(wobble.problem);
    return wobble;
  };
  const stiff = (): Rig => readRig(OWL.replaceAll('stiffness_nm_rad: unknown', 'stiffness_nm_rad: 36')).rig!;

  it('is the lowest swing of load; with stiffness assumed hardly known, and said so', () => {
    const wobble = computed(owl);
    const home = homePosture(owl);
    expect(wobble.hz).toBe(modesAt(owl, home.q, home.pose)!.modes[0]!.hz);
    expect(wobble).toMatchObject({ mostly: ['nod'], assumed: true });
    const { words, cure } = cureFor(owl, wobble) as WobbleCure;
    expect(cure).toBe('broad');
    expect(words[0]).toMatch(
      /^computed, not measured: nod would swing at 8\.4 Hz, give or take 2\.5 Hz, by an assumed servo stiffness/,
    );
    expect(words.at(-1)).toMatch(/real prop swings more slowly: measure it there/);
  });

  it('with measured stiffness it is known better', () => {
    const wobble = computed(stiff());
    expect(wobble.assumed).toBe(false);
    expect((cureFor(owl, wobble) as WobbleCure).cure).toBe('tolerant');
  });

  it('of a joint that a cure does not shape it is not, however slow that one swings', () => {
    const [before, after] = ['inertia_kgm2: 1.2e-5', 'inertia_kgm2: 1.2e-2'];
    expect(OWL).toContain(before);
    const heavyJaw = readRig(OWL.replace(before, after)).rig!;
    const home = homePosture(heavyJaw);
    expect(modesAt(heavyJaw, home.q, home.pose)!.modes[0]!.mostly).toEqual(['jaw']);
    const wobble = computed(heavyJaw);
    expect(wobble.mostly).toEqual(['nod']);
    expect(wobble.hz).toBeCloseTo(computed(owl).hz, 6);
  });

  it('is refused in words where nothing can be computed', () => {
    const bare = readRig(OWL.replaceAll(/stall_torque_(nm|kgcm): .*/g, 'stall_torque_nm: unknown')).rig!;
    expect(computedWobble(bare)).toEqual({ problem: expect.stringMatching(/^no swing can be calculated/) });
  });
});

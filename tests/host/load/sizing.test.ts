/** What a servo would have to give, when the most is asked, and how far the prop sags: by hand. */
import { describe, expect, it } from 'vitest';
import { load } from '../../../host/load/load.ts';
import type { LoadAnswer } from '../../../host/load/result.ts';
import { neededWords, sagWords } from '../../../host/load/sizing-words.ts';
import { HOME, type Rig, toDeg, toRad } from '../../../host/rig/rig.ts';
import { torqueWords } from '../../../host/rig/torque.ts';
import type { StoredStream } from '../../../host/stream/stored.ts';
import { LIFT, OWL, TILT, rigFrom, streamOf } from './rigs.ts';

const G = 9.80665;

function answerOf(rig: Rig, stored?: StoredStream): LoadAnswer {
  const stream = stored ? { name: 'show.csv', stored } : null;
  const answer = load(rig, { pose: HOME, without: [], stream });
  if ('refused' in answer) throw new Error(answer.refused);
  return answer;
}

describe('torques in both units', () => {
  it('1 kgf·cm is 0.0980665 N·m (g of CGPM 1901 over 100)', () => {
    expect(torqueWords(0.0980665 * 20)).toBe('1.96 N·m (20.0 kgf·cm)');
    expect(torqueWords(-1.9)).toBe('1.90 N·m (19.4 kgf·cm)');
    expect(torqueWords(0.003)).toBe('0.003 N·m (0.03 kgf·cm)');
  });
});

describe('along a stream', () => {
  const rig = rigFrom(TILT);
  // The most torque where it turns around, standing; the largest share while it is on its way.
  const w = 2 * Math.PI * 1.5;
  const swing = streamOf(rig, 4, (t) => ({ joints: [10 * (1 - Math.cos(w * t))] }));
  const { joints } = answerOf(rig, swing);
  const { along } = joints[0]!;

  it('peak torque and largest share are told apart, each with its time', () => {
    expect(along!.peak_at_s).not.toBe(along!.at_s);
    expect(Math.abs(along!.peak)).toBeGreaterThan(Math.abs(along!.effort) * 1.01);
    const still = answerOf(
      rig,
      streamOf(rig, 1, () => ({ joints: [0] })),
    ).joints[0]!.along!;
    expect([still.peak, still.peak_at_s]).toEqual([expect.closeTo((0.9 * G * 0.05) / 2.7, 12), still.at_s]);
  });

  it('the peak is where weight and inertia together are largest', () => {
    const J = 0.9 * 0.05 ** 2 + 600e-6 + 9 * 2e-4;
    const effort = (t: number): number => {
      const q = toRad(10) * (1 - Math.cos(w * t));
      return (0.9 * G * 0.05 * Math.cos(q) + J * w * w * (toRad(10) - q)) / 2.7;
    };
    expect(along!.peak).toBeCloseTo(effort(along!.peak_at_s), 2);
    for (let t = 0.1; t < 3.9; t += 0.005) expect(effort(t)).toBeLessThan(along!.peak + 2e-3);
  });
});

describe('what it would take', () => {
  it('a stronger servo has a heavier rotor where it is assumed: the torque that is named is just enough', () => {
    const unknown = ['    rotor_inertia_kgm2: 2.0e-4\n', ''] as const;
    const w = 2 * Math.PI * 2;
    const along = (stall: string) => {
      const rig = rigFrom(TILT, unknown, ['stall_torque_nm: 1.5', `stall_torque_nm: ${stall}`]);
      return answerOf(
        rig,
        streamOf(rig, 3, (t) => ({ joints: [9 * (1 - Math.cos(w * t))] })),
      ).joints[0]!.along!;
    };
    const first = along('1.5');
    expect(first.use).toBeGreaterThan(1);
    const needed = first.needed!;
    // Share and stall torque alone would name too little.
    expect(needed).toBeGreaterThan(1.5 * first.use! * 1.05);
    expect(along(needed.toFixed(6)).use).toBeCloseTo(1, 4);
    expect(along((0.97 * needed).toFixed(6)).use).toBeGreaterThan(1);
  });

  it('a servo of that torque is just enough to hold for long', () => {
    const heavy = rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: 5']);
    const answer = answerOf(heavy);
    const level = (5 * G * 0.05) / 2.7;
    expect(answer.joints[0]!.needs).toBeCloseTo(level / 0.5, 9);
    expect(neededWords(answer)).toBe(
      `servos with a stall torque of at least ${torqueWords(level / 0.5)} for nod, as fast without load`,
    );
    const enough = rigFrom(
      TILT,
      ['mass_kg: 0.9', 'mass_kg: 5'],
      ['stall_torque_nm: 1.5', `stall_torque_nm: ${level / 0.5}`],
    );
    expect(answerOf(enough).troubles).toEqual([]);
    expect(neededWords(answerOf(enough))).toBeNull();
  });

  it('to move: by the share at that speed; none where no torque would do', () => {
    const rig = rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: 3']);
    const stream = streamOf(rig, 3, (t) => ({ joints: [20 * Math.sin(2 * Math.PI * 0.85 * t)] }));
    const answer = answerOf(rig, stream);
    const { along, needs } = answer.joints[0]!;
    expect(along!.use).toBeGreaterThan(1);
    expect(needs).toBeCloseTo(1.5 * along!.use!, 9);
    const fast = answerOf(
      rig,
      streamOf(rig, 2, (t) => ({ joints: [Math.min(130 * t, 25)] })),
    );
    expect(fast.joints[0]!.needs).toBeNull();
  });
});

describe('sag at rest', () => {
  it('an axis: torque over stiffness, down', () => {
    const rig = rigFrom(TILT, ['    frame_hz: 50\n', '    frame_hz: 50\n    stiffness_nm_rad: 20\n']);
    const { sag, ...answer } = answerOf(rig);
    // Behind its gear the stiffness counts with the ratio squared.
    expect(sag.joints[0]).toBeCloseTo(-toDeg((0.9 * G * 0.05) / (20 * 9)), 9);
    expect(sag).toMatchObject({ plate: null, assumed: [] });
    expect(sagWords({ sag, ...answer })).toMatch(/^nod -0\.14 deg; lid -0\.04 deg \(by the stiffness in the file\)$/);
  });

  it('six actuators alike: straight down, by the work of the weight on all of them', () => {
    const rig = rigFrom(LIFT);
    const { sag } = answerOf(rig);
    const [x, y, z, roll, pitch, yaw] = sag.plate!;
    // All their force 1 mm off: 60 N/mm each. m·g·δz = Σ F·δl, F = 60·δl: z = 6·60·δl²/(m·g).
    const dl = Math.abs(sag.joints[0]!);
    expect(z).toBeCloseTo((-6 * 60 * dl ** 2) / (3 * G), 2);
    expect(Math.max(...[x, y, roll, pitch, yaw].map(Math.abs))).toBeLessThan(1e-6);
    expect(sag.assumed).toEqual(['ram']);
  });

  it('twice the stiffness, half the sag; none that is known, none told', () => {
    const at = (stiffness: string) =>
      answerOf(rigFrom(OWL, ['stiffness_nm_rad: unknown', `stiffness_nm_rad: ${stiffness}`])).sag.plate!;
    expect(at('20')[2] / at('40')[2]).toBeCloseTo(2, 1);
    const unknown = rigFrom(OWL, ['stall_torque_nm: 1.9', 'stall_torque_nm: unknown']);
    expect(answerOf(unknown).sag.plate).toBeNull();
  });
});

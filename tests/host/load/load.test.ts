import { describe, expect, it } from 'vitest';
import { load } from '../../../host/load/load.ts';
import type { LoadAnswer } from '../../../host/load/result.ts';
import { MOST_SPARE_KG, PLATE } from '../../../host/load/spare.ts';
import { percents, carryWords, easiestWords, powerWords, troublesWords } from '../../../host/load/words.ts';
import { postureAt, standingPostures } from '../../../host/physics/dynamics/places.ts';
import { Mechanism } from '../../../host/physics/dynamics/mechanism.ts';
import { HOME, type Pose, type Rig, toRad } from '../../../host/rig/rig.ts';
import type { StoredStream } from '../../../host/stream/stored.ts';
import { LIFT, OWL, TILT, rigFrom, streamOf } from './rigs.ts';

const G = 9.80665;

function answerOf(rig: Rig, more: { pose?: Pose; without?: string[]; stream?: StoredStream } = {}): LoadAnswer {
  const stream = more.stream ? { name: 'show.csv', stored: more.stream } : null;
  const answer = load(rig, { pose: more.pose ?? HOME, without: more.without ?? [], stream });
  if ('refused' in answer) throw new Error(answer.refused);
  return answer;
}

const jointOf = (answer: LoadAnswer, name: string) => answer.joints.find((joint) => joint.name === name)!;

describe('a geared axis by hand: 0.9 kg at 50 mm, 3:1 of efficiency 0.9, servo 1.5 N·m and 360 deg/s', () => {
  const rig = rigFrom(TILT);
  /** At the servo, N·m. */
  const level = (0.9 * G * 0.05) / 2.7;

  it('holds m·g·d over ratio and efficiency; hardest where it is level', () => {
    const { hold, hold_use, worst, stall, fastest } = jointOf(answerOf(rig), 'nod');
    expect(hold).toBeCloseTo(level, 12);
    expect(hold_use).toBeCloseTo(level / 1.5, 12);
    expect(worst.effort).toBeCloseTo(level, 12);
    expect(worst.at.joints).toEqual({ nod: expect.closeTo(0, 3) });
    expect([stall, fastest]).toEqual([1.5, expect.closeTo(120, 9)]);
  });

  it('the lid holds most where its arm is level, 20 deg', () => {
    const { hold, worst } = jointOf(answerOf(rig), 'lid');
    expect(hold).toBeCloseTo(0.05 * G * 0.03 * Math.cos(toRad(20)), 12);
    expect(worst.effort).toBeCloseTo(0.05 * G * 0.03, 7);
    expect(worst.at.joints['lid']).toBeCloseTo(20, 1);
  });

  it('spare weight at the head: until half of the torque holds it', () => {
    const spare = answerOf(rig).spare.find(({ at }) => at === 'head')!;
    expect(spare.kg).toBeCloseTo((0.5 * 1.5 * 2.7) / (G * 0.05) - 0.9, 9);
    expect(spare).toMatchObject({ runs_out: 'nod', moving: null });
    expect(spare.because).toContain('50 %');
  });

  it('along a swing: weight, inertia with the rotor behind its gear, and the servo line', () => {
    const [size, hz] = [20, 1.5];
    const w = 2 * Math.PI * hz;
    const stream = streamOf(rig, 4, (t) => ({ joints: [(size * (1 - Math.cos(w * t))) / 2] }));
    const { along } = jointOf(answerOf(rig, { stream }), 'nod');
    const J = 0.9 * 0.05 ** 2 + 600e-6 + 9 * 2e-4;
    const needs = (t: number): { effort: number; use: number } => {
      const q = (toRad(size) * (1 - Math.cos(w * t))) / 2;
      const v = (toRad(size) * w * Math.sin(w * t)) / 2;
      const effort = (J * toRad(size) * w * w * Math.cos(w * t)) / 2 + 0.9 * G * 0.05 * Math.cos(q);
      const line = 1 - Math.max(0, v * Math.sign(effort)) / toRad(120);
      return { effort: effort / 2.7, use: Math.abs(effort) / (1.5 * 2.7 * line) };
    };
    const times = Array.from({ length: 800 }, (_, k) => k / 200).filter((t) => t > 0.1 && t < 3.9);
    const most = Math.max(...times.map((t) => needs(t).use));
    expect(along!.use! / most).toBeCloseTo(1, 2);
    expect(along!.effort / needs(along!.at_s).effort).toBeCloseTo(1, 2);
    expect(along!.peak_speed).toBeCloseTo((size * w) / 2, 0);
    const rms = Math.sqrt(times.reduce((sum, t) => sum + (needs(t).effort / 1.5) ** 2, 0) / times.length);
    expect(along!.rms_use! / rms).toBeCloseTo(1, 1);
    expect(Math.max(...along!.use_over_time.map((use) => use ?? 0))).toBe(along!.use);
  });

  it('asked to be as fast as without load, or faster: no share, but words', () => {
    const answer = answerOf(rig, { stream: streamOf(rig, 2, (t) => ({ joints: [Math.min(130 * t, 25)] })) });
    expect(jointOf(answer, 'nod').along).toMatchObject({ use: null, impossible: 'speed' });
    expect(answer.troubles[0]).toEqual({ cause: 'speed', joint: 'nod' });
    expect(carryWords(answer)).toMatchObject({
      verdict: 'no',
      because: 'along show.csv nod would move at 130 deg/s; even without load its servo only reaches 120 deg/s',
    });
  });

  it('of moments that are all too fast the fastest is told, with its time', () => {
    const at = (t: number): number =>
      t < 0.5 ? 0 : t < 0.55 ? 150 * (t - 0.5) : t < 1 ? 7.5 : 7.5 + 300 * Math.min(t - 1, 0.05);
    const { along } = jointOf(answerOf(rig, { stream: streamOf(rig, 2, (t) => ({ joints: [at(t)] })) }), 'nod');
    expect(along!.impossible).toBe('speed');
    expect(along!.speed).toBeCloseTo(300, 6);
    expect(along!.peak_speed).toBe(along!.speed);
    expect(along!.at_s).toBeGreaterThan(1);
    expect(along!.at_s).toBeLessThanOrEqual(1.05);
  });

  it('current: stall current times torque over stall torque, of all that hold; all stalled', () => {
    const { supply, ...answer } = answerOf(rig);
    const lid = 0.05 * G * 0.03 * Math.cos(toRad(20));
    expect(supply.hold_a).toBeCloseTo((2 * level) / 1.5 + (2 * lid) / 1.5, 9);
    expect(supply).toMatchObject({ stalled_a: 4, gives_a: 10, unknown: [], peak_a: null });
    expect(powerWords({ supply, ...answer }).verdict).toBe('yes');
    const weak = answerOf(rigFrom(TILT, ['current_a: 10', 'current_a: 0.21']));
    expect(weak.troubles).toEqual([{ cause: 'supply', joint: null }]);
    expect(powerWords(weak)).toEqual({
      verdict: 'no',
      because: '0.2 A holding; 4.0 A if all stall; the supply gives 0.2 A',
    });
    // Enough for what is asked, not for all servos stalled at once.
    expect(powerWords(answerOf(rigFrom(TILT, ['current_a: 10', 'current_a: 3'])))).toEqual({
      verdict: 'mostly',
      because: '0.2 A holding; 4.0 A if all stall; the supply gives 3.0 A',
    });
  });

  it('too hot to hold for long; on average too hot', () => {
    const heavy = rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: 5']);
    const hot = answerOf(heavy, { stream: streamOf(heavy, 2, () => ({ joints: [0] })) });
    expect(hot.troubles.map(({ cause }) => cause)).toEqual(['hot', 'heat']);
    expect(troublesWords(hot, hot.troubles)).toEqual([
      'nod holds at home with 61 % of its torque; its continuous limit is 50 %',
      'along show.csv nod works with 61 % of its torque on average; its continuous limit is 50 %',
    ]);
    expect(hot.spare[0]).toMatchObject({ at: 'head', kg: 0, runs_out: 'nod' });
  });

  it('shares that read the same have digits that tell them apart', () => {
    expect(percents(0.61, 0.5)).toEqual(['61 %', '50 %']);
    expect(percents(0.5012, 0.5)).toEqual(['50.1 %', '50.0 %']);
    expect(percents(0.50012, 0.5)).toEqual(['50.01 %', '50.00 %']);
    expect(percents(0.5, 0.5)).toEqual(['50 %', '50 %']);
  });

  it('where spare weight runs out is told by whose place it is', () => {
    expect(answerOf(rig).spare[0]!.holding.when).toMatch(/^(|at its hardest pose|at .* deg)$/);
    expect(answerOf(rigFrom(LIFT)).spare[0]!.holding.when).toMatch(/^(at its hardest pose|at .*deg)$/);
  });

  it('what it rests on: stall torque 10 % lower is the use over 0.9, and moves it most, with the gear’s efficiency', () => {
    const { rests_on, most } = answerOf(rig);
    expect(rests_on.slice(0, 2).find(({ figure }) => figure.startsWith('servos'))).toMatchObject({
      figure: 'servos.neck.stall_torque',
      from: 'given',
      within_percent: 10,
      taken: true,
      use_then: expect.closeTo(most! / 0.9, 9),
    });
    const measured = rigFrom(TILT, [
      'stall_torque_nm: 1.5',
      'stall_torque_nm: { value: 1.5, from: measured, within_percent: 2 }',
    ]);
    expect(answerOf(measured).rests_on.map(({ figure, from }) => [figure, from])).toEqual([
      ['joints.nod.gear_efficiency', 'given'],
      ['parts.head.mass_kg', 'given'],
      ['servos.neck.stall_torque', 'measured'],
    ]);
  });
});

describe('an owl on its side, on a nod', () => {
  const rig = rigFrom(OWL, ['mass_kg: { value: 0.9, from: measured, within_percent: 2 }', 'mass_kg: 0.9']);
  const answer = answerOf(rig);

  it('no place that can be drawn takes more than the hardest found', () => {
    const mechanism = new Mechanism(rig);
    let looked = 0;
    for (const { q, pose } of standingPostures(rig))
      for (const share of [0.3, 0.6, 0.9, 1])
        for (const nod of [-30, -10, 25]) {
          const place = postureAt(rig, pose.map((value) => share * value) as unknown as Pose, [toRad(nod), q[7]!]);
          if (!place || !mechanism.at(place.q, place.pose)) continue;
          looked++;
          rig.joints.forEach((joint, i) => {
            const effort = Math.abs(mechanism.gravity[i]! / (joint.gear_ratio * joint.gear_efficiency));
            expect(effort, joint.name).toBeLessThan(Math.abs(answer.joints[i]!.worst.effort ?? 0) * 1.03 + 1e-9);
          });
        }
    expect(looked).toBeGreaterThan(1000);
  });

  it('the weight that was to spare brings the joint to its limit, to hold and to move', () => {
    const stream = streamOf(rig, 3, (t) => ({
      pose: [0, 0, 0, 0, 3 * (1 - Math.cos(4 * t)), 4 * (1 - Math.cos(3 * t))],
      joints: [4 * (1 - Math.cos(5 * t))],
    }));
    const before = answerOf(rig, { stream });
    const { holding, moving } = before.spare.find(({ at }) => at === PLATE)!;
    const laden = (mass_kg: number): LoadAnswer => {
      const more = {
        name: 'more',
        on: 'moving',
        mass_kg,
        at_mm: [0, 0, 0],
        shape: null,
        inertia_kgmm2: [0, 0, 0],
        fitted: true,
      } as const;
      return answerOf({ ...rig, parts: [...rig.parts, more] }, { stream });
    };
    const held = laden(holding.kg!);
    expect(jointOf(held, holding.runs_out!).worst.use).toBeGreaterThan(0.5 * 0.99);
    for (const { worst } of held.joints) expect(worst.use ?? 0).toBeLessThan(0.5 * 1.02);
    const moved = laden(moving!.kg!);
    expect(jointOf(moved, moving!.runs_out!).along!.use).toBeCloseTo(0.8, 2);
    for (const { along } of moved.joints) expect(along!.use ?? 0).toBeLessThan(0.8 * 1.01);
  });

  it('without a part it is as a rig that has none', () => {
    const bare = { ...rig, parts: rig.parts.filter(({ name }) => name !== 'shell') };
    const [left, none] = [answerOf(rig, { without: ['shell'] }), answerOf(bare)];
    expect(left.without).toEqual(['shell']);
    left.joints.forEach(({ hold, worst }, i) => {
      expect(hold).toBeCloseTo(none.joints[i]!.hold!, 12);
      expect(worst.effort).toBeCloseTo(none.joints[i]!.worst.effort!, 12);
    });
    expect(left.rests_on.map(({ figure }) => figure)).not.toContain('parts.shell.mass_kg');
    // What could hang there instead.
    expect(left.spare.map(({ at }) => at)).toEqual([PLATE, 'shell', 'frame']);
  });

  it('a payload that no pose can hold: the easiest place, and how far off it is', () => {
    const heavy = answerOf(rigFrom(OWL, ['mass_kg: 0.62', 'mass_kg: 30']));
    expect(heavy.ok).toBe(false);
    expect(heavy.troubles[0]!.cause).toBe('hold');
    expect(heavy.easiest!.use).toBeGreaterThan(1);
    expect(easiestWords(heavy)).toContain('no pose was found in which its servos can hold this');
    const some = heavy.joints.map(({ hold_use }) => hold_use ?? 0);
    expect(heavy.easiest!.use).toBeLessThan(Math.max(...some));
  });

  it('a stream that is out of reach in part: the rest counts, and how much that was', () => {
    const stream = streamOf(rig, 2, (t) => ({ pose: [t > 1 ? 200 : 0, 0, 0, 0, 0, 0] }));
    const found = answerOf(rig, { stream });
    expect(found.out_of_reach).toBeGreaterThan(0.4);
    expect(found.out_of_reach).toBeLessThan(0.6);
    expect(jointOf(found, 'leg1').along).not.toBeNull();
    const none = answerOf(rig, { stream: streamOf(rig, 1, () => ({ pose: [200, 0, 0, 0, 0, 0] })) });
    expect(none.out_of_reach).toBe(1);
    expect(jointOf(none, 'leg1').along).toBeNull();
  });

  it('a pose out of reach has no answer', () => {
    expect(load(rig, { pose: [0, 0, 200, 0, 0, 0], without: [], stream: null })).toHaveProperty('refused');
  });

  it('what is unknown is left out and said', () => {
    const found = answerOf(
      rigFrom(
        OWL,
        ['stall_torque_nm: 1.9', 'stall_torque_nm: unknown'],
        ['value: 0.9, from: measured, within_percent: 2', 'value: 0.9'],
      ),
    );
    expect(jointOf(found, 'leg1')).toMatchObject({ hold_use: null, stall: null });
    expect(jointOf(found, 'leg1').hold).not.toBeNull();
    expect(found.left_out.join()).toContain('the stall torque of neck is unknown');
    expect(jointOf(found, 'lid')).toMatchObject({ hold: null, worst: { effort: null } });
    const unweighed = answerOf(rigFrom(OWL, ['mass_kg: 0.62', 'mass_kg: unknown']));
    expect(unweighed.left_out.join()).toContain('the mass of shell is unknown');
    expect(unweighed.unweighed).toEqual(['the mass of shell is unknown: left out']);
    expect(carryWords(unweighed).verdict).toBe('unknown');
    expect(carryWords(unweighed).because).toMatch(/of its torque.*; but the mass of shell is unknown: left out$/);
  });

  it('a supply for all servos stalled is enough whatever they carry; for less it is not told', () => {
    const bare = (current_a: string): LoadAnswer =>
      answerOf(rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: unknown'], ['current_a: 10', `current_a: ${current_a}`]));
    expect(powerWords(bare('4')).verdict).toBe('yes');
    expect(powerWords(bare('3.9')).verdict).toBe('unknown');
  });
});

describe('six actuators', () => {
  it('level, under a weight in the middle: all the same, and the forces lift it', () => {
    const rig = rigFrom(LIFT);
    const answer = answerOf(rig);
    const upright = 150 / rig.joints[0]!.home;
    for (const { name, hold, unit } of answer.joints) {
      expect(unit).toBe('mm');
      expect(hold! * upright * 6, name).toBeCloseTo(3 * G, 9);
    }
    expect(answer.troubles).toEqual([]);
    expect(answer.model[0]).toContain('level on the ground');
    expect(answer.modes!.length).toBe(6);
    expect(answer.spare.every(({ kg }) => kg === null || kg < MOST_SPARE_KG)).toBe(true);
  });

  it('limits so wide that the plate comes to hang loose: said, with where; no numbers without end', () => {
    const wide = answerOf(
      rigFrom(LIFT, ['limit_mm: [150, 170]', 'limit_mm: [135, 195]'], ['at_mm: [0, 0, 50]', 'at_mm: [20, 0, 50]']),
    );
    expect(wide.troubles).toEqual([{ cause: 'loose', joint: null }]);
    expect(carryWords(wide).because).toMatch(/hangs loose, near x .* mm.*: no torque holds it there/);
    for (const { worst } of wide.joints) expect(worst).toMatchObject({ effort: null, use: null, loose: true });
    expect(wide.most).toBeLessThan(1);
  });
});

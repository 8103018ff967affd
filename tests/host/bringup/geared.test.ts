/** The bring-up of joints that are no legs, and of a servo that was changed, held against their truth: a geared axis, a lid. On the simulator. */
import { describe, expect, it } from 'vitest';
import type { Bench } from '../../../host/bringup/session/bench.ts';
import { type Joint, toDeg } from '../../../host/rig/rig.ts';
import { OWL, needController } from '../cli/fixture.ts';
import { done, simBenchOf, told } from './on-bench.ts';
import { PERCH, builtProp } from './perch.ts';
import { beyond_deg, fastest_us_s, pulsing } from './seen-pulses.ts';
import { TrueProp } from './true-prop.ts';
import { type ServoTruth, TrueServo } from './true-servo.ts';

needController();

const PLAIN = { spline_teeth: 25, dead_us: 4, speed_deg_s: 380 } as const;
/** A prop with this joint alone; figures at the joint, behind its gear. */
const propOf = (name: string, pin: number, truth: ServoTruth): TrueProp =>
  new TrueProp([{ name, pin, servo: new TrueServo(truth) }], null);

const found = (bench: Bench, name: string): Joint => bench.rig.joints.find((joint) => joint.name === name)!;

/** Centre to 2 us, scale to 0.5 %, its sense; limits before the stops; the pulses slow, and none left. */
async function expectFound(bench: Bench, prop: TrueProp): Promise<void> {
  const [joint] = prop.joints;
  const { truth } = joint!.servo;
  const { centre_us, us_per_unit, sense, lo, hi } = found(bench, joint!.name);
  expect(Math.abs(centre_us - joint!.servo.pulseAt(0))).toBeLessThan(2);
  expect(Math.abs(us_per_unit / toDeg(1) / truth.us_per_deg - 1)).toBeLessThan(0.005);
  expect(sense).toBe(truth.sense);
  expect(toDeg(lo)).toBeGreaterThan(truth.binds_deg[0]);
  expect(toDeg(hi)).toBeLessThan(truth.binds_deg[1]);
  expect(fastest_us_s(prop, joint!)).toBeLessThan(20 * truth.us_per_deg * 1.06);
  await bench.settle();
  await prop.wait(100_000);
  expect(pulsing(prop)).toBe(0);
}

describe('a geared axis', () => {
  // 3 : 1: a degree of the joint is three of the servo, a tooth of the spline 4.8 deg of the joint.
  const NOD = {
    ...PLAIN,
    spline_teeth: 75,
    speed_deg_s: 127,
    neutral_us: 1518,
    us_per_deg: 3 * 10.25,
    sense: 1,
    horn_deg: 11.2,
    binds_deg: [-34, 18],
    stood_deg: -20,
  } as const;

  it('has its horn moved by teeth as they count behind the gear, and its centre, scale and limits found', async () => {
    const prop = propOf('nod', 8, NOD);
    const bench = await simBenchOf(prop, OWL, 8);
    await done(bench, prop, 'centre nod --rods-off');
    // 11.2 + 18 / 30.75 deg are 2.2 teeth of 4.8 deg.
    expect(prop.asked.filter(({ id }) => id === 'centre.refit').map(({ text }) => text)).toEqual([
      expect.stringMatching(/2 teeth towards minus \(a tooth is 4\.8 deg\)/),
    ]);
    await done(bench, prop, 'walk nod');
    await done(bench, prop, 'scale nod');
    await expectFound(bench, prop);
    const { lo, hi } = found(bench, 'nod');
    // At 18 deg it binds. The other way its drawn limit is before its stop: 28 deg at 30 us a degree.
    expect(toDeg(lo)).toBeCloseTo((-28 * 30) / NOD.us_per_deg, 0);
    expect(toDeg(hi)).toBeGreaterThan(18 - 3);
    expect(beyond_deg(prop, prop.joints[0]!)).toBeLessThan(3);
    await bench.close();
  });
});

describe('a joint of the face', () => {
  const LID = {
    ...PLAIN,
    neutral_us: 1490,
    us_per_deg: 10.3,
    sense: 1,
    horn_deg: -4,
    binds_deg: [-6, 48],
    stood_deg: 5,
  } as const;

  it('that opens one way only is walked that way alone', async () => {
    const prop = propOf('lid', 9, LID);
    const bench = await simBenchOf(prop, OWL, 9);
    for (const verb of ['centre lid --rods-off', 'walk lid', 'scale lid']) await done(bench, prop, verb);
    await expectFound(bench, prop);
    const { lo, hi } = found(bench, 'lid');
    expect(toDeg(lo)).toBeLessThan(0.2);
    expect(toDeg(hi)).toBeGreaterThan(44);
    await bench.close();
  });

  it('that turns out to turn the other way keeps its limits on their side, and is to be walked again', async () => {
    const prop = propOf('lid', 9, { ...LID, sense: -1, binds_deg: [-60, 48] });
    const bench = await simBenchOf(prop, OWL, 9);
    for (const verb of ['centre lid --rods-off', 'walk lid', 'scale lid']) await done(bench, prop, verb);
    expect(prop.said.join('\n')).toMatch(/By the new figures lid was walked from -\S+ to \S+ deg.*walk it again/);
    expect(found(bench, 'lid').walked).toBeNull();
    expect(toDeg(found(bench, 'lid').lo)).toBeCloseTo(0, 6);
    await done(bench, prop, 'walk lid');
    await done(bench, prop, 'scale lid');
    await expectFound(bench, prop);
    expect(toDeg(found(bench, 'lid').hi)).toBeGreaterThan(44);
    await bench.close();
  });
});

describe('a servo that was changed', () => {
  /** The first leg as an earlier servo left it. */
  const OLD = PERCH.replace(
    'leg1: { pin: 2 }',
    'leg1: { pin: 2, centre_us: 1440, sense: -1, us_per_deg: 11.2, limit_deg: [-34, 34], walked_deg: [-34, 34] }',
  );

  it('is centred and walked anew within the old limits, moves for a while, and its scale is measured after', async () => {
    const prop = builtProp({ binds_deg: [-37, 28] });
    const bench = await simBenchOf(prop, OLD);
    await done(bench, prop, 'swap leg1 --rods-off minutes=0.2');
    expect(prop.asked.map(({ id }) => id)).toContain('swap.rods');
    expect(found(bench, 'leg1').walked).not.toBeNull();
    expect(prop.said.at(-1)).toMatch(/narrower soft limits than before.*"scale leg1" measures it/);
    await done(bench, prop, 'scale leg1');
    const [first] = prop.joints;
    const { centre_us, us_per_unit, lo, hi } = found(bench, 'leg1');
    expect(Math.abs(centre_us - first!.servo.pulseAt(0))).toBeLessThan(2);
    expect(Math.abs(us_per_unit / toDeg(1) / first!.servo.truth.us_per_deg - 1)).toBeLessThan(0.005);
    expect(toDeg(hi)).toBeLessThan(28);
    expect(toDeg(hi)).toBeGreaterThan(28 - 3.5);
    expect(toDeg(lo)).toBeGreaterThan(-34.1);
    expect(fastest_us_s(prop, first!)).toBeLessThan(20 * 10.31 * 1.06);
    await bench.close();
  });

  it('ended in its minutes leaves the file as it was', async () => {
    const prop = builtProp();
    const bench = await simBenchOf(prop, OLD);
    prop.looked = () => {
      if (prop.said.some((words) => words.includes('now moves slowly for'))) prop.settleNow = true;
    };
    const outcome = await told(bench, prop, 'swap leg1 --rods-off minutes=0.2');
    expect([outcome.ended, outcome.written, bench.text]).toEqual(['settled by you', null, OLD]);
    await prop.wait(100_000);
    expect(pulsing(prop)).toBe(0);
    await bench.close();
  });
});

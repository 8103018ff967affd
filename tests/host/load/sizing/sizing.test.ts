/** Which servo would do: the same figures as `load` has for a rig with that servo, and what a remedy leaves, by hand. */
import { describe, expect, it } from 'vitest';
import { Demand } from '../../../../host/load/demand.ts';
import { load } from '../../../../host/load/load.ts';
import { geared, withJoint } from '../../../../host/load/sizing/changed.ts';
import { sizing } from '../../../../host/load/sizing/sizing.ts';
import { slowerFor } from '../../../../host/load/sizing/slower.ts';
import type { Group, Offer, Remedy } from '../../../../host/load/sizing/result.ts';
import { homePosture } from '../../../../host/physics/dynamics/places.ts';
import { HOME, type Rig, type Servo, toRad } from '../../../../host/rig/rig.ts';
import { servoClasses } from '../../../../host/rig/servo-classes.ts';
import type { StoredStream } from '../../../../host/stream/stored.ts';
import { LIFT, OWL, TILT, rigFrom, streamOf } from '../rigs.ts';

const G = 9.80665;

const offersOf = (rig: Rig, ...more: readonly Servo[]): Offer[] =>
  [...servoClasses(rig.joints), ...more].map((servo) => ({ servo, price: null }));

function sized(rig: Rig, stored: StoredStream | null = null, more: readonly Servo[] = [], arm_mm = 100) {
  const stream = stored && { name: 'show.csv', stored };
  return sizing(rig, { stream, offers: offersOf(rig, ...more), arm_mm });
}

const groupOf = (rig: Rig, name: string, ...rest: [StoredStream | null, (readonly Servo[])?]): Group =>
  sized(rig, ...rest).groups.find((group) => group.name === name)!;

const remedy = <K extends Remedy['kind']>(group: Group, kind: K): Extract<Remedy, { kind: K }> =>
  group.or.find((one): one is Extract<Remedy, { kind: K }> => one.kind === kind)!;

describe('a class is judged as load judges the rig with it', () => {
  const nodding = (rig: Rig) =>
    streamOf(rig, 3, (t) => ({
      pose: [0, 0, 2 - 2 * Math.cos(5 * t), 0, 0, 0.04 * Math.sin(4 * t)],
      joints: [8 * Math.sin(6 * t), 20],
    }));
  const other = (servo: Servo): Servo => ({
    ...servo,
    name: 'other',
    stall: 0.9,
    no_load_speed: toRad(500),
    rotor_inertia_kgm2: null,
    friction_nm: 0.02,
  });

  it.each([
    ['a geared axis and a lid', TILT],
    ['six cranks on an axis', OWL],
  ])('%s', (_, text) => {
    const rig = rigFrom(text);
    const servo = other(rig.joints[0]!.servo);
    const stored = nodding(rig);
    const changed: Rig = { ...rig, joints: rig.joints.map((joint) => ({ ...joint, servo })) };
    const truth = load(changed, { pose: HOME, without: [], stream: { name: 'show.csv', stored } });
    if ('refused' in truth) throw new Error(truth.refused);
    for (const { joints, classes } of sized(rig, stored, [servo]).groups.filter(({ weighed }) => weighed)) {
      const verdict = classes.find(({ offer }) => offer.servo.name === 'other')!;
      const told = truth.joints.filter(({ name }) => joints.includes(name));
      const use = Math.max(...told.map(({ along, worst }) => Math.max(along!.use ?? Infinity, worst.use!)));
      const heat =
        Math.max(...told.map(({ along, hold_use }) => Math.max(along!.rms_use!, hold_use!))) / servo.continuous_use;
      expect(told.length).toBeGreaterThan(0);
      if (joints.length > 1) {
        expect(verdict.use).toBeLessThanOrEqual(use * (1 + 1e-9));
        continue;
      }
      expect(verdict.use).toBeCloseTo(use, 9);
      expect(verdict.heat).toBeCloseTo(heat, 9);
    }
  });

  it('heat: where it may stay for long, at home and at a rest that stays powered, by hand', () => {
    // 4 kg, 50 mm from the axis, 45 deg below level at home: 20 deg below at 25.
    const at = 50 * Math.SQRT1_2;
    const rig = (rest: string): Rig =>
      rigFrom(
        TILT,
        ['mass_kg: 0.9, at_mm: [50, 0, 0]', `mass_kg: 4, at_mm: [${String(at)}, 0, ${String(-at)}]`],
        ['limit_deg: [-25, 25]', 'limit_deg: [-25, 25]\n    rest_deg: 25'],
        ['rest: hanging', `rest: ${rest}`],
      );
    const heat = (rest: string): number => groupOf(rig(rest), 'nod', null).classes[0]!.heat!;
    const share = (deg: number): number => (4 * G * 0.05 * Math.cos(toRad(deg))) / 2.7 / 1.5 / 0.5;
    expect(heat('hanging')).toBeCloseTo(share(45), 9);
    expect(heat('powered')).toBeCloseTo(share(20), 9);
  });

  it('actuators: newtons, and their speed in mm/s', () => {
    const rig = rigFrom(LIFT);
    const weak = { ...rig.joints[0]!.servo, name: 'weak', stall: 5 };
    const slow = { ...rig.joints[0]!.servo, name: 'slow', no_load_speed: 5 };
    const stored = streamOf(rig, 2, (t) => ({ pose: [0, 0, 3 - 3 * Math.cos(3 * t), 0, 0, 0] }));
    const { classes, least, unit } = groupOf(rig, 'legs', stored, [weak, slow]);
    expect([unit, least?.offer.servo.name]).toEqual(['mm', 'ram']);
    expect(classes.map(({ offer, short }) => [offer.servo.name, short])).toEqual([
      ['ram', null],
      ['weak', 'torque'],
      ['slow', 'speed'],
    ]);
  });
});

describe('of several', () => {
  it('legs: the one that is pressed hardest tells, by its share at home over what it may hold for long', () => {
    const rig = rigFrom(LIFT, ['at_mm: [0, 0, 50]', 'at_mm: [35, 12, 50]']);
    const ram = { ...rig.joints[0]!.servo, continuous_use: 0.1, peak_use: 1 };
    const weak: Rig = { ...rig, joints: rig.joints.map((joint) => ({ ...joint, servo: ram })) };
    const demand = new Demand(weak);
    expect(demand.hold(homePosture(weak))).toBe(true);
    const heats = weak.joints.map((_, i) => demand.share(i) / 0.1);
    const most = Math.max(...heats);
    expect(most).toBeGreaterThan(1.2 * Math.min(...heats));
    const { classes } = groupOf(weak, 'legs', null);
    expect(classes[0]!.worst).toBe(weak.joints[heats.indexOf(most)]!.name);
    expect(classes[0]!.heat).toBeCloseTo(most, 9);
  });

  it('classes that do: the cheapest where all have a price, else the one of least torque', () => {
    const rig = rigFrom(TILT);
    const { servo } = rig.joints[0]!;
    const least = (own: number | null, strong: number | null): string | undefined =>
      sizing(rig, {
        stream: null,
        offers: [
          { servo, price: own },
          { servo: { ...servo, name: 'strong', stall: 4 }, price: strong },
        ],
        arm_mm: 100,
      }).groups[0]!.least?.offer.servo.name;
    expect([least(30, 20), least(20, 30), least(null, 20)]).toEqual(['strong', 'neck', 'neck']);
  });
});

describe('what would make it do', () => {
  // 4.8 kg at 50 mm behind 3:1 of efficiency 0.9: level it holds 0.872 N·m at the servo, and may hold 0.75 for long.
  const heavy = rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: 4.8']);
  const nod = groupOf(heavy, 'nod', null);
  const level = 4.8 * G * 0.05;

  it('names the stall torque that holds for long, by hand', () => {
    expect([nod.least, nod.classes[0]!.short]).toEqual([null, 'heat']);
    expect(nod.needs).toBeCloseTo(level / 2.7 / 0.5, 8);
    expect(sized(heavy).ok).toBe(false);
  });

  it('the counterweight is the lightest: what it leaves just may be held for long', () => {
    const { kg, at_mm, judged } = remedy(nod, 'counterweight');
    const least = (level - 0.5 * 1.5 * 2.7) / (G * 0.1);
    expect(kg).toBeGreaterThanOrEqual(least);
    expect(kg).toBeLessThan(least * 1.1);
    // The head is 50 mm in front of the axis at 0: the weight goes behind it.
    expect(at_mm!.map((value) => Math.round(value) || 0)).toEqual([-100, 0, 0]);
    expect(judged.heat).toBeCloseTo((level - kg * G * 0.1) / 2.7 / 1.5 / 0.5, 9);
  });

  it('the gear: its heat by hand, and pulses that still reach both soft limits', () => {
    const { ratio, judged } = remedy(nod, 'gear');
    expect(judged.heat).toBeCloseTo(level / (ratio * 0.9) / 1.5 / 0.5, 9);
    // 25 deg · 10 µs/deg · ratio within 900 µs.
    expect(ratio).toBeLessThanOrEqual(3.6);
    expect(ratio).toBeGreaterThan(3);
  });

  it('the spring: what it leaves at the ends of the range and in the middle, by hand', () => {
    const { nm_per_deg, free_deg, judged } = remedy(nod, 'spring');
    const left = (deg: number) => Math.abs(level * Math.cos(toRad(deg)) - nm_per_deg * (free_deg - deg));
    expect(judged.heat).toBeCloseTo(left(0) / 2.7 / 1.5 / 0.5, 9);
    expect(judged.use).toBeCloseTo(Math.max(...[-25, -12, 0, 12, 25].map(left)) / 2.7 / 1.5, 2);
    expect(judged.use!).toBeLessThan(0.2);
  });

  it('a weight beside the axis finds its counterweight opposite, and gravity that does not turn a joint none', () => {
    const aslant = groupOf(
      rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: 6'], ['at_mm: [50, 0, 0], in', 'at_mm: [40, 0, 30], in']),
      'nod',
      null,
    );
    const [x, , z] = remedy(aslant, 'counterweight').at_mm!;
    expect([x, z]).toEqual([expect.closeTo(-80, 6), expect.closeTo(-60, 6)]);
    const upright = rigFrom(TILT, ['along: [0, -1, 0]', 'along: [0, 0, 1]']);
    const wild = streamOf(upright, 2, (t) => ({ joints: [20 * Math.sin(9 * t)] }));
    const pan = groupOf(upright, 'nod', wild);
    expect(pan.classes[0]!.enough).toBe(false);
    expect(pan.or.map(({ kind }) => kind)).not.toContain('counterweight');
  });

  it('a counterweight that what carries the joint cannot bear is none', () => {
    // The nod sits on a post that turns about the same direction, 200 mm behind: its head is then 250 mm from the post, and a
    // counterweight at -100 mm weighs on the post 100 mm in front of it.
    const on = (ratio: string): Rig =>
      rigFrom(
        TILT,
        ['mass_kg: 0.9', 'mass_kg: 4.8'],
        [
          'joints:\n',
          `joints:\n  post: { servo: neck, axis: { at_mm: [-200, 0, 0], along: [0, -1, 0] }, gear_ratio: ${ratio}, gear_efficiency: 0.9, limit_deg: [-4, 4], speed_deg_s: 5, accel_deg_s2: 50 }\n`,
        ],
        [
          'axis: { at_mm: [0, 0, 0], along: [0, -1, 0] }\n',
          'axis: { on: post, at_mm: [0, 0, 0], along: [0, -1, 0] }\n',
        ],
      );
    const post = (4.8 * G * 0.25) / 0.75 / 0.9;
    const kinds = (ratio: number): string[] => groupOf(on(ratio.toFixed(3)), 'nod', null).or.map(({ kind }) => kind);
    expect(kinds(post * 1.2)).toContain('counterweight');
    expect(kinds(post * 1.01)).not.toContain('counterweight');
    expect(kinds(post * 1.01)).toContain('spring');
  });

  it('a load of its own is balanced too', () => {
    const lid = groupOf(rigFrom(TILT, ['mass_kg: 0.05, arm_mm: 30', 'mass_kg: 4, arm_mm: 30']), 'lid', null);
    expect(lid.classes[0]!.enough).toBe(false);
    const { at_mm, kg } = remedy(lid, 'counterweight');
    const held = 4 * G * 0.03 * Math.cos(toRad(20));
    const least = (held - 0.75) / (G * 0.1 * Math.cos(toRad(20)));
    expect(at_mm).toBeNull();
    expect(kg / least).toBeGreaterThan(0.999);
    expect(kg / least).toBeLessThan(1.12);
  });

  it('is offered for a smaller class where the one that is there is enough', () => {
    const rig = rigFrom(TILT);
    const tiny = { ...rig.joints[0]!.servo, name: 'tiny', stall: 0.2 };
    const { or, least } = groupOf(rig, 'nod', null, [tiny]);
    expect(least?.offer.servo.name).toBe('neck');
    expect(or.length).toBeGreaterThan(0);
    for (const { offer, judged } of or) expect([offer.servo.name, judged.enough]).toEqual(['tiny', true]);
  });
});

describe('a stream that its servo cannot keep up with, behind whatever gear', () => {
  // 0 to 24 deg and back at 2 Hz, whole cycles: 151 deg/s and 1,900 deg/s² at most, with a heavy rotor; 3:1 leaves it 120 deg/s.
  const swing = (rig: Rig, times: number): StoredStream =>
    streamOf(rig, 3 * times, (t) => ({ joints: [12 - 12 * Math.cos((2 * Math.PI * HZ * t) / times), 20] }));
  const HZ = 2;
  const rig = rigFrom(TILT, ['rotor_inertia_kgm2: 2.0e-4', 'rotor_inertia_kgm2: 2.0e-2']);
  const useIn = (times: number): number => {
    const answer = load(rig, { pose: HOME, without: [], stream: { name: 'show.csv', stored: swing(rig, times) } });
    if ('refused' in answer) throw new Error(answer.refused);
    return answer.joints[0]!.along!.use ?? Infinity;
  };

  it('the least slower tempo, to a step: what load says of the stream played so, and of one step faster', () => {
    const { slower, none_alone } = groupOf(rig, 'nod', swing(rig, 1));
    const { times, judged } = slower!.found!;
    const peak = rig.joints[0]!.servo.peak_use;
    expect(none_alone).not.toBeNull();
    expect(times).toBeGreaterThan(1.1);
    expect(useIn(times)).toBeLessThanOrEqual(peak);
    expect(useIn(times - 0.05)).toBeGreaterThan(peak);
    // Its frames are further apart than those of a stream made at that tempo.
    expect(Math.abs(judged.use! / useIn(times) - 1)).toBeLessThan(0.02);
  });

  it('the nearest gear: no other asks less of the servo', () => {
    const { gear } = groupOf(rig, 'nod', swing(rig, 1)).none_alone!;
    expect(gear!.judged.enough).toBe(false);
    for (const ratio of [gear!.ratio - 0.1, gear!.ratio + 0.1]) {
      const joint = geared(rig.joints[0]!, ratio);
      const other = withJoint(rig, 0, joint);
      const verdict = groupOf(other, 'nod', swing(other, 1)).classes[0]!;
      expect(verdict.margin ?? -1).toBeLessThanOrEqual(gear!.judged.margin!);
    }
  });

  it('none does up to 4 times its time where the servo cannot even hold', () => {
    const heavy = rigFrom(TILT, ['mass_kg: 0.9', 'mass_kg: 90']);
    expect(slowerFor(heavy, [0], swing(heavy, 1))).toEqual({ up_to: 4, found: null });
  });

  it('it is not looked at, rather than said to be none, where the stream has too many ticks or a figure is not known', () => {
    // A few frames over 201 s, at 200 ticks a second.
    const long = streamOf(rig, 0.02, () => ({ joints: [0, 20] }));
    long.setTime(long.count - 1, 201);
    expect(slowerFor(rig, [0], long)).toBeNull();
    const unknown = rigFrom(TILT, ['stall_torque_nm: 1.5', 'stall_torque_nm: unknown']);
    expect(slowerFor(unknown, [0], swing(unknown, 1))).toBeNull();
  });

  it('nothing of it is said where the servo is enough', () => {
    expect(groupOf(rigFrom(TILT), 'nod', null)).toMatchObject({ none_alone: null, slower: null });
  });
});

describe('what is not known is left open', () => {
  it('a stall torque: neither enough nor not, and no exit', () => {
    const answer = sized(rigFrom(TILT, ['stall_torque_nm: 1.5', 'stall_torque_nm: unknown']));
    expect(answer.ok).toBe(true);
    expect(answer.groups[0]).toMatchObject({ least: null, needs: null, or: [] });
    expect(answer.groups[0]!.classes[0]).toMatchObject({ enough: null, use: null, margin: null });
  });

  it('a joint that carries nothing in the file', () => {
    const answer = sized(
      rigFrom(TILT, [', load: { mass_kg: 0.05, arm_mm: 30, arm_level_at_deg: 20, inertia_kgm2: 4.0e-5 }', '']),
    );
    expect(answer.groups[1]).toMatchObject({ name: 'lid', weighed: false, classes: [] });
  });
});

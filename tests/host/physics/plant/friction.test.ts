/** A given dry friction counts wherever a servo is asked for something: by hand, and by the energy that it takes. */
import { describe, expect, it } from 'vitest';
import { Demand } from '../../../../host/load/demand.ts';
import { load } from '../../../../host/load/load.ts';
import { axisAsks } from '../../../../host/physics/servo/asks.ts';
import { boundsOf, legLimits, limitsOf } from '../../../../host/physics/servo/limits.ts';
import { Mechanism } from '../../../../host/physics/dynamics/mechanism.ts';
import { axisPlaces, homePosture, legPlaces, standingPostures } from '../../../../host/physics/dynamics/places.ts';
import { overcome } from '../../../../host/physics/servo/servo-line.ts';
import { HOME, type Rig, toRad } from '../../../../host/rig/rig.ts';
import { OWL, TILT, rigFrom, streamOf } from '../../load/rigs.ts';

const G = 9.80665;
const FRICTION_NM = 0.12;
const rubbing = (text: string): Rig =>
  rigFrom(text, ['    frame_hz: 50\n', `    frame_hz: 50\n    friction_nm: ${FRICTION_NM}\n`]);
const [smooth, rough] = [rigFrom(TILT), rubbing(TILT)];
/** At the axis, behind 3:1. */
const AT_AXIS = 3 * FRICTION_NM;
const J = 0.9 * 0.05 ** 2 + 600e-6 + 9 * 2e-4;
const WEIGHT = 0.9 * G * 0.05;
const STALL = 1.5 * 2.7;
const places = (rig: Rig) => axisPlaces(rig, new Mechanism(rig), 0, [homePosture(rig)]);

describe('moving', () => {
  it('takes as much more as the friction, the way that it goes; holding takes nothing more', () => {
    const stream = streamOf(smooth, 2, (t) => ({
      joints: [t < 0.5 ? 0 : t < 1 ? 40 * (t - 0.5) : 20 - 40 * Math.max(0, t - 1.5)],
    }));
    const at = (rig: Rig, t_s: number): number => {
      const demand = new Demand(rig);
      expect(demand.look(stream, t_s, true)).toBe(true);
      return demand.effort[0]!;
    };
    expect(at(rough, 0.75) - at(smooth, 0.75)).toBeCloseTo(AT_AXIS, 9);
    expect(at(rough, 1.75) - at(smooth, 1.75)).toBeCloseTo(-AT_AXIS, 9);
    for (const still of [0.2, 1.3]) expect(at(rough, still)).toBe(at(smooth, still));
    const held = (rig: Rig): number => {
      const demand = new Demand(rig);
      demand.hold(homePosture(rig));
      return demand.effort[0]!;
    };
    expect(held(rough)).toBe(held(smooth));
  });

  it('there and back takes the work of it: friction times way', () => {
    const [size, hz] = [20, 0.8];
    const stream = streamOf(rough, 4, (t) => ({ joints: [size * Math.sin(2 * Math.PI * hz * t)] }));
    const demand = new Demand(rough);
    let work = 0;
    const [from, to] = [1, 1 + 1 / hz];
    for (let t = from; t < to - 1e-9; t += 1 / 200) {
      expect(demand.look(stream, t, true)).toBe(true);
      work += (demand.effort[0]! * demand.rate[0]!) / 200;
    }
    expect(work / (AT_AXIS * 4 * toRad(size))).toBeCloseTo(1, 2);
  });

  it('load tells of it: peak, share, and what it rests on', () => {
    const stream = { name: 'up.csv', stored: streamOf(rough, 2, (t) => ({ joints: [10 * t] })) };
    const answer = (rig: Rig) => {
      const found = load(rig, { pose: HOME, without: [], stream });
      if ('refused' in found) throw new Error(found.refused);
      return found;
    };
    const [before, after] = [answer(smooth), answer(rough)];
    const more = after.joints[0]!.along!.peak - before.joints[0]!.along!.peak;
    expect(more).toBeCloseTo(AT_AXIS / 2.7, 9);
    expect(after.joints[0]!.hold).toBe(before.joints[0]!.hold);
    expect(before.model.join()).toContain('no friction');
    expect(after.model.join()).toContain('dry friction of neck (friction_nm) where it moves, none to hold');
    expect(after.rests_on.map(({ figure }) => figure)).toContain('servos.neck.friction_nm');
  });

  it('standing is no way to go, whichever way rounding points', () => {
    expect([1e-13, -1e-13, 0, -0].map((v) => overcome(AT_AXIS, v))).toEqual([0, 0, 0, 0]);
    expect([0.01, -0.01].map((v) => overcome(AT_AXIS, v))).toEqual([AT_AXIS, -AT_AXIS]);
  });
});

describe('limits', () => {
  it('plus and minus are less by friction over inertia; more than it has leaves none', () => {
    const [joint] = rough.joints;
    const slow = { speed: 1e-3 };
    const gives = 0.8 * STALL * (1 - 1e-3 / toRad(120));
    const found = limitsOf(joint!, places(rough), slow);
    // The heaviest place for plus is level, at 0; for minus the lightest, at either end.
    expect(found).toMatchObject({
      plus: expect.closeTo((gives - WEIGHT - AT_AXIS) / J, 6),
      minus: expect.closeTo((gives + WEIGHT * Math.cos(toRad(25)) - AT_AXIS) / J, 6),
    });
    expect(limitsOf({ ...joint!, servo: { ...joint!.servo, friction_nm: 1 } }, places(rough))).toEqual({
      none: 'cannot_hold',
    });
  });

  it('no motion within them asks for more than peak_use, friction counted', () => {
    const [joint] = rough.joints;
    const found = limitsOf(joint!, places(rough));
    if ('none' in found) throw new Error(found.none);
    const use = (rig: Rig): number => axisAsks({ ...rig.joints[0]!, ...boundsOf(found) }, places(rig))!.use;
    expect(use(rough)).toBeLessThan(0.8 + 1e-9);
    expect(use(rough)).toBeGreaterThan(0.8 * 0.9);
    expect(use(smooth)).toBeLessThan(use(rough) * 0.97);
  });

  it('what the file’s limits ask grows by it; braking a falling load by as much less', () => {
    const joint = { ...rough.joints[0]!, speed: toRad(40), plus: 20, minus: 20 };
    const asked = axisAsks(joint, places(rough))!;
    const line = 1 - 40 / 120;
    expect(asked.use).toBeCloseTo((20 * J + WEIGHT + AT_AXIS) / STALL / line, 2);
    expect(asked.brake).toBeCloseTo((20 * J + WEIGHT - AT_AXIS) / STALL, 6);
  });

  it('legs alike', () => {
    const [bare, rubbed] = [rigFrom(OWL), rubbing(OWL)];
    const speed = { speed: 1 };
    const of = (rig: Rig) => {
      const at = legPlaces(rig, new Mechanism(rig), standingPostures(rig));
      const found = legLimits(rig.joints.slice(0, 6), at, speed);
      if ('none' in found) throw new Error(found.none);
      return { plus: found.plus, at };
    };
    const [a, b] = [of(bare), of(rubbed)];
    // At the place that bounds it, and so at most by friction over the largest inertia, at least over the smallest.
    const inertias = a.at.flatMap(({ inertia }) => inertia);
    expect(a.plus - b.plus).toBeGreaterThan(FRICTION_NM / Math.max(...inertias) - 1e-9);
    expect(a.plus - b.plus).toBeLessThan(FRICTION_NM / Math.min(...inertias) + 1e-9);
  });
});

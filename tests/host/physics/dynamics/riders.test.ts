/** Face joints weigh: what their loads are to whatever carries them, by hand. */
import { describe, expect, it } from 'vitest';
import { load } from '../../../../host/load/load.ts';
import { Mechanism } from '../../../../host/physics/dynamics/mechanism.ts';
import { modesAt } from '../../../../host/physics/vibration/modes.ts';
import { homePosture } from '../../../../host/physics/dynamics/places.ts';
import { ridersOf, ridingWords } from '../../../../host/physics/dynamics/riders.ts';
import { HOME, type Rig, toRad } from '../../../../host/rig/rig.ts';
import { problemsOf } from '../../rig/owl.ts';
import { OWL, TILT, rigFrom } from '../../load/rigs.ts';

const G = 9.80665;
/** Of the owl’s base on its nod, which looks along x. */
const MOUNT_MM = [30, 0, 55] as const;

const LID = 'lid: { servo: face, limit_deg: [5, 55], speed_deg_s: 400, accel_deg_s2: 4000 }';
const withLid = (more: string): Rig => rigFrom(OWL, [LID, LID.replace(' }', more === '' ? ' }' : `, ${more} }`)]);
const POINT = 'load: { mass_kg: 0.042, arm_mm: 14, inertia_kgm2: 4.0e-6 }';

const held = (rig: Rig): number[] => {
  const mechanism = new Mechanism(rig);
  const { q, pose } = homePosture(rig);
  expect(mechanism.at(q, pose)).toBe(true);
  return [...mechanism.gravity];
};
const nodOf = ({ joints }: Rig): number => joints.findIndex(({ name }) => name === 'nod');

describe('42 g on a lid of the owl, whose plate looks along x on a nod about −y', () => {
  const bare = withLid('');
  const rig = withLid(`at_mm: [-16, 5, 50], ${POINT}`);
  const nod = nodOf(rig);
  /** The plate’s normal lies along x: so far in front of the nod’s axis it weighs. */
  const arm_m = (MOUNT_MM[0] + rig.platform!.home_z_mm + 50) / 1000;

  it('the nod holds m·g·arm more, to rounding; the lid its own load as before', () => {
    expect(held(rig)[nod]! - held(bare)[nod]!).toBeCloseTo(0.042 * G * arm_m, 12);
    expect(held(rig)[nod + 1]).toBeCloseTo(0.042 * G * 0.014 * Math.cos(toRad(5)), 12);
  });

  it('setting the nod going takes m·r² more', () => {
    const inertia = (one: Rig): number => {
      const mechanism = new Mechanism(one);
      mechanism.at(homePosture(one).q, HOME);
      return mechanism.mass[one.joints.length * nod + nod]!;
    };
    const up_m = (MOUNT_MM[2] + 16) / 1000;
    expect(inertia(rig) - inertia(bare)).toBeCloseTo(0.042 * (arm_m ** 2 + up_m ** 2), 12);
  });

  it('the legs carry it: together as much as the same weight as a part', () => {
    const part = '  - { name: speck, on: moving, mass_kg: 0.042, at_mm: [-16, 5, 50], inertia_kgmm2: [0, 0, 0] }\n';
    const asPart = rigFrom(OWL, ['parts:\n', `parts:\n${part}`]);
    held(asPart)
      .slice(0, nod + 1)
      .forEach((effort, i) => expect(held(rig)[i]).toBeCloseTo(effort, 12));
    const hz = (one: Rig): (number | null)[] => modesAt(one, homePosture(one).q, HOME)!.modes.map((mode) => mode.hz);
    expect(hz(rig)[0]).toBeCloseTo(hz(asPart)[0]!, 9);
    expect(hz(rig)[0]).toBeLessThan(hz(bare)[0]! * 0.999);
  });

  it('load says so: at the servo, over ratio and efficiency', () => {
    const holds = (one: Rig): number => {
      const answer = load(one, { pose: HOME, without: [], stream: null });
      if ('refused' in answer) throw new Error(answer.refused);
      return answer.joints[nod]!.hold!;
    };
    const { gear_ratio, gear_efficiency } = rig.joints[nod]!;
    expect(holds(rig) - holds(bare)).toBeCloseTo((0.042 * G * arm_m) / gear_ratio / gear_efficiency, 12);
  });

  it('without a place it weighs at the plate’s origin, and that is said', () => {
    const unplaced = withLid(POINT);
    const origin_m = (MOUNT_MM[0] + rig.platform!.home_z_mm) / 1000;
    expect(held(unplaced)[nod]! - held(bare)[nod]!).toBeCloseTo(0.042 * G * origin_m, 12);
    const words = /^lid weighs at the moving plate’s origin, since the file has no joints\.lid\.at_mm/;
    expect(ridingWords(unplaced)).toEqual([expect.stringMatching(words)]);
    expect(ridingWords(rig)).toEqual([]);
    const answer = load(unplaced, { pose: HOME, without: [], stream: null });
    expect('model' in answer && answer.model.some((line) => words.test(line))).toBe(true);
  });

  it('one of unknown mass is missing to all that carry it', () => {
    const unknown = withLid('load: { mass_kg: unknown, arm_mm: 14 }');
    const gap = new Mechanism(unknown).gaps.find(({ path }) => path === 'joints.lid.load.mass_kg');
    expect(gap!.joints).toEqual(['lid', 'leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6', 'nod']);
  });
});

describe('what carries a load', () => {
  it('a joint with an axis: its axis’ carrier, at the axis', () => {
    const axis = 'axis: { on: nod, at_mm: [40, 10, 20], along: [0, 1, 0] }';
    const rig = withLid(`${axis}, ${POINT}`);
    expect(ridersOf(rig)).toMatchObject([{ name: 'lid', on: 'nod', at_mm: [40, 10, 20], mass_kg: 0.042 }]);
    const nod = nodOf(rig);
    expect(held(rig)[nod]! - held(withLid(''))[nod]!).toBeCloseTo(0.042 * G * 0.04, 12);
    expect(ridingWords(rig)).toEqual([]);
  });

  it('nothing, where there is no platform, or its axis stands on the ground', () => {
    expect(ridersOf(rigFrom(TILT))).toEqual([]);
    const axis = 'axis: { at_mm: [40, 10, 20], along: [0, 1, 0] }';
    expect(ridersOf(withLid(`${axis}, ${POINT}`))).toEqual([]);
  });

  it('a place on the plate of a rig without one is refused', () => {
    const text = TILT.replace('lid: { servo: neck,', 'lid: { servo: neck, at_mm: [0, 0, 1],');
    expect(problemsOf(text)).toContainEqual(
      expect.objectContaining({ path: 'joints.lid.at_mm', message: expect.stringMatching(/has no platform/) }),
    );
  });
});

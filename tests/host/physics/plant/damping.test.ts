/** A wobble that was measured sets how the body on its servos swings, where the plant swings alike; and no other servo's loop. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { dampingOf } from '../../../../host/physics/vibration/decrement.ts';
import { modesAt } from '../../../../host/physics/vibration/modes.ts';
import { loopDamping } from '../../../../host/physics/plant/damping.ts';
import { Plant } from '../../../../host/physics/plant/plant.ts';
import { HOME, type Rig } from '../../../../host/rig/rig.ts';
import { SICK, rigFrom, sickRig } from '../sick.ts';

const FRAME_S = 0.02;
const demo = rigFrom(readFileSync(new URL('../../../../host/demo/night-owl.yaml', import.meta.url), 'utf8'));

const measured = (rig: Rig, hz: number, damping: number): Rig => ({
  ...rig,
  motion: { ...rig.motion, wobble: { cure: 'none', hz, damping } },
  joints: rig.joints.map((joint) => ({ ...joint, servo: { ...joint.servo, deadband_us: 0 }, gear_play_rad: 0 })),
});

const homesOf = ({ joints }: Rig): number[] => joints.map(({ home }) => home);
const lowest = (rig: Rig) => {
  const { modes } = modesAt(rig, homesOf(rig), HOME)!;
  return modes.find(({ hz }) => hz !== null)!;
};

/** Damping ratio of what joint i does, pushed off by so much along a shape: from four swings, turn to turn (logarithmic decrement). */
function decays(rig: Rig, shape: readonly number[], i: number, by: number): number {
  const homes = homesOf(rig);
  const plant = new Plant(rig, { step_s: 0.05e-3 });
  plant.start(homes);
  const rest = plant.joints.map(({ position }) => position);
  plant.joints.forEach((joint, k) => {
    joint.position = joint.rotor = rest[k]! + by * shape[k]!;
  });
  const turns: number[] = [];
  let [before, rising] = [plant.joints[i]!.position, false];
  for (let n = 0; n < 100; n++)
    plant.frame(homes, FRAME_S, () => {
      const now = plant.joints[i]!.position;
      if (rising !== now > before) turns.push(before);
      [rising, before] = [now > before, now];
    });
  const swing = (k: number): number => Math.abs(turns[k]! - turns[k + 1]!);
  return dampingOf(Math.log(swing(1) / swing(9)) / 4);
}

const within = (value: number, lo: number, hi: number): void => {
  expect(value).toBeGreaterThan(lo);
  expect(value).toBeLessThan(hi);
};

test('a measured wobble that the plant has too dies away as it was measured: one axis', () => {
  const bare = sickRig(SICK[2]!);
  const rig = measured(bare, lowest(bare).hz! * 1.1, 0.06);
  within(decays(rig, [1], 0, 0.001) / 0.06, 0.98, 1.02);
});

test('the same: an owl on a nod, in the mode that is lowest', () => {
  const mode = lowest(demo);
  const rig = measured(demo, mode.hz! * 0.95, 0.04);
  const most = mode.shape.findIndex((share) => Math.abs(share) === 1);
  within(decays(rig, mode.shape, most, 0.0005) / 0.04, 0.98, 1.02);
});

describe('what the wobble is not about', () => {
  const rig = measured(demo, lowest(demo).hz!, 0.04);

  test('face servos keep the damping that is assumed of any servo, and that is said', () => {
    const { lead_s, words } = loopDamping(rig);
    rig.joints.forEach(({ kind, name }, i) => {
      expect(lead_s[i] !== null, name).toBe(kind === 'leg' || name === 'nod');
    });
    expect(words.join('; ')).toMatch(
      /leg6, nod: damped so that what swings at .* 0\.04 of critical; every other servo’s loop/,
    );
    const lid = rig.joints.findIndex(({ name }) => name === 'lid');
    const follow = (of: Rig): number[] => {
      const plant = new Plant(of);
      const places: number[] = [];
      for (let k = 1; k <= 20; k++) {
        plant.frame(homesOf(of).with(lid, 0.02 * Math.min(k, 5)), FRAME_S);
        places.push(plant.joints[lid]!.position);
      }
      return places;
    };
    expect(follow(rig)).toEqual(follow({ ...rig, motion: { ...rig.motion, wobble: demo.motion.wobble } }));
  });

  test('a wobble that nothing here swings at changes nothing, and that is said', () => {
    const frame = measured(demo, lowest(demo).hz! / 3, 0.04);
    const { lead_s, words } = loopDamping(frame);
    expect(lead_s.every((lead) => lead === null)).toBe(true);
    expect(words.join('; ')).toMatch(
      /^each servo’s loop is damped to 0\.7 .* is not used: nothing here swings at about/,
    );
  });

  test('without a wobble all is assumed', () => {
    expect(loopDamping(demo).words).toEqual(['each servo’s loop is damped to 0.7 of critical with its load (assumed)']);
  });
});

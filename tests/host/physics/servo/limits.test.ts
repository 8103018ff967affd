/**
 * Limits by hand, by random motions within them, and against the quickest move that any motion could make with the same share of
 * the servo: full torque forth, then full torque back, in the phase plane.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Limits, limitsOf, moveTime } from '../../../../host/physics/servo/limits.ts';
import { Mechanism } from '../../../../host/physics/dynamics/mechanism.ts';
import { axisPlaces, homePosture } from '../../../../host/physics/dynamics/places.ts';
import { useOf } from '../../../../host/physics/servo/servo-line.ts';
import { HOME, type Rig, toRad } from '../../../../host/rig/rig.ts';
import profiles from '../../../published/values/profiles.json' with { type: 'json' };
import { byHand, quickest } from '../quickest.ts';
import { PEAK_USE, SICK, sickRig } from '../sick.ts';

const SEED = 29;
const RANGE = toRad(60);

function limitsFor(rig: Rig): Limits {
  const found = limitsOf(rig.joints[0]!, axisPlaces(rig, new Mechanism(rig), 0, [homePosture(rig)]));
  if ('none' in found) throw new Error(found.none);
  return found;
}

describe.each(SICK)('$name', (it) => {
  const limits = limitsFor(sickRig(it));

  test('spends peak_use at most, by hand, at any place and speed; at its heaviest and from rest all of it', () => {
    const { spends, weighs, inertia } = byHand(it);
    const { speed, plus, minus, plus_gone, minus_gone } = limits;
    let fullest = 0;
    for (let deg = -30; deg <= 30; deg += 0.25)
      for (let k = 0; k <= 20; k++) {
        const up = (Math.min(speed, plus_gone) * k) / 20;
        const down = (Math.min(speed, minus_gone) * k) / 20;
        const raises = inertia * plus * (1 - up / plus_gone) + weighs(toRad(deg));
        expect(raises).toBeLessThan(1.000001 * spends(up));
        expect(inertia * minus * (1 - down / minus_gone) - weighs(toRad(deg))).toBeLessThan(1.000001 * spends(down));
        expect(inertia * plus + weighs(toRad(deg))).toBeLessThan(1.000001 * spends(0));
        fullest = Math.max(fullest, raises / spends(up));
      }
    expect(fullest).toBeCloseTo(1, 6);
  });

  test('raises its load at most 12 % slower than any motion could', () => {
    expect(limits.full_range_s).toBeLessThan(1.12 * quickest(it));
    expect(limits.full_range_s).toBeGreaterThan(quickest(it));
  });
});

test(`no motion within the limits takes more than peak_use of the servo (seed ${SEED})`, () => {
  const share = fc.double({ min: -1, max: 1, noNaN: true });
  fc.assert(
    fc.property(fc.constantFrom(...SICK), share, share, share, (it, place, rate, way) => {
      const rig = sickRig(it);
      const { speed, plus, minus, plus_gone, minus_gone } = limitsFor(rig);
      const v = rate * (rate > 0 ? Math.min(speed, plus_gone) : Math.min(speed, minus_gone));
      const most = plus * (1 - Math.max(0, v) / plus_gone);
      const least = minus * (1 - Math.max(0, -v) / minus_gone);
      const mechanism = new Mechanism(rig);
      expect(mechanism.at([(place * RANGE) / 2], HOME)).toBe(true);
      const effort = new Float64Array(1);
      mechanism.efforts([v], [way > 0 ? way * most : way * least], effort);
      expect(useOf(rig.joints[0]!, effort[0]!, v).use).toBeLessThan(PEAK_USE + 1e-6);
    }),
    { seed: SEED, numRuns: 60 },
  );
});

test('limits of the file that the servo can keep do not fade; a limit that fades already fades no later', () => {
  const rig = sickRig(SICK[0]!);
  const joint = rig.joints[0]!;
  const places = axisPlaces(rig, new Mechanism(rig), 0, [homePosture(rig)]);
  const gentle = { speed: 0.1, plus: 1, minus: 1 };
  expect(limitsOf(joint, places, gentle)).toMatchObject({ ...gentle, plus_gone: Infinity, minus_gone: Infinity });
  const free = limitsFor(rig);
  const fading = limitsOf(joint, places, { plus_gone: free.plus_gone / 2 });
  expect(fading).toMatchObject({ plus_gone: free.plus_gone / 2 });
});

test('what cannot be held has no limits, nor has a servo without figures', () => {
  const places = (rig: Rig) => axisPlaces(rig, new Mechanism(rig), 0, [homePosture(rig)]);
  const heavy = sickRig({ ...SICK[0]!, mass_kg: 4 });
  expect(limitsOf(heavy.joints[0]!, places(heavy))).toEqual({ none: 'cannot_hold' });
  const [joint] = heavy.joints;
  const unknown = { ...joint!, servo: { ...joint!.servo, stall: null } };
  expect(limitsOf(unknown, places(heavy))).toEqual({ none: 'unknown' });
});

test('the time of a trapezoid is that of its closed form', () => {
  const { inputs, derived } = profiles['pr-trapezoid-asym'];
  inputs.forEach(({ L, a, d, v }, k) => {
    expect(moveTime(L, { speed: v, accel: a, gone: Infinity, brake: d })).toBeCloseTo(derived.T[k]!, 6);
  });
});

test('the time of a move whose acceleration fades, against its motion step by step', () => {
  const [distance, speed, accel, gone, brake] = [1, 3, 20, 1.5, 30];
  const dt_s = 1e-6;
  for (const most of [speed, 1.2]) {
    let [x, v, t] = [0, 0, 0];
    while (x + (v * v) / (2 * brake) < distance) {
      v = Math.min(most, v + accel * (1 - v / gone) * dt_s);
      x += v * dt_s;
      t += dt_s;
    }
    expect(moveTime(distance, { speed: most, accel, gone, brake })).toBeCloseTo(t + v / brake, 4);
  }
});

test('a limit of the file a hair above what the servo can keep is lowered by that hair, and does not fade', () => {
  const it = SICK[0]!;
  const joint = sickRig(it).joints[0]!;
  const places = axisPlaces(sickRig(it), new Mechanism(sickRig(it)), 0, [homePosture(sickRig(it))]);
  const speed = 0.3;
  // Heaviest where it is level.
  const { spends, weighs, inertia } = byHand(it);
  const keeps = (spends(speed) - weighs(0)) / inertia;
  const found = limitsOf(joint, places, { speed, plus: keeps * 1.00001, minus: 1 });
  expect(found).toMatchObject({ speed, plus: expect.closeTo(keeps, 9), plus_gone: Infinity });
});

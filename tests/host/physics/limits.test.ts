/**
 * Limits by hand, by random motions within them, and against the quickest move that any motion could make with the same share of
 * the servo: full torque forth, then full torque back, in the phase plane.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Limits, limitsOf, moveTime } from '../../../host/physics/limits.ts';
import { Mechanism } from '../../../host/physics/mechanism.ts';
import { axisPlaces, homePosture } from '../../../host/physics/places.ts';
import { useOf } from '../../../host/physics/servo-line.ts';
import { HOME, type Rig, toDeg, toRad } from '../../../host/rig/rig.ts';
import profiles from '../../published/values/profiles.json' with { type: 'json' };
import { PEAK_USE, ROTOR_KGM2, SICK, type SickAxis, sickRig } from './sick.ts';

const SEED = 29;
const G = 9.80665;
const RANGE = toRad(60);
/** Of all of the torque, away from a full-range move: a quarter of the way from peak_use to all. */
const ANYWHERE = (1 + 3 * PEAK_USE) / 4;

function limitsFor(rig: Rig): Limits {
  const found = limitsOf(rig.joints[0]!, axisPlaces(rig, new Mechanism(rig), 0, [homePosture(rig)]));
  if ('none' in found) throw new Error(found.none);
  return found;
}

/** The axis by hand: torque its peak_use leaves at a speed, its weight's torque, its inertia. */
const byHand = (it: SickAxis) => ({
  spends: (v: number): number =>
    PEAK_USE * it.stall_nm * it.ratio * it.efficiency * Math.max(0, 1 - (toDeg(v) * it.ratio) / it.no_load_deg_s),
  weighs: (q: number): number => ((it.mass_kg * G * it.arm_mm) / 1000) * Math.cos(q),
  inertia: it.inertia_kgm2 + ROTOR_KGM2 * it.ratio ** 2,
});

const STEPS = 20_000;

/** Seconds to raise it from -30 to 30 deg: the fastest there is with peak_use, by squares of the speed over places. */
function quickest(it: SickAxis): number {
  const { spends, weighs, inertia } = byHand(it);
  const step = RANGE / STEPS;
  const at = (k: number): number => toRad(-30) + k * step;
  const forth = new Float64Array(STEPS + 1);
  for (let k = 0; k < STEPS; k++) {
    const rise = (square: number): number =>
      Math.max(0, forth[k]! + (2 * step * (spends(Math.sqrt(square)) - weighs(at(k + 0.5)))) / inertia);
    forth[k + 1] = rise((forth[k]! + rise(forth[k]!)) / 2);
  }
  const back = new Float64Array(STEPS + 1);
  for (let k = STEPS; k > 0; k--) back[k - 1] = back[k]! + (2 * step * (spends(0) + weighs(at(k - 0.5)))) / inertia;
  let seconds = 0;
  const speed = (k: number): number => Math.sqrt(Math.min(forth[k]!, back[k]!));
  for (let k = 0; k < STEPS; k++) seconds += (2 * step) / (speed(k) + speed(k + 1));
  return seconds;
}

/** The same with one speed and one acceleration to it that stay within peak_use on that very move, braking as hard as can be. */
function quickestTrapezoid(it: SickAxis): number {
  const { spends, weighs, inertia } = byHand(it);
  const stop = (spends(0) + weighs(toRad(30))) / inertia;
  const fits = (speed: number, start: number): boolean => {
    for (let k = 0; k <= 200; k++) {
      const run = (RANGE * k) / 200;
      const v = Math.min(speed, Math.sqrt(2 * start * run));
      const pulls = v < speed ? inertia * start : 0;
      if (pulls + weighs(toRad(-30) + run) > spends(v)) return false;
    }
    return true;
  };
  let best = Infinity;
  for (let speed = toRad(1); speed < toRad(it.no_load_deg_s / it.ratio); speed += toRad(0.5)) {
    let [lo, hi] = [0, 1000];
    for (let k = 0; k < 40; k++) {
      const middle = (lo + hi) / 2;
      if (fits(speed, middle)) lo = middle;
      else hi = middle;
    }
    if (lo > 0.01) best = Math.min(best, moveTime(RANGE, { speed, start: lo, stop }));
  }
  return best;
}

describe.each(SICK)('$name', (it) => {
  const limits = limitsFor(sickRig(it));

  test('keeps peak_use by hand on its move, and a reserve anywhere', () => {
    const { spends, weighs, inertia } = byHand(it);
    const { speed, plus, minus } = limits;
    const anywhere = ANYWHERE / PEAK_USE;
    for (let deg = -30; deg <= 30; deg += 0.25) {
      const v = Math.min(speed, Math.sqrt(2 * plus * toRad(deg + 30)));
      const pulls = v < speed ? inertia * plus : 0;
      expect(pulls + weighs(toRad(deg))).toBeLessThan(1.003 * spends(v));
      expect(inertia * plus + weighs(toRad(deg))).toBeLessThan(1.001 * anywhere * spends(speed));
      expect(inertia * minus - weighs(toRad(deg))).toBeLessThan(1.001 * anywhere * spends(speed));
    }
  });

  test('is at most 4 % slower than the best that one speed and one acceleration can do: what the reserve costs', () => {
    expect(limits.full_range_s).toBeLessThan(1.04 * quickestTrapezoid(it));
  });
});

test.each(SICK.filter(({ ratio }) => ratio > 1))(
  '$name raises its load at most 20 % slower than any motion could',
  (it) => {
    expect(limitsFor(sickRig(it)).full_range_s).toBeLessThan(1.2 * quickest(it));
  },
);

test('the direct axis cannot: the quickest trapezoid is a third slower than any motion, since its torque falls with its speed', () => {
  const it = SICK[2]!;
  expect(quickestTrapezoid(it) / quickest(it)).toBeGreaterThan(1.3);
  expect(limitsFor(sickRig(it)).full_range_s).toBeLessThan(1.36 * quickest(it));
});

test(`no motion within the limits takes more than the reserve leaves (seed ${SEED})`, () => {
  const share = fc.double({ min: -1, max: 1, noNaN: true });
  fc.assert(
    fc.property(fc.constantFrom(...SICK), share, share, share, (it, place, rate, way) => {
      const rig = sickRig(it);
      const { speed, plus, minus } = limitsFor(rig);
      const mechanism = new Mechanism(rig);
      expect(mechanism.at([(place * RANGE) / 2], HOME)).toBe(true);
      const effort = new Float64Array(1);
      mechanism.efforts([rate * speed], [way > 0 ? way * plus : way * minus], effort);
      expect(useOf(rig.joints[0]!, effort[0]!, rate * speed).use).toBeLessThan(ANYWHERE + 0.01);
    }),
    { seed: SEED, numRuns: 60 },
  );
});

test('what cannot be held has no limits, nor has a servo without figures', () => {
  const places = (rig: Rig) => axisPlaces(rig, new Mechanism(rig), 0, [homePosture(rig)]);
  const heavy = sickRig({ ...SICK[0]!, mass_kg: 4 });
  expect(limitsOf(heavy.joints[0]!, places(heavy))).toEqual({ none: 'cannot_hold' });
  const [joint] = heavy.joints;
  const unknown = { ...joint!, servo: { ...joint!.servo, stall: null } };
  expect(limitsOf(unknown, places(heavy))).toEqual({ none: 'unknown' });
});

test('the time of a trapezoid is the published one', () => {
  const { inputs, expected } = profiles.find(({ id }) => id === 'pr-trapezoid-asym')!;
  (inputs as { L: number; a: number; d: number; v: number }[]).forEach(({ L, a, d, v }, k) => {
    expect(moveTime(L, { speed: v, start: a, stop: d })).toBeCloseTo((expected as { T: number }[])[k]!.T, 6);
  });
});

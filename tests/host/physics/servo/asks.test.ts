/** What limits ask of a servo: by hand, by random motions within them, and of limits that were found for that servo. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Asks, axisAsks, highestSpeed, legAsks } from '../../../../host/physics/servo/asks.ts';
import { type LegPlace, boundsOf, capsOf, legLimits, limitsOf } from '../../../../host/physics/servo/limits.ts';
import { Mechanism } from '../../../../host/physics/dynamics/mechanism.ts';
import { axisPlaces, homePosture, legPlaces, standingPostures } from '../../../../host/physics/dynamics/places.ts';
import { useOf } from '../../../../host/physics/servo/servo-line.ts';
import { HOME, type Joint, type Rig, toDeg, toRad } from '../../../../host/rig/rig.ts';
import { OWL } from '../../rig/owl.ts';
import { rigFrom } from '../../load/rigs.ts';
import { PEAK_USE, ROTOR_KGM2, SICK, type SickAxis, sickRig } from '../sick.ts';

const SEED = 31;
const G = 9.80665;

const placesOf = (rig: Rig) => axisPlaces(rig, new Mechanism(rig), 0, [homePosture(rig)]);

function askedOf(rig: Rig, change: Partial<Joint> = {}): Asks {
  const found = axisAsks({ ...rig.joints[0]!, ...change }, placesOf(rig));
  if (!found) throw new Error('unknown');
  return found;
}

const changed = (rig: Rig, change: Partial<Joint>): Rig => ({ ...rig, joints: [{ ...rig.joints[0]!, ...change }] });

/** Its load is level in the middle of ±30 deg, where it has its speed limit by then: both are at their worst there. */
function byHand(sick: SickAxis): { use: number; brake: number } {
  const weighs = (sick.mass_kg * G * sick.arm_mm) / 1000;
  const sets = (sick.inertia_kgm2 + ROTOR_KGM2 * sick.ratio ** 2) * toRad(1500);
  const stall = sick.stall_nm * sick.ratio * sick.efficiency;
  const left = 1 - (sick.speed_deg_s * sick.ratio) / sick.no_load_deg_s;
  return { use: (sets + weighs) / (stall * left), brake: (sets + weighs) / stall };
}

/** Full accelerations at random within soft limits, speed, plus and minus: the largest use that any of it takes. */
function hardest(rig: Rig, steps: readonly boolean[]): number {
  const joint = rig.joints[0]!;
  const mechanism = new Mechanism(rig);
  const [dt, effort] = [2e-3, new Float64Array(1)];
  let [q, v, most] = [(joint.lo + joint.hi) / 2, 0, 0];
  // Whether it still stops at a soft limit after a step with this acceleration.
  const stops = (a: number): boolean => {
    const [next, there] = [v + a * dt, q + (v + a * dt) * dt];
    if (Math.abs(next) > joint.speed) return false;
    return next > 0
      ? there + next ** 2 / (2 * joint.minus) + next * dt < joint.hi
      : there - next ** 2 / (2 * joint.plus) + next * dt > joint.lo;
  };
  for (const [k, up] of steps.entries()) {
    // A choice lasts a while.
    const wanted = steps[k - (k % 40)] === up ? (up ? joint.plus : -joint.minus) : 0;
    const a = stops(wanted) ? wanted : stops(0) ? 0 : v > 0 ? -joint.minus : joint.plus;
    if (mechanism.at([q], HOME)) mechanism.efforts([v], [a], effort);
    most = Math.max(most, useOf(joint, effort[0]!, v).use ?? Infinity);
    v += a * dt;
    q += v * dt;
  }
  return most;
}

describe('what the limits of an axis ask', () => {
  it.each(SICK)('$name, by hand', (sick) => {
    const { use, brake } = byHand(sick);
    const asked = askedOf(sickRig(sick));
    expect(asked.use / use).toBeCloseTo(1, 9);
    expect(asked.brake / brake).toBeCloseTo(1, 9);
    expect([toDeg(asked.speed), asked.toward, asked.brakes]).toEqual([
      expect.closeTo(sick.speed_deg_s, 9),
      'plus',
      'plus',
    ]);
  });

  it('a load that pulls the other way is raised by minus', () => {
    const rig = sickRig(SICK[0]!);
    const joint = rig.joints[0]!;
    const places = placesOf(rig).map((place) => ({ ...place, hold: -place.hold }));
    expect(axisAsks({ ...joint, plus: joint.plus / 2 }, places)).toMatchObject({ toward: 'minus', brakes: 'minus' });
  });

  it.each(SICK)('no motion of $name within its limits takes more, and some take nearly as much', (sick) => {
    // Slower, so that no motion comes to where the servo has nothing.
    const rig = changed(sickRig(sick), { speed: toRad(sick.speed_deg_s * 0.7), plus: 12, minus: 17 });
    const asked = askedOf(rig).use;
    let most = 0;
    fc.assert(
      fc.property(fc.array(fc.boolean(), { minLength: 2000, maxLength: 3000 }), (steps) => {
        const use = hardest(rig, steps);
        most = Math.max(most, use);
        expect(use).toBeLessThan(asked * 1.01);
      }),
      { seed: SEED, numRuns: 60 },
    );
    expect(most).toBeGreaterThan(asked * 0.8);
  });

  it('a speed that no move within the soft limits comes to is not asked', () => {
    const rig = sickRig(SICK[2]!);
    const small = { lo: toRad(-2), hi: toRad(2), speed: toRad(1000), plus: toRad(500), minus: toRad(500) };
    const joint = { ...rig.joints[0]!, ...small };
    expect(toDeg(highestSpeed(joint))).toBeCloseTo(Math.sqrt(2 * 4 * 250), 9);
    const asked = askedOf(changed(rig, small));
    expect(toDeg(asked.speed)).toBeLessThan(Math.sqrt(2 * 4 * 250) + 1e-9);
    expect(asked.use).toBeLessThan(2);
  });

  it('near the lower soft limit it has only sped up since there, by plus; near the upper one it must still stop, by minus', () => {
    const joint = { ...sickRig(SICK[2]!).joints[0]!, lo: -1, hi: 1, speed: 100, plus: 4, minus: 9 };
    const speedAt = (at: number): number => axisAsks(joint, [{ at, hold: 0, inertia: 1e-4 }])!.speed;
    // v² = 2·a·s.
    expect(speedAt(-0.5)).toBeCloseTo(Math.sqrt(2 * 4 * 0.5), 9);
    expect(speedAt(0.5)).toBeCloseTo(Math.sqrt(2 * 9 * 0.5), 9);
    expect([speedAt(-1), speedAt(1)]).toEqual([0, 0]);
    // The two meet where both are the same: nowhere else is it faster.
    const top = highestSpeed(joint);
    expect(speedAt(-1 + top ** 2 / (2 * 4))).toBeCloseTo(top, 9);
  });

  it('as fast as the servo without load: no share, however light it is', () => {
    const rig = sickRig(SICK[2]!);
    const quick = { plus: toRad(5000), minus: toRad(5000) };
    expect(askedOf(rig, { ...quick, speed: toRad(360) }).use).toBe(Infinity);
    // A little slower there is torque, but hardly.
    expect(askedOf(rig, { ...quick, speed: toRad(359.95) }).use).toBeGreaterThan(1000);
    // Within its plus it does not come to such a speed.
    expect(askedOf(rig, { speed: toRad(360) }).use).toBeLessThan(5);
  });

  it('is not told of a servo without figures, nor of a joint that weighs nothing', () => {
    const rig = sickRig(SICK[0]!);
    const joint = rig.joints[0]!;
    const without = (figure: Partial<Joint['servo']>): Joint => ({ ...joint, servo: { ...joint.servo, ...figure } });
    expect(axisAsks(without({ stall: null }), placesOf(rig))).toBeNull();
    expect(axisAsks(without({ no_load_speed: null }), placesOf(rig))).toBeNull();
    expect(axisAsks(joint, [{ at: 0, hold: 0, inertia: 0 }])).toBeNull();
    expect(axisAsks(joint, [])).toBeNull();
  });
});

describe('limits that were found for a servo ask no more of it than was to be spent', () => {
  it.each(SICK)('$name: peak_use at most', (sick) => {
    const rig = sickRig(sick);
    const found = limitsOf(rig.joints[0]!, placesOf(rig), capsOf(rig.joints[0]!));
    if ('none' in found) throw new Error(found.none);
    const { use } = askedOf(changed(rig, boundsOf(found)));
    expect(use).toBeLessThan(PEAK_USE + 1e-9);
    expect(use).toBeGreaterThan(PEAK_USE * 0.7);
  });

  it('legs: peak_use at most', () => {
    const rig = rigFrom(OWL);
    const legs = rig.joints.slice(0, 6);
    const places: LegPlace[] = legPlaces(rig, new Mechanism(rig), standingPostures(rig));
    const found = legLimits(legs, places);
    if ('none' in found) throw new Error(found.none);
    const { speed, plus, minus } = found;
    const uses = legs.map((leg, i) => legAsks({ ...leg, speed, plus, minus }, i, places)!.use);
    expect(Math.max(...uses)).toBeLessThan(legs[0]!.servo.peak_use + 1e-9);
    expect(Math.max(...uses)).toBeGreaterThan(legs[0]!.servo.peak_use * 0.7);
  });
});

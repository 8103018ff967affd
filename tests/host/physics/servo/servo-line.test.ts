import { describe, expect, it } from 'vitest';
import { available, useOf } from '../../../../host/physics/servo/servo-line.ts';
import type { Joint, Servo } from '../../../../host/rig/rig.ts';
import { crankPlatform, rigOf } from '../platforms.ts';

const leg = rigOf(crankPlatform(), -1, 1).joints[0]!;
const joint = (servo: Partial<Servo> = {}, gear: Partial<Joint> = {}): Joint => ({
  ...leg,
  servo: { ...leg.servo, stall: 2, no_load_speed: 6, ...servo },
  ...gear,
});

describe('what a servo can give', () => {
  it.each([
    ['at rest', 0, 1, 2],
    ['at half its speed', 3, 1, 1],
    ['the same backward', -3, -1, 1],
    ['at its no-load speed', 6, 1, 0],
    ['beyond', 60, 1, 0],
    ['braking', 3, -1, 2],
    ['braking beyond its no-load speed', -7, 1, 2],
  ] as const)('%s', (_, v, sign, wanted) => {
    expect(available(joint(), v, sign)).toBeCloseTo(wanted, 12);
  });

  it('behind 3:1 of efficiency 0.9: 2.7 times the torque, a third of the speed', () => {
    const geared = joint({}, { gear_ratio: 3, gear_efficiency: 0.9 });
    expect(available(geared, 0, 1)).toBeCloseTo(5.4, 12);
    expect(available(geared, 1, 1)).toBeCloseTo(2.7, 12);
    expect(available(geared, 2, 1)).toBe(0);
  });

  it('is unknown only where an unknown figure is needed', () => {
    const noSpeed = joint({ no_load_speed: null });
    expect([available(noSpeed, 0, 1), available(noSpeed, -1, 1), available(noSpeed, 1, 1)]).toEqual([2, 2, null]);
    expect(available(joint({ stall: null }), 0, 1)).toBeNull();
  });
});

describe('use', () => {
  it('is the share of what there is in the effort’s direction', () => {
    expect(useOf(joint(), 0.5, 3)).toEqual({ use: 0.5 });
    expect(useOf(joint(), -0.5, 3)).toEqual({ use: 0.25 });
    expect(useOf(joint(), 3, 0)).toEqual({ use: 1.5 });
    expect(useOf(joint(), 0, 3)).toEqual({ use: 0 });
  });

  it('is none at or beyond no-load speed, and none where figures are unknown', () => {
    for (const [effort, v] of [
      [0, 6],
      [1, 6],
      [-1, 7],
      [1, -6],
    ] as const)
      expect(useOf(joint(), effort, v)).toEqual({ use: null, why: 'speed' });
    expect(useOf(joint({ stall: null }), 1, 0)).toEqual({ use: null, why: 'unknown' });
    expect(useOf(joint({ no_load_speed: null }), 1, 1)).toEqual({ use: null, why: 'unknown' });
    expect(useOf(joint({ no_load_speed: null }), 1, 0)).toEqual({ use: 0.5 });
  });
});

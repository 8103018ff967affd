/**
 * The whole bring-up by script, on the emulated pico, of a prop that is not what its rig says: horns teeth off, centres, scales, senses
 * and geometry wrong, dead bands, stops nobody knows. What it ends with is held against the truth, every pulse against what was walked.
 */
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Bench } from '../../../host/bringup/session/bench.ts';
import { type Joint, toDeg, toRad } from '../../../host/rig/rig.ts';
import { pulseAt } from '../../../host/rig/pulse.ts';
import { firmwareOf, has } from '../../boards/firmware.ts';
import { benchOf, done } from './on-bench.ts';
import { builtProp } from './perch.ts';
import { fastest_us_s, pulsing, spanned_us } from './seen-pulses.ts';
import type { TrueJoint } from './true-prop.ts';

// Emulators are slow on a busy machine.
vi.setConfig({ hookTimeout: 600_000 });

/** What the bring-up is to come to. */
const CENTRE_WITHIN_US = 2;
const SCALE_WITHIN = 0.005;
const SLOW_DEG_S = 20;
/** The rig's, before anybody has walked it. */
const DRAWN_LIMIT_DEG = 45;

const prop = builtProp();
let bench: Bench;
/** How many pulses had been seen when a joint had been walked. */
const walkedAfter = new Map<string, number>();
/** The span that each joint was walked through, as the rig had it then, us. */
const walkedSpan_us = new Map<string, readonly [number, number]>();

const found = ({ name }: TrueJoint): Joint => bench.rig.joints.find((joint) => joint.name === name)!;

describe.skipIf(!has('arm-none-eabi-gcc'))('a whole bring-up on the emulated pico', () => {
  beforeAll(async () => {
    firmwareOf('pico');
    bench = await benchOf(prop);
    for (const { name } of prop.joints) {
      await done(bench, prop, `centre ${name} --rods-off`);
      await done(bench, prop, `walk ${name}`);
      walkedAfter.set(name, prop.pulses.length);
      await done(bench, prop, `scale ${name}`);
      const joint = bench.rig.joints.find((one) => one.name === name)!;
      const ends = joint.walked!.map((at) => pulseAt(joint, at));
      walkedSpan_us.set(name, [Math.min(...ends), Math.max(...ends)]);
    }
    await done(bench, prop, 'rouse');
    await done(bench, prop, 'settle');
    await prop.wait(100_000);
  }, 600_000);
  afterAll(() => bench.close());

  it.each(prop.joints)('finds the centre of $name to 2 us', (joint) => {
    expect(Math.abs(found(joint).centre_us - joint.servo.pulseAt(0))).toBeLessThan(CENTRE_WITHIN_US);
  });

  it.each(prop.joints)('finds the scale of $name to 0.5 %, and its sense', (joint) => {
    const { us_per_deg, sense } = joint.servo.truth;
    const scale = found(joint).us_per_unit / toDeg(1);
    expect(Math.abs(scale / us_per_deg - 1)).toBeLessThan(SCALE_WITHIN);
    expect(found(joint).sense).toBe(sense);
  });

  it.each(prop.joints)('walks $name to less than 5 deg before it binds, and never beyond', (joint) => {
    const { lo, hi, walked } = found(joint);
    const { binds_deg, sense } = joint.servo.truth;
    const [least, most] = binds_deg;
    expect(toDeg(lo)).toBeGreaterThan(least);
    expect(toDeg(hi)).toBeLessThan(most);
    expect(walked![0]).toBeLessThanOrEqual(lo + toRad(1e-6));
    expect(walked![1]).toBeGreaterThanOrEqual(hi - toRad(1e-6));
    // Walked with the wrong sense, each end is bound by what was found at the other as well.
    const near = Math.min(-least, most);
    const [down, up] = sense === 1 ? [-least, Math.min(most, DRAWN_LIMIT_DEG)] : [near, near];
    expect(toDeg(-lo)).toBeGreaterThan(down - 5);
    expect(toDeg(hi)).toBeGreaterThan(up - 5);
  });

  it.each(prop.joints)('sends $name no pulse outside what was walked', (joint) => {
    const [least, most] = walkedSpan_us.get(joint.name)!;
    const seen = spanned_us(prop, joint, walkedAfter.get(joint.name));
    expect(seen).not.toBeNull();
    expect(seen![0]).toBeGreaterThanOrEqual(least - 1);
    expect(seen![1]).toBeLessThanOrEqual(most + 1);
  });

  it.each(prop.joints)('never asks $name for more than 20 deg/s', (joint) => {
    const scale = Math.max(10, joint.servo.truth.us_per_deg);
    const fastest = fastest_us_s(prop, joint);
    expect(fastest).toBeGreaterThan(SLOW_DEG_S * 5);
    expect(fastest).toBeLessThan(SLOW_DEG_S * scale * 1.01);
  });

  it('moves one servo alone until all are walked', () => {
    const from = Math.max(...walkedAfter.values());
    const alone = prop.pulses.slice(0, from);
    const lastAt = new Map<number, number>();
    for (const { pin, at_us } of alone) {
      for (const [other, last_us] of lastAt) if (other !== pin) expect(at_us - last_us).toBeGreaterThan(20_000);
      lastAt.clear();
      lastAt.set(pin, at_us);
    }
  });

  it('ends settled', () => {
    expect(bench.state).toBe('limp');
    expect(pulsing(prop)).toBe(0);
  });
});

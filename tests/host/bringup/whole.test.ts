/**
 * The whole bring-up by script, on the emulated pico, of a prop that is not what its rig says: horns teeth off, centres, scales, senses
 * and geometry wrong, dead bands, stops nobody knows. What it ends with is held against the truth, every pulse against what was walked.
 */
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { parse } from 'yaml';
import type { Bench } from '../../../host/bringup/session/bench.ts';
import type { VerbOutcome } from '../../../host/bringup/verb.ts';
import { type Joint, toDeg, toRad } from '../../../host/rig/rig.ts';
import { pulseAt } from '../../../host/rig/pulse.ts';
import { firmwareOf, has } from '../../boards/firmware.ts';
import { benchOf, done } from './on-bench.ts';
import { BUILT, builtProp } from './perch.ts';
import { beyond_deg, fastest_us_s, pulsing, spanned_us } from './seen-pulses.ts';
import { HEARD_DEG, type TrueJoint } from './true-prop.ts';

// Emulators are slow on a busy machine.
vi.setConfig({ hookTimeout: 600_000 });

/** What the bring-up is to come to. */
/** Half of what a reading approached from one side only is off by: dead bands are 4 us wide. */
const CENTRE_WITHIN_US = 1;
const SCALE_WITHIN = 0.005;
const SLOW_DEG_S = 20;
/** The rig's, before anybody has walked it. */
const DRAWN_LIMIT_DEG = 45;
/** A walk goes back so far, in the drawn scale. */
const BACK_DEG = 3;
/** Figures of places are written to this, inward. */
const WRITTEN_DEG = 0.1;
const DRAWN_US_PER_DEG = 10;
const GEOMETRY_WITHIN_MM = 0.2;
const HALF_ANGLE_WITHIN_DEG = 0.5;

const prop = builtProp();
let bench: Bench;
/** How many pulses had been seen when a joint had been walked. */
const walkedAfter = new Map<string, number>();
/** The span that each joint was walked through, as the rig had it then, us. */
const walkedSpan_us = new Map<string, readonly [number, number]>();

/** How many pulses had been seen when the geometry came to be estimated. */
let estimateFrom = NaN;
let estimated: VerbOutcome;

const found = ({ name }: TrueJoint): Joint => bench.rig.joints.find((joint) => joint.name === name)!;

/**
 * How far before its stop a limit may lie, deg: what the walk goes back, less what it went beyond until somebody heard it (later, the reaction
 * lets it go on, which brings the limit nearer), by the drawn scale; then the limit stays the number that it was, though a degree turns out
 * to be fewer us than drawn: 4.6 % of 41 deg for leg4. Each is rounded once.
 */
function short_deg({ servo: { truth } }: TrueJoint, stop_deg: number): number {
  const beyond_deg = HEARD_DEG + truth.dead_us / 2 / truth.us_per_deg;
  const drawn = DRAWN_US_PER_DEG / truth.us_per_deg;
  return (BACK_DEG - beyond_deg + WRITTEN_DEG) * drawn + WRITTEN_DEG + stop_deg * Math.max(0, 1 - 1 / drawn);
}

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
    estimateFrom = prop.pulses.length;
    estimated = await done(bench, prop, 'estimate');
    await done(bench, prop, 'settle');
    await prop.wait(100_000);
  }, 600_000);
  afterAll(() => bench.close());

  it.each(prop.joints)('finds the centre of $name to 1 us', (joint) => {
    expect(Math.abs(found(joint).centre_us - joint.servo.pulseAt(0))).toBeLessThan(CENTRE_WITHIN_US);
  });

  it.each(prop.joints)('finds the scale of $name to 0.5 %, and its sense', (joint) => {
    const { us_per_deg, sense } = joint.servo.truth;
    const scale = found(joint).us_per_unit / toDeg(1);
    expect(Math.abs(scale / us_per_deg - 1)).toBeLessThan(SCALE_WITHIN);
    expect(found(joint).sense).toBe(sense);
  });

  it.each(prop.joints)('walks $name to just before it binds either way, and never beyond', (joint) => {
    const { lo, hi, walked } = found(joint);
    const [least, most] = joint.servo.truth.binds_deg;
    expect(toDeg(lo)).toBeGreaterThan(least);
    expect(toDeg(hi)).toBeLessThan(most);
    expect(walked![0]).toBeLessThanOrEqual(lo + toRad(1e-6));
    expect(walked![1]).toBeGreaterThanOrEqual(hi - toRad(1e-6));
    // A stop beyond what was drawn was not looked for: there the drawn limit stands.
    const [down, up] = [Math.min(-least, DRAWN_LIMIT_DEG), Math.min(most, DRAWN_LIMIT_DEG)];
    expect(toDeg(-lo)).toBeGreaterThan(down - short_deg(joint, down));
    expect(toDeg(hi)).toBeGreaterThan(up - short_deg(joint, up));
  });

  it.each(prop.joints)('sends $name no pulse outside what was walked', (joint) => {
    const [least, most] = walkedSpan_us.get(joint.name)!;
    const seen = spanned_us(prop, joint, walkedAfter.get(joint.name));
    expect(seen).not.toBeNull();
    expect(seen![0]).toBeGreaterThanOrEqual(least - 1);
    expect(seen![1]).toBeLessThanOrEqual(most + 1);
  });

  it.each(prop.joints)(
    'moves $name within its limits, and by more than 20 deg, while the geometry is estimated',
    (joint) => {
      const { lo, hi } = found(joint);
      const [a, b] = [lo, hi].map((at) => pulseAt(found(joint), at)) as [number, number];
      const [least, most] = spanned_us(prop, joint, estimateFrom)!;
      expect(least).toBeGreaterThanOrEqual(Math.min(a, b) - 1);
      expect(most).toBeLessThanOrEqual(Math.max(a, b) + 1);
      expect(most - least).toBeGreaterThan(20 * joint.servo.truth.us_per_deg);
      expect(beyond_deg(prop, joint, estimateFrom)).toBe(0);
    },
  );

  it.each<[string, number]>([
    ['crank_mm', BUILT.crank_mm],
    ['rod_mm', BUILT.rod_mm],
    ['base.radius_mm', BUILT.base_mm],
    ['moving.radius_mm', BUILT.moving_mm],
    ['base.half_angle_deg', BUILT.base_deg],
    ['moving.half_angle_deg', BUILT.moving_deg],
  ])('finds %s, and writes it as measured', (name, built) => {
    const within = name.endsWith('_mm') ? GEOMETRY_WITHIN_MM : HALF_ANGLE_WITHIN_DEG;
    const said = estimated.before[`platform.${name}`] as number;
    const written = parse(bench.text) as Record<string, unknown>;
    const figure = ['platform', ...name.split('.')].reduce<unknown>(
      (at, key) => (at as Record<string, unknown>)[key],
      written,
    ) as { value: number; from: string };
    expect(figure.from).toBe('measured');
    expect(Math.abs(figure.value - built)).toBeLessThan(within);
    // It learnt something: the drawing was further off.
    expect(Math.abs(said - built)).toBeGreaterThan(Math.abs(figure.value - built));
    expect(estimated.after[`platform.${name}`]).toBe(figure.value);
  });

  it('asks for three readings at each of 16 poses', () => {
    const asked = prop.asked.map(({ id }) => id).filter((id) => id.startsWith('estimate.'));
    expect(asked).toHaveLength(3 * 16);
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

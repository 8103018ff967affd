/** Margins by the laws they stand for: what is held goes with weight, a servo's torque and speed with voltage (common practice). */
import { describe, expect, it } from 'vitest';
import { type Design, designOf } from '../../../host/design/design.ts';
import type { Ask, Margins } from '../../../host/design/evaluate/ask.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { withMargins } from '../../../host/design/evaluate/margins.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { askOf, demoOwl } from './candidates.ts';

const owl = demoOwl();
const design: Design = { ...designOf(owl), home_z_mm: null };
const NONE: Margins = { weight: 1, voltage: 1 };

function figuresOf(ask: Ask): Float64Array {
  const out = new Float64Array(FIGURES);
  new Evaluation(prepare(ask)).figures(design, out);
  expect(out[AT.stands]).toBe(1);
  return out;
}

describe('margins of a tenth', () => {
  const bare = figuresOf(askOf(owl));

  it('more weight: legs and axis hold a tenth more, cranks and rods among it', () => {
    const out = figuresOf(askOf(owl, { margins: { weight: 1.1, voltage: 1 } }));
    expect(owl.platform!.crank_kg).toBeGreaterThan(0);
    expect(out[AT.hold]! / bare[AT.hold]!).toBeCloseTo(1.1, 9);
    expect(out[AT.hold_use]! / bare[AT.hold_use]!).toBeCloseTo(1.1, 9);
    expect(out[AT.axis_hold_use]! / bare[AT.axis_hold_use]!).toBeCloseTo(1.1, 9);
  });

  it('less voltage: the same torque is a ninth more of what there is', () => {
    const out = figuresOf(askOf(owl, { margins: { weight: 1, voltage: 0.9 } }));
    expect(out[AT.hold]! / bare[AT.hold]!).toBeCloseTo(1, 9);
    expect(out[AT.hold_use]! / bare[AT.hold_use]!).toBeCloseTo(1 / 0.9, 9);
    expect(out[AT.axis_hold_use]! / bare[AT.axis_hold_use]!).toBeCloseTo(1 / 0.9, 9);
  });

  it('weight and stiffness both a tenth more, without rotors: as stiff for its weight, it swings as fast', () => {
    const springs = (stiffness_nm_rad: number): Rig => ({
      ...owl,
      joints: owl.joints.map((joint) => ({
        ...joint,
        servo: { ...joint.servo, stiffness_nm_rad, rotor_inertia_kgm2: 0 },
      })),
    });
    const plain = figuresOf(askOf(springs(20), { margins: NONE }));
    const heavy = figuresOf(askOf(springs(22), { margins: { weight: 1.1, voltage: 1 } }));
    expect(plain[AT.home_hz]).toBeGreaterThan(1);
    expect(heavy[AT.home_hz]! / plain[AT.home_hz]!).toBeCloseTo(1, 9);
    expect(heavy[AT.lowest_hz]! / plain[AT.lowest_hz]!).toBeCloseTo(1, 7);
  });

  it('less voltage: servos of the rig and of the classes have that much less torque, speed and current', () => {
    const own = owl.joints[0]!.servo;
    const classes = [{ name: 'neck', servo: own, price: 1, body_mm: null }];
    const { rig, classes: less, margins } = withMargins(askOf(owl, { classes, margins: { weight: 1, voltage: 0.9 } }));
    for (const servo of [rig.joints[0]!.servo, less[0]!.servo]) {
      expect(servo.stall! / own.stall!).toBeCloseTo(0.9, 12);
      expect(servo.no_load_speed! / own.no_load_speed!).toBeCloseTo(0.9, 12);
      expect(servo.stall_current_a! / own.stall_current_a!).toBeCloseTo(0.9, 12);
      expect(servo.rotor_inertia_kgm2).toBe(own.rotor_inertia_kgm2);
    }
    expect(margins).toEqual(NONE);
  });
});

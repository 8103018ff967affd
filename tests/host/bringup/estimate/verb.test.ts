/** The estimate at a prop that stands in for person and bench, and the plan that it goes through. */
import { describe, expect, it } from 'vitest';
import type { Estimate } from '../../../../host/bringup/estimate/estimate.ts';
import { plan } from '../../../../host/bringup/estimate/plan.ts';
import type { ReadingName } from '../../../../host/bringup/estimate/readings.ts';
import { type PlateBench, estimateAt } from '../../../../host/bringup/estimate/verb.ts';
import type { Person } from '../../../../host/bringup/person.ts';
import { inverse, whatStops } from '../../../../host/physics/kinematics/inverse.ts';
import { pulseAt } from '../../../../host/rig/pulse.ts';
import { JOINTS_ONLY, LINEAR } from '../../rig/owl.ts';
import { OWL, measure, rigOfText, trueProp } from './prop.ts';

const owl = rigOfText(OWL);
const OFF = { crank_mm: 0.4, rod_mm: -0.8, 'base.radius_mm': 1, 'moving.radius_mm': 0.6 };
const NAMES: Readonly<Record<string, ReadingName>> = {
  'estimate.height': 'height_mm',
  'estimate.tilt_x': 'tilt_x_deg',
  'estimate.tilt_y': 'tilt_y_deg',
};

/** @param slip what is read instead, by the how-manieth question. */
function bench(slip: Readonly<Record<number, number>> = {}) {
  const prop = trueProp(owl, OFF);
  const asked: string[] = [];
  const said: string[] = [];
  let pulses: readonly number[] = [];
  const person: Person = {
    say: (words) => void said.push(words),
    ask: () => Promise.reject(new Error('asks through the bench')),
    binds: () => false,
    settles: () => false,
  };
  const plate: PlateBench = {
    rig: owl,
    pose: (_, { pulses_us }) => Promise.resolve((pulses = pulses_us)),
    read: (_, { id }, { least, most }) => {
      asked.push(id);
      const [row] = measure(owl, prop, [pulses], [NAMES[id]!], asked.length, 0.1);
      const value = row!.plate[0]!.value + (slip[asked.length] ?? 0);
      if (!(value >= least && value <= most)) throw new Error(`${String(value)} is refused`);
      return Promise.resolve(value);
    },
  };
  return { person, plate, asked, said };
}

describe('estimate at the prop', () => {
  it('asks for height and both tilts at each pose, and finds the geometry', async () => {
    const { person, plate, asked } = bench();
    const result = (await estimateAt(plate, person, 16)) as Estimate;
    expect(asked).toHaveLength(48);
    for (const { name, unit, value, at } of result.geometry!.figures)
      if (unit === 'mm') expect(Math.abs(value - at - (OFF[name as keyof typeof OFF] ?? 0))).toBeLessThan(0.2);
  });

  it('asks once more for a reading that does not fit, and uses the new one', async () => {
    const { person, plate, asked, said } = bench({ 10: 4 });
    const result = (await estimateAt(plate, person, 16)) as Estimate;
    expect(asked).toHaveLength(49);
    expect(asked[48]).toBe('estimate.height');
    expect(said.join('\n')).toMatch(/At pose 4 height_mm was/);
    expect(result.geometry!.odd).toBeNull();
  });

  it('of a rig without a platform is refused', async () => {
    const { person, plate } = bench();
    expect(await estimateAt({ ...plate, rig: rigOfText(JOINTS_ONLY) }, person)).toMatchObject({
      problem: 'this rig has no platform, so there is no geometry to estimate',
    });
  });
});

describe.each([
  ['owl', OWL],
  ['six actuators', LINEAR],
])('the plan of %s', (_, text) => {
  const rig = rigOfText(text);
  const poses = plan(rig, 16);

  it('has the poses that were asked for, within limits and pulses, each other than the others', () => {
    expect(poses).toHaveLength(16);
    expect(new Set(poses.map(({ pulses_us }) => pulses_us.join())).size).toBe(16);
    for (const { pose, pulses_us } of poses) {
      expect(whatStops(rig, pose)).toBeNull();
      const legs = inverse(rig.platform!, pose)!;
      pulses_us.forEach((us, i) => {
        const joint = rig.joints[i]!;
        expect(Math.abs(us - pulseAt(joint, legs[i]!))).toBeLessThanOrEqual(0.5);
        expect(us).toBeGreaterThanOrEqual(joint.range_us[0]);
        expect(us).toBeLessThanOrEqual(joint.range_us[1]);
      });
    }
  });

  it('is the same every time', () => {
    expect(plan(rig, 16)).toEqual(poses);
  });
});

/**
 * Pulses of a hobby servo: repeated every 20 ms, 1000 to 2000 us, 1500 us in the centre. Common practice; there is no
 * standard.
 */
import { expect, it } from 'vitest';
import { toRad } from '../../host/rig/rig.ts';
import { Prop } from '../assembly/prop.ts';
import { rigOf } from '../assembly/rigs.ts';

it('the centre is 1500 us; 45 degrees either side at 11.1 us a degree are 1000 and 2000 us; sense reverses it', () => {
  for (const sense of [1, -1] as const) {
    const rig = rigOf({ platform: null });
    const joints = rig.joints.map((joint) => ({
      ...joint,
      sense,
      lo: toRad(-46),
      hi: toRad(46),
      rest: 0,
      us_per_unit: 500 / toRad(45),
      range_us: [900, 2100] as const,
    }));
    const prop = new Prop({ ...rig, joints });
    prop.rouse();
    for (const [deg, us] of [
      [0, 1500],
      [45, 1500 + 500 * sense],
      [-45, 1500 - 500 * sense],
    ] as const) {
      for (let n = 0; n < 600; n++) {
        if (n % 4 === 0) prop.pose(20_000, [0, 0, 0, 0, 0, 0, toRad(deg), toRad(deg)]);
        prop.run(1);
      }
      expect([...prop.controller.pulses.subarray(0, 2)]).toEqual([us, us]);
    }
  }
});

/** What telemetry says a joint did at most: nothing that it did not do, whatever it was doing when it was last cut off. */
import { expect, it } from 'vitest';
import { TYPE } from '../../host/controller/messages.ts';
import { toRad } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

const NOD = 6;

it('after pulses were cut in motion, the next motion begins from rest', () => {
  const prop = new Prop(rigOf({ stopCategory: 0 }));
  const { plus, minus, speed } = prop.rig.joints[NOD]!;
  prop.rouse();
  for (let n = 0; n < 60; n++) {
    if (n % 4 === 0) prop.pose(5000, [0, 0, 0, 0, 0, 0, 0.4, 0]);
    prop.run(1);
  }
  expect(prop.telemetry.rise[NOD]! * prop.hz, 'it moves').toBeGreaterThan(0.9 * speed);
  expect(prop.ask(TYPE.stop)).toBe(0);
  expect(prop.state).toBe('limp');
  const most = { plus: 0, minus: 0, rise: 0 };
  prop.watch = (t) => {
    most.plus = Math.max(most.plus, t.plus[NOD]! * prop.hz ** 2);
    most.minus = Math.max(most.minus, -t.minus[NOD]! * prop.hz ** 2);
    most.rise = Math.max(most.rise, t.rise[NOD]! * prop.hz, -t.fall[NOD]! * prop.hz);
  };
  prop.rouse();
  expect(most.rise).toBeCloseTo(toRad(20), 4);
  expect(most.plus).toBeLessThan(plus * 1.002);
  expect(most.minus).toBeLessThan(minus * 1.002);
});

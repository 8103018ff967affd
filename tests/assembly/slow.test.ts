/** What moves without being watched moves slowly: rousing and settling, whatever came before. 20 deg/s at an axis or a crank. */
import { expect, it } from 'vitest';
import { TYPE } from '../../host/controller/messages.ts';
import { toDeg } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { type RigOptions, rigOf } from './rigs.ts';

/** In quick motion: it asks for a place and is on its way there. */
function moving(options: RigOptions): Prop {
  const prop = new Prop(rigOf(options));
  prop.rouse();
  for (let n = 0; n < 60; n++) {
    if (n % 4 === 0) prop.pose(5000, [5, 2, 0, 0.05, 0, 0, 0.4, 0.9]);
    prop.run(1);
  }
  return prop;
}

/** From now on, the fastest that any joint is, deg/s. */
function fastest(prop: Prop): { deg_s: number } {
  const found = { deg_s: 0 };
  prop.watch = (t) =>
    prop.rig.joints.forEach((_, i) => {
      found.deg_s = Math.max(found.deg_s, toDeg(Math.max(t.rise[i]!, -t.fall[i]!)) * prop.hz);
    });
  return found;
}

it('settles slowly, as soon as it has braked', () => {
  const prop = moving({ rest: [-8, 0, 0, 0, 0, 0] });
  prop.ask(TYPE.settle);
  // 70 deg/s and 400 deg/s, braking by 1500 and 4000 deg/s², are gone in a tenth of a second.
  prop.seconds(0.2);
  const found = fastest(prop);
  prop.until('limp');
  expect(found.deg_s).toBeGreaterThan(19.9);
  expect(found.deg_s).toBeLessThan(20.01);
});

it('rouses slowly after a stop that cut it off in quick motion', () => {
  const prop = moving({ stopCategory: 0 });
  prop.ask(TYPE.stop);
  expect(prop.state).toBe('limp');
  const found = fastest(prop);
  prop.rouse();
  expect(found.deg_s).toBeGreaterThan(19.9);
  expect(found.deg_s).toBeLessThan(20.01);
});

/** The controller's microseconds wrap after 71.6 minutes: a stream across it is played as any other. */
import { expect, it } from 'vitest';
import { toDeg } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

it('a stream goes across the wrap of the clock without a step', () => {
  const prop = new Prop(rigOf({ hz: 50, hold_s: 1800 }));
  prop.rouse();
  const at = (us: number): number => 0.3 * Math.sin(us / 1e6);
  // Kept live by a frame now and then until just before the wrap.
  while (prop.now_us < 2 ** 32 - 4_000_000) {
    prop.pose(2_000_000, [0, 0, 0, 0, 0, 0, 0, 0]);
    prop.run(50);
  }
  const start_us = prop.now_us;
  let elapsed_us = 0;
  let before = start_us;
  let worst = 0;
  prop.watch = (t) => {
    elapsed_us += (t.now_us - before) >>> 0;
    before = t.now_us;
    if (elapsed_us > 4_500_000) worst = Math.max(worst, toDeg(Math.abs(t.position[6]! - at(elapsed_us - 80_000))));
  };
  // The frames that kept it live reach two seconds ahead: begin behind them.
  prop.run(110);
  for (let n = 0; n < 400; n++) {
    prop.pose(40_000, [0, 0, 0, 0, 0, 0, at(elapsed_us + 40_000), 0]);
    prop.run(1);
  }
  expect(before).toBeLessThan(start_us);
  expect(prop.state).toBe('live');
  expect(worst).toBeLessThan(0.01);
  expect(worst).toBeGreaterThan(0);
  expect(prop.telemetry.counters[3]).toBe(0);
  expect(prop.telemetry.counters[4]).toBe(0);
});

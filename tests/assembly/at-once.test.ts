/**
 * A pose frame asked at once, as a hand asks: nothing waits to be looked ahead to, what it asks is due with the tick that plays it,
 * and the next frame without the flag is looked ahead to again. No limit is broken by it: limits.test.ts.
 */
import { describe, expect, it } from 'vitest';
import { COUNTERS, TYPE } from '../../host/controller/messages.ts';
import { ForwardSolver } from '../../host/physics/kinematics/forward.ts';
import { HOME, toDeg, toRad } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { type RigOptions, rigOf } from './rigs.ts';

const NOD = 6;
const TICK_US = 5000;
/** Of the rigs, ms and ticks of 5 ms: what is played is so old, and waits so long for the look-ahead. */
const [REST_MS, AHEAD_MS] = [60, 100];
const AHEAD_TICKS = (AHEAD_MS * 1000) / TICK_US;

const live = (options: RigOptions = {}): Prop => {
  const prop = new Prop(rigOf({ delay_ms: REST_MS + AHEAD_MS, ahead_ms: AHEAD_MS, ...options }));
  prop.rouse();
  return prop;
};

/** Asks for a nod (deg) and a pose whose frame the next tick plays. */
const due = (prop: Prop, nod_deg: number, atOnce: boolean, pose: readonly number[] = HOME): void => {
  prop.pose(TICK_US - REST_MS * 1000, [...pose, toRad(nod_deg), 0], atOnce);
};

/** Ticks until the nod moves, 1: the next one; 1000: it does not. */
function ticksUntilItMoves(prop: Prop): number {
  const from = prop.telemetry.position[NOD]!;
  for (let n = 1; n < 1000; n++) {
    prop.run(1);
    if (Math.abs(prop.telemetry.position[NOD]! - from) > 1e-6) return n;
  }
  return 1000;
}

describe('a frame asked at once', () => {
  it('moves its joint with the tick that plays it; one without the flag so many ticks later as are looked ahead', () => {
    const waits = [true, false].map((atOnce) => {
      const prop = live();
      due(prop, 10, atOnce);
      return ticksUntilItMoves(prop);
    });
    expect(waits).toEqual([1, 1 + AHEAD_TICKS]);
  });

  it('is followed by one without the flag that is looked ahead to again, and by one with it that is not', () => {
    const prop = live();
    const waits = [true, false, false, true, true, false].map((atOnce, n) => {
      due(prop, n % 2 === 0 ? 10 : -10, atOnce);
      const ticks = ticksUntilItMoves(prop);
      // It comes to stand, and what waited is due.
      prop.seconds(1);
      return ticks === 1;
    });
    expect(waits).toEqual([true, false, false, true, true, false]);
  });

  it('plays nothing of what waited', () => {
    const highest = [true, false].map((atOnce) => {
      const prop = live();
      due(prop, 0, true);
      prop.seconds(1);
      let deg = -90;
      prop.watch = (t) => (deg = Math.max(deg, toDeg(t.highest[NOD]!)));
      // Up by 2 deg and back within 90 ms, all of it while the first of it waits.
      for (let n = 0; n <= 18; n++) {
        due(prop, 1 - Math.cos((2 * Math.PI * n) / 18), false);
        prop.run(1);
      }
      due(prop, 0, atOnce);
      prop.seconds(1);
      return deg;
    });
    expect(highest[0]).toBeLessThan(1e-4);
    expect(highest[1]).toBeGreaterThan(1.9);
  });

  it('lets the plate go on from where it is, as fast as it may, and keeps its place for a reset', () => {
    const most_mm_s = 10;
    const prop = live({ poseSpeed: [most_mm_s, most_mm_s, most_mm_s, 1, 1, 1] });
    const solver = new ForwardSolver(prop.rig.platform!);
    const plate: [number, number, number, number, number, number] = [...HOME];
    let [y_mm, fastest_mm_s, astray_mm] = [0, 0, 0];
    prop.watch = (t) => {
      expect(solver.solve(t.position, plate, plate)).toBe(true);
      fastest_mm_s = Math.max(fastest_mm_s, (Math.abs(plate[1] - y_mm) * 1e6) / TICK_US);
      y_mm = plate[1];
      const kept = new Float32Array(prop.controller.places().slice().buffer, 8 + 4 * 16, 6);
      astray_mm = Math.max(astray_mm, Math.abs(kept[1]! - y_mm));
    };
    const sway = (mm: number, atOnce: boolean): void => due(prop, -20, atOnce, [0, mm, 0, 0, 0, 0]);
    for (let n = 0; n < 60; n++) {
      sway(0.05 * n, false);
      prop.run(1);
    }
    // What is found is 1 mm further on than what is due.
    const before_mm = y_mm;
    sway(4, true);
    prop.run(4);
    expect(y_mm - before_mm).toBeGreaterThan(0.1);
    prop.seconds(1);
    expect(y_mm).toBeCloseTo(4, 3);
    expect(fastest_mm_s).toBeGreaterThan(0.9 * most_mm_s);
    expect(fastest_mm_s).toBeLessThan(1.1 * most_mm_s);
    expect(astray_mm).toBeLessThan(0.01);
  });

  it('changes nothing when the frame is refused: as one that is played or queued already, or as no pose', () => {
    const prop = live();
    due(prop, 10, false);
    due(prop, 20, true);
    prop.pose(0, [...HOME, toRad(10), 0]);
    prop.pose(0, [...HOME, toRad(20), 0], true);
    prop.pose(0, [...HOME, Infinity, 0], true);
    expect(ticksUntilItMoves(prop)).toBe(1 + AHEAD_TICKS);
    expect(prop.telemetry.counters[COUNTERS.indexOf('doubled')]).toBe(2);
  });

  it('is of no account where the rig does not look ahead: not one bit is another', () => {
    const places = [true, false].map((atOnce) => {
      const prop = live({ ahead_ms: 0 });
      const bits: number[] = [];
      prop.watch = (t) => bits.push(...new Uint32Array(t.position.slice().buffer));
      for (let n = 0; n < 200; n++) {
        due(prop, 20 * Math.sin(n / 20), atOnce && n % 3 > 0);
        prop.run(1);
      }
      return bits;
    });
    expect(new Set(places[0]).size).toBeGreaterThan(100);
    expect(places[0]).toEqual(places[1]);
  });

  it('is played at once after a pause too, and roused anew a stream is looked ahead to from its first frame', () => {
    const prop = live();
    due(prop, 0, true);
    prop.seconds(1);
    expect(prop.ask(TYPE.pause)).toBe(0);
    prop.seconds(0.2);
    due(prop, 5, true);
    expect(ticksUntilItMoves(prop)).toBe(1);
    prop.seconds(1);
    prop.ask(TYPE.settle);
    prop.until('limp');
    prop.rouse();
    due(prop, 5, false);
    expect(ticksUntilItMoves(prop)).toBe(1 + AHEAD_TICKS);
  });
});

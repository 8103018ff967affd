/**
 * What breaks a look-ahead off: each way out of live, in the middle of a motion of which more is known and waits. The joints brake
 * at once from where they are, nothing of what waited is played, and the prop can be roused again, or given another rig.
 */
import { describe, expect, it } from 'vitest';
import { imageFingerprint, packImage } from '../../host/controller/image.ts';
import { RESULT, TYPE } from '../../host/controller/messages.ts';
import { ForwardSolver } from '../../host/physics/kinematics/forward.ts';
import { HOME, type Rig, toDeg, toRad } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

const NOD = 6;
const AHEAD_MS = 300;
const SPARE_MS = 60;
/** Deg/s upward, and the nod's limit is 1500 deg/s²: it brakes from that in 40 ms and 1.2 deg. */
const RISE_DEG_S = 60;
const FRAME_US = 20_000;
const nodOf = (prop: Prop): number => toDeg(prop.telemetry.position[NOD]!);
const rig = (stopCategory: 0 | 1 | 2 = 1): Rig =>
  rigOf({ delay_ms: AHEAD_MS + SPARE_MS, ahead_ms: AHEAD_MS, stopCategory, low_v: 6 });

/** Sends frames of the pose and the nod (deg) of a time (s), each as early as the delay's rest asks, and runs on. */
function feed(prop: Prop, seconds: number, frame: (t_s: number) => readonly [readonly number[], number]): void {
  const start_us = prop.now_us;
  for (let n = 0, k = 0; n < seconds * prop.hz; n++) {
    for (; k * FRAME_US - 1000 * SPARE_MS <= prop.now_us - start_us; k++) {
      const [pose, nod_deg] = frame((k * FRAME_US) / 1e6);
      prop.pose(start_us + k * FRAME_US - prop.now_us, [...pose, toRad(nod_deg), 0]);
    }
    prop.run(1);
  }
}

/** Live, the nod on its way up at full speed past 0, with 18 deg more of that waiting, and the plate on its way left. */
function rising(its: Rig): Prop {
  const prop = new Prop(its);
  prop.rouse();
  feed(prop, 0.3 + (AHEAD_MS + SPARE_MS) / 1000, (t_s) => [
    [0, Math.min(5, 8 * t_s), 0, 0, 0, 0],
    Math.min(24, -15 + RISE_DEG_S * t_s),
  ]);
  expect(prop.state).toBe('live');
  expect(Math.abs(nodOf(prop))).toBeLessThan(6);
  expect(toDeg(prop.telemetry.rise[NOD]!) * prop.hz).toBeCloseTo(RISE_DEG_S, 0);
  return prop;
}

/** Watches every tick from now on: how high the nod comes, and the greatest share of a limit that any joint takes. */
function watchLimits(prop: Prop): { highest: number; share: number } {
  const seen = { highest: -90, share: 0 };
  prop.watch = (t) => {
    seen.highest = Math.max(seen.highest, toDeg(t.highest[NOD]!));
    prop.rig.joints.forEach(({ plus, minus, speed }, i) => {
      const shares = [t.plus[i]! / plus, -t.minus[i]! / minus].map((share) => share * prop.hz * prop.hz);
      const speeds = [t.rise[i]! / speed, -t.fall[i]! / speed].map((share) => share * prop.hz);
      seen.share = Math.max(seen.share, ...shares, ...speeds);
    });
  };
  return seen;
}

const measured = (prop: Prop, fault: { tick_us?: number; supply_mv?: number }): void => {
  prop.controller.setMeasured(fault);
  for (let n = 0; n < 400 && prop.state === 'live'; n++) prop.run(1);
  prop.controller.setMeasured({ tick_us: 0, supply_mv: 7000 });
};
/** How it is broken off, the stop category, the state that follows and what ends it. */
const WAYS: readonly (readonly [string, 0 | 1 | 2, (prop: Prop) => void, string, string])[] = [
  ['settle', 1, (prop) => prop.ask(TYPE.settle), 'settling', 'limp'],
  ['a stop of category 1', 1, (prop) => prop.ask(TYPE.stop), 'settling', 'limp'],
  ['a stop of category 2', 2, (prop) => prop.ask(TYPE.stop), 'settling', 'settling'],
  [
    'the stop loop',
    1,
    (prop) => {
      prop.controller.setStop(true);
      prop.run(1);
    },
    'settling',
    'limp',
  ],
  ['a low supply', 1, (prop) => measured(prop, { supply_mv: 5000 }), 'tripped', 'tripped'],
  ['late ticks', 1, (prop) => measured(prop, { tick_us: 6000 }), 'tripped', 'tripped'],
];

describe('in the middle of a look-ahead', () => {
  it.each(WAYS)('%s brakes at once, within every limit, and comes to the rest', (_, category, breakOff, state, end) => {
    const prop = rising(rig(category));
    const seen = watchLimits(prop);
    const from: number[] = [];
    const watch = prop.watch;
    prop.watch = (t) => {
      watch(t);
      if (prop.state === 'live') from.splice(0, 1, nodOf(prop));
    };
    from.push(nodOf(prop));
    breakOff(prop);
    expect(prop.state).toBe(state);
    const at = from[0]!;
    prop.seconds(5);
    expect(prop.state).toBe(end);
    // Braking takes 1.2 deg, and a tick before it begins 0.3.
    expect(seen.highest).toBeLessThan(at + 1.6);
    expect(seen.highest).toBeGreaterThan(at);
    expect(seen.share).toBeLessThan(1.002);
    expect(nodOf(prop)).toBeCloseTo(-20, 3);
  });

  it('a pause stands as soon as every joint can have stopped, the plate too', () => {
    const prop = rising(rig());
    const solver = new ForwardSolver(prop.rig.platform!);
    const left_mm = (): number => {
      const plate: [number, number, number, number, number, number] = [...HOME];
      expect(solver.solve(prop.telemetry.position, plate, plate)).toBe(true);
      return plate[1];
    };
    const from_mm = left_mm();
    const seen = watchLimits(prop);
    expect(prop.ask(TYPE.pause)).toBe(RESULT.done);
    prop.seconds(0.1);
    const stopped = [...prop.telemetry.position.subarray(0, 8)];
    prop.seconds(1);
    expect([...prop.telemetry.position.subarray(0, 8)]).toEqual(stopped);
    // 8 mm/s for as long as the nod brakes, 40 ms, and a few ticks; 2.6 mm more of that were waiting.
    expect(left_mm()).toBeGreaterThan(from_mm);
    expect(left_mm()).toBeLessThan(from_mm + 0.6);
    expect(seen.share).toBeLessThan(1.002);
  });

  it('a pause breaks it off in holding too, where what waits goes on for want of frames', () => {
    const ahead_ms = 360;
    const prop = new Prop(rigOf({ delay_ms: ahead_ms + SPARE_MS, ahead_ms, stopCategory: 1, low_v: 6 }));
    prop.rouse();
    feed(prop, 0.72, (t_s) => [HOME, -20 + 45 * t_s]);
    for (let n = 0; n < 200 && prop.state === 'live'; n++) prop.run(1);
    expect(prop.state).toBe('holding');
    const at = nodOf(prop);
    const seen = watchLimits(prop);
    expect(prop.ask(TYPE.pause)).toBe(RESULT.done);
    prop.seconds(1);
    expect(prop.state).toBe('holding');
    // Braking takes 0.7 deg; 110 ms of rising, 5 deg, were waiting.
    expect(seen.highest).toBeGreaterThan(at + 0.5);
    expect(seen.highest).toBeLessThan(at + 2);
    expect(seen.share).toBeLessThan(1.002);
  });

  it('a stop of category 0 is off at once; roused again it begins where it stood, and plays nothing of what waited', () => {
    const prop = rising(rig(0));
    const before = [...prop.telemetry.position.subarray(0, 8)];
    prop.ask(TYPE.stop);
    expect(prop.state).toBe('limp');
    expect(prop.controller.pulses.every((us) => us === 0)).toBe(true);
    prop.seconds(1);
    expect([...prop.telemetry.position.subarray(0, 8)]).toEqual(before);
    const seen = watchLimits(prop);
    prop.ask(TYPE.rouse);
    prop.until('live');
    expect(seen.highest).toBeLessThan(Math.max(0, nodOf(prop), toDeg(before[NOD]!)) + 1e-3);
    expect(nodOf(prop)).toBeCloseTo(0, 3);
    // Slowly, and from live on nothing moves that is not asked for.
    const still = [...prop.telemetry.position.subarray(0, 8)];
    prop.seconds(1);
    expect([...prop.telemetry.position.subarray(0, 8)]).toEqual(still);
  });

  it('silence that is noticed while the last frames still wait: they are played, and a stop then brakes at once', () => {
    const silent = (): Prop => {
      const its = rigOf({ delay_ms: 700, ahead_ms: 640, hz: 100 });
      const prop = new Prop(its);
      prop.rouse();
      // 64 rows at 100 Hz: 390 ms are left to be played when the 250 ms are over.
      feed(prop, 0.5, (t_s) => [HOME, -10 + 25 * t_s]);
      prop.until('holding');
      return prop;
    };
    const played = silent();
    const from = nodOf(played);
    played.seconds(1);
    expect(nodOf(played)).toBeGreaterThan(from + 3);
    const stopped = silent();
    expect(nodOf(stopped)).toBe(from);
    const seen = watchLimits(stopped);
    stopped.ask(TYPE.settle);
    stopped.seconds(3);
    expect(stopped.state).toBe('limp');
    expect(seen.highest).toBeLessThan(from + 0.6);
    expect(seen.share).toBeLessThan(1.002);
  });

  it('frames that the queue has no room for are counted and left out; what is played keeps every limit', () => {
    const prop = rising(rig());
    const seen = watchLimits(prop);
    const start_us = prop.now_us;
    // Ten seconds' worth at once, as fast as the line's ring takes them.
    for (let k = 0; k < 500; k++) {
      prop.pose(start_us + k * FRAME_US - prop.now_us, [0, 5, 0, 0, 0, 0, toRad(20 * Math.sin(k / 3)), 0]);
      if (k % 3 === 0) prop.run(1);
    }
    expect(prop.telemetry.counters[6]).toBeGreaterThan(100);
    expect(prop.telemetry.queued).toBeLessThanOrEqual(64);
    prop.seconds(12);
    expect(prop.state).toBe('holding');
    expect(seen.share).toBeLessThan(1.002);
    expect(seen.highest).toBeGreaterThan(15);
  });

  it('another rig, sent when it has settled, moves as if there had been none before', () => {
    const next = rigOf({ delay_ms: 160, ahead_ms: 100, platform: null, hz: 100 });
    const play = (prop: Prop): number[] => {
      const places: number[] = [];
      prop.rouse();
      prop.watch = (t) => places.push(...t.position.subarray(0, next.joints.length));
      const start_us = prop.now_us;
      for (let n = 0, k = 0; n < 200; n++) {
        for (; k * FRAME_US - 60_000 <= prop.now_us - start_us; k++)
          prop.pose(start_us + k * FRAME_US - prop.now_us, [...HOME, 0.3 * Math.sin(k / 5), 0.4]);
        prop.run(1);
      }
      return places;
    };
    const used = rising(rig());
    used.ask(TYPE.settle);
    used.until('limp');
    const image = packImage(next);
    for (const frame of used.send.image(image)) {
      used.tell(frame);
      used.run(1);
    }
    used.run(2);
    expect(used.answers.at(-1)!.result).toBe(RESULT.done);
    used.tell(used.send.command(TYPE.who));
    used.run(1);
    expect(used.iAm!.fingerprint).toBe(imageFingerprint(image));
    const fresh = new Prop(next);
    const places = play(Object.assign(used, { rig: next }));
    expect(places).toEqual(play(fresh));
    expect(new Set(places).size).toBeGreaterThan(100);
  });
});

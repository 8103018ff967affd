/** The guard's table, row by row (DEVELOPERS.md prints it), through the link and the board's inputs. */
import { describe, expect, it } from 'vitest';
import { RESET } from '../../host/controller/controller.ts';
import { RESULT, TYPE } from '../../host/controller/messages.ts';
import { toDeg } from '../../host/rig/rig.ts';
import { feed, live, off, on } from './guarded.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

describe('limp', () => {
  it('has no pulses and no power; frames, pause and settle move nothing', () => {
    const prop = new Prop(rigOf());
    feed(prop, 0.5, [5, 0, 0, 0, 0, 0]);
    expect(prop.ask(TYPE.pause)).toBe(RESULT.notNow);
    expect(prop.ask(TYPE.settle)).toBe(RESULT.notNow);
    expect(prop.state).toBe('limp');
    expect(off(prop)).toBe(true);
    expect(prop.controller.power).toBe(false);
  });

  it('does not rouse without a rig image', () => {
    const prop = new Prop(rigOf());
    prop.controller.init({});
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.noRig);
    expect(prop.state).toBe('limp');
  });

  it('does not rouse while the stop loop is open', () => {
    const prop = new Prop(rigOf());
    prop.controller.setStop(true);
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.notNow);
    prop.controller.setStop(false);
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
    expect(prop.state).toBe('rousing');
  });
});

describe('rousing', () => {
  it('begins pulses one joint at a time, at the rest, then moves slowly home', () => {
    const prop = new Prop(rigOf({ rest: [-8, 0, 0, 0, 0, 0] }));
    const seen: number[] = [];
    let fastest = 0;
    prop.watch = (t) => {
      const count = [...t.pulse_us].filter((us) => us !== 0).length;
      if (seen.at(-1) !== count) seen.push(count);
      if (count < 8) expect([...t.rise, ...t.fall].every((step) => step === 0)).toBe(true);
      prop.rig.joints.forEach(
        (_, i) => (fastest = Math.max(fastest, toDeg(Math.max(t.rise[i]!, -t.fall[i]!)) * prop.hz)),
      );
    };
    prop.rouse();
    expect(seen).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect(fastest).toBeLessThan(20.01);
    prop.rig.joints.forEach((joint, i) => {
      expect(prop.telemetry.position[i]).toBeCloseTo(joint.home, 5);
    });
  });

  it('goes to settling by settle and by the stop loop, and to limp at once by a category 0 stop', () => {
    for (const stop of [false, true]) {
      const prop = new Prop(rigOf());
      prop.ask(TYPE.rouse);
      prop.seconds(4);
      if (stop) prop.controller.setStop(true);
      else prop.ask(TYPE.settle);
      prop.run(1);
      expect(prop.state).toBe('settling');
      prop.until('limp');
    }
    const prop = new Prop(rigOf({ stopCategory: 0 }));
    prop.ask(TYPE.rouse);
    prop.seconds(4);
    prop.controller.setStop(true);
    prop.run(1);
    expect(prop.state).toBe('limp');
    expect(off(prop)).toBe(true);
    expect(prop.controller.power).toBe(false);
  });
});

describe('roused again before all first pulses were on', () => {
  /** Settles when three of eight joints have pulses. */
  const interrupted = (options: Parameters<typeof rigOf>[0] = {}): Prop => {
    const prop = new Prop(rigOf(options));
    prop.ask(TYPE.rouse);
    prop.seconds(1);
    expect(on(prop)).toBe(3);
    prop.ask(TYPE.settle);
    return prop;
  };

  it.each([0, 0.3])('the others have theirs before anything goes home, %d s after', (wait_s) => {
    const prop = interrupted({ restKind: 'powered', rest: [-8, 0, 0, 0, 0, 0] });
    prop.seconds(wait_s);
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
    prop.until('live');
    expect(on(prop)).toBe(8);
  });

  it('from a settling on its way: brakes first, within every limit', () => {
    const rig = rigOf();
    const before = live();
    feed(before, 1, [5, 2, 0, 0.05, 0, 0, 0.3, 0.5]);
    const prop = new Prop(rig, { resetReason: RESET.pin, places: before.controller.places() });
    prop.ask(TYPE.rouse);
    prop.seconds(1);
    prop.ask(TYPE.settle);
    prop.seconds(0.3);
    let moved = 0;
    prop.watch = (t) => {
      for (const [i, joint] of rig.joints.entries()) {
        moved = Math.max(moved, Math.abs(t.rise[i]!));
        expect(t.plus[i]! * prop.hz ** 2).toBeLessThanOrEqual(joint.plus * 1.002);
        expect(-t.minus[i]! * prop.hz ** 2).toBeLessThanOrEqual(joint.minus * 1.002);
      }
    };
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
    expect(moved).toBeGreaterThan(0);
    prop.until('live');
    expect(on(prop)).toBe(8);
  });
});

describe('live', () => {
  it('stays live while frames come, holds 250 ms after the last, is live again with the next', () => {
    const prop = live();
    feed(prop, 1);
    expect(prop.state).toBe('live');
    prop.seconds(0.36);
    expect(prop.state).toBe('holding');
    feed(prop, 0.2);
    expect(prop.state).toBe('live');
  });

  it('pauses at once', () => {
    const prop = live();
    feed(prop, 0.5);
    expect(prop.ask(TYPE.pause)).toBe(RESULT.done);
    expect(prop.state).toBe('holding');
    expect(on(prop)).toBe(8);
  });

  it('settles by message, then is limp at the rest', () => {
    const prop = live();
    feed(prop, 0.5, [4, 0, 0, 0.05, 0, 0, 0.2, 0.5]);
    prop.ask(TYPE.settle);
    expect(prop.state).toBe('settling');
    prop.until('limp');
    expect(off(prop)).toBe(true);
    prop.rig.joints.forEach((joint, i) => {
      expect(prop.telemetry.position[i]).toBeCloseTo(joint.rest, 5);
    });
  });
});

describe('the stop loop', () => {
  it('category 1 settles, then is off', () => {
    const prop = live();
    prop.controller.setStop(true);
    prop.run(1);
    expect(prop.state).toBe('settling');
    prop.until('limp');
    expect(prop.controller.power).toBe(false);
  });

  it('category 2 settles and keeps its pulses, until a settle message', () => {
    const prop = live({ stopCategory: 2 });
    prop.controller.setStop(true);
    prop.seconds(5);
    expect(prop.state).toBe('settling');
    expect(prop.telemetry.resting).toBe(true);
    expect(on(prop)).toBe(8);
    prop.controller.setStop(false);
    prop.ask(TYPE.settle);
    prop.until('limp');
  });

  it('category 0 takes pulses and power at once, from every state that has them', () => {
    for (const prepare of [
      (prop: Prop): void => feed(prop, 0.2),
      (prop: Prop): void => prop.seconds(0.5),
      (prop: Prop): void => void prop.ask(TYPE.settle),
    ]) {
      const prop = live({ stopCategory: 0 });
      prepare(prop);
      prop.controller.setStop(true);
      prop.run(1);
      expect(off(prop)).toBe(true);
      expect(prop.controller.power).toBe(false);
    }
  });
});

describe('holding', () => {
  it('settles by itself after the time the rig allows', () => {
    const prop = live({ hold_s: 2 });
    prop.seconds(0.4);
    expect(prop.state).toBe('holding');
    prop.seconds(1.7);
    expect(prop.state).toBe('holding');
    prop.seconds(0.5);
    expect(prop.state).toBe('settling');
  });
});

describe('settling', () => {
  it('stays at a rest that needs power, and says so', () => {
    const prop = live({ restKind: 'powered' });
    prop.ask(TYPE.settle);
    prop.seconds(5);
    expect(prop.state).toBe('settling');
    expect(prop.telemetry.resting).toBe(true);
    expect(on(prop)).toBe(8);
  });

  it('rouses again without new first pulses', () => {
    const prop = live();
    prop.ask(TYPE.settle);
    prop.run(20);
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
    let fewest = 8;
    prop.watch = () => (fewest = Math.min(fewest, on(prop)));
    prop.until('live');
    expect(fewest).toBe(8);
  });

  it('takes no frames', () => {
    const prop = live();
    prop.ask(TYPE.settle);
    feed(prop, 0.2, [5, 0, 0, 0, 0, 0]);
    expect(prop.telemetry.counters[7]).toBeGreaterThan(0);
    prop.until('limp');
  });
});

describe('tripped', () => {
  const trips: [string, (prop: Prop) => void, number][] = [
    ['link chaos', (prop) => prop.tell(Uint8Array.of(9, 9, 0, 9, 0, 9, 9, 0, 9, 0)), 1],
    ['a low supply', (prop) => prop.controller.setMeasured({ supply_mv: 5900 }), 2],
    ['late ticks', (prop) => prop.controller.setMeasured({ tick_us: 5100 }), 4],
  ];
  it.each(trips)('by %s: settles first, then off; latched until cleared at rest', (_, disturb, reason) => {
    const prop = live({ low_v: 6 });
    for (let n = 0; n < 200; n++) {
      disturb(prop);
      prop.run(1);
    }
    expect(prop.state).toBe('tripped');
    expect(prop.controller.trip).toBe(reason);
    expect(on(prop)).toBe(8);
    expect(prop.ask(TYPE.clear)).toBe(RESULT.notNow);
    prop.controller.setMeasured({ tick_us: 0, supply_mv: 7000 });
    prop.seconds(5);
    expect(off(prop)).toBe(true);
    expect(prop.state).toBe('tripped');
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.notNow);
    expect(prop.ask(TYPE.clear)).toBe(RESULT.done);
    expect(prop.state).toBe('limp');
  });

  it('stays so while the stop loop is open, at rest too', () => {
    const prop = live({ low_v: 6 });
    prop.controller.setMeasured({ supply_mv: 5000 });
    prop.seconds(5);
    expect([prop.state, off(prop)]).toEqual(['tripped', true]);
    prop.controller.setMeasured({ supply_mv: 7000 });
    prop.controller.setStop(true);
    expect(prop.ask(TYPE.clear)).toBe(RESULT.notNow);
    expect(prop.state).toBe('tripped');
    prop.controller.setStop(false);
    expect(prop.ask(TYPE.clear)).toBe(RESULT.done);
  });

  /** Ticks at 200 a second that the supply is low, then high, again and again, until it trips; null: not within ten seconds. */
  const tripsAfter = (low: number, high: number, supply_mv = 5900): number | null => {
    const prop = live({ low_v: 6 });
    for (let n = 0; n < 2000; n++) {
      prop.controller.setMeasured({ supply_mv: n % (low + high) < low ? supply_mv : 6100 });
      prop.run(1);
      if (prop.state === 'tripped') return n + 1;
    }
    return null;
  };

  it('by a supply that stays low for more than 100 ms, not by dips, however many', () => {
    expect(tripsAfter(1, 0)).toBe(21);
    expect(tripsAfter(20, 2000)).toBeNull();
    expect(tripsAfter(4, 5)).toBeNull();
    // Low for most of the time is low.
    expect(tripsAfter(5, 4)).toBeLessThan(200);
  });

  it('not by a supply that is not measured, nor by one that is exactly at its limit', () => {
    expect(tripsAfter(1, 0, 0)).toBeNull();
    expect(tripsAfter(1, 0, 6000)).toBeNull();
    const unwatched = live();
    unwatched.controller.setMeasured({ supply_mv: 1 });
    unwatched.seconds(2);
    expect(unwatched.controller.trip).toBe(0);
  });

  it('keeps the widths after a watchdog reset, waits for settle, clears only then', () => {
    const before = live();
    feed(before, 1, [5, 2, 0, 0.05, 0, 0, 0.3, 0.5]);
    const widths = [...before.controller.pulses];
    const prop = new Prop(before.rig, { resetReason: RESET.watchdog, places: before.controller.places() });
    prop.seconds(3);
    expect(prop.state).toBe('tripped');
    expect([...prop.controller.pulses]).toEqual(widths);
    expect(prop.ask(TYPE.clear)).toBe(RESULT.notNow);
    expect(prop.ask(TYPE.settle)).toBe(RESULT.done);
    prop.seconds(8);
    expect(off(prop)).toBe(true);
    expect(prop.ask(TYPE.clear)).toBe(RESULT.done);
  });

  it('is cleared to settled, not to limp, at a rest that needs power', () => {
    const prop = live({ low_v: 6, restKind: 'powered' });
    prop.controller.setMeasured({ supply_mv: 5000 });
    prop.seconds(5);
    expect(prop.state).toBe('tripped');
    expect(prop.telemetry.resting).toBe(true);
    prop.controller.setMeasured({ supply_mv: 7000 });
    expect(prop.ask(TYPE.clear)).toBe(RESULT.done);
    prop.seconds(1);
    expect(prop.state).toBe('settling');
    expect(prop.controller.trip).toBe(0);
    expect(prop.telemetry.resting).toBe(true);
    expect(on(prop)).toBe(8);
  });

  it('goes off at the rest even where a category 2 stop had it stay', () => {
    const prop = live({ low_v: 6, stopCategory: 2 });
    prop.controller.setStop(true);
    prop.seconds(5);
    expect(on(prop)).toBe(8);
    prop.controller.setMeasured({ supply_mv: 5000 });
    prop.seconds(1);
    expect(prop.state).toBe('tripped');
    expect(off(prop)).toBe(true);
  });

  it('keeps its first reason through a watchdog reset', () => {
    const before = live({ low_v: 6 });
    before.controller.setMeasured({ supply_mv: 5000 });
    before.seconds(0.15);
    const prop = new Prop(before.rig, { resetReason: RESET.watchdog, places: before.controller.places() });
    expect(prop.state).toBe('tripped');
    expect(prop.controller.trip).toBe(2);
    expect(on(prop)).toBe(8);
  });

  it('survives a reset by the reset pin', () => {
    const before = live({ low_v: 6 });
    before.controller.setMeasured({ supply_mv: 5000 });
    before.seconds(0.15);
    const prop = new Prop(before.rig, { resetReason: RESET.pin, places: before.controller.places() });
    expect(prop.state).toBe('tripped');
    expect(prop.controller.trip).toBe(2);
    expect(off(prop)).toBe(true);
  });

  it('does not survive a loss of power', () => {
    const prop = new Prop(rigOf(), { resetReason: RESET.power });
    expect(prop.state).toBe('limp');
  });
});

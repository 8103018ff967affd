/** A night: what ends a show, and what must be cleared before the next. What starts one: night.test.ts. */
import { describe, expect, it } from 'vitest';
import { RESET } from '../../host/controller/controller.ts';
import { TYPE } from '../../host/controller/messages.ts';
import { off } from './guarded.ts';
import { BUTTON, FLAG, KIND, NightProp, START, WHY, playing, sign, hold } from './night-bench.ts';
import { rigOf } from './rigs.ts';

describe('the stop loop', () => {
  it.each([
    [0, 'limp'],
    [1, 'settling'],
    [2, 'settling'],
  ] as const)(
    'in a show, category %d: at once %s; then no show before someone has cleared it',
    (stopCategory, state) => {
      const prop = playing({ pin: 0 }, {}, rigOf({ stopCategory }));
      prop.controller.setStop(true);
      prop.run(1);
      expect(prop.state).toBe(state);
      prop.seconds(10);
      expect(prop.state).toBe(stopCategory === 2 ? 'settling' : 'limp');
      expect(sign(prop)).toBe('3-1');
      expect(prop.show(0)).toBe(WHY.stopOpen);
      expect(prop.ask(TYPE.clear)).not.toBe(0);
      prop.controller.setStop(false);
      expect(prop.night).toBe('barred');
      prop.run(1);
      expect(sign(prop)).toBe('2-1');
      expect(prop.show(0)).toBe(WHY.barred);
      prop.tap(0);
      expect(prop.night).toBe('barred');
      expect(prop.kinds(KIND.stop)).toEqual([0]);
      expect(prop.kinds(KIND.stopped)).toEqual([]);
      expect(prop.ask(TYPE.clear)).toBe(0);
      expect(prop.kinds(KIND.cleared)).toEqual([0]);
      expect(prop.show(0)).toBe(WHY.done);
    },
  );

  it('open in the warning: it does not move, and that is no dirty stop; closing it starts nothing', () => {
    const prop = new NightProp([{ pin: 0, flags: START.level }], { flags: FLAG.loop | FLAG.barrier, pause_s: 1 });
    prop.untilNight('warning');
    prop.controller.setStop(true);
    prop.seconds(20);
    expect(off(prop)).toBe(true);
    prop.controller.setStop(false);
    prop.seconds(20);
    expect(prop.night).toBe('ready');
    expect(prop.show(0)).toBe(WHY.done);
  });
});

describe('a trip', () => {
  it('in a show: it settles, and no show before someone has cleared it, by the button or by the link', () => {
    for (const clear of ['button', 'link']) {
      const prop = playing({}, {}, rigOf({ low_v: 6 }));
      prop.controller.setMeasured({ supply_mv: 5000 });
      prop.until('tripped');
      prop.controller.setMeasured({ supply_mv: 7000 });
      prop.seconds(10);
      expect(off(prop)).toBe(true);
      expect(prop.night).toBe('barred');
      expect(sign(prop)).toBe('4-1');
      expect(prop.kinds(KIND.stopped)).toEqual([]);
      expect(prop.show(0)).toBe(WHY.barred);
      if (clear === 'button') hold(prop);
      else expect(prop.ask(TYPE.clear)).toBe(0);
      expect(prop.state).toBe('limp');
      expect(prop.night).toBe('ready');
      expect(prop.show(0)).toBe(WHY.done);
    }
  });

  it('by the watchdog: the widths that were kept settle by the button, then three seconds clear', () => {
    const before = playing();
    const prop = new NightProp([{}], {}, rigOf(), {
      resetReason: RESET.watchdog,
      places: before.controller.places(),
    });
    expect(prop.state).toBe('tripped');
    expect(off(prop)).toBe(false);
    expect(prop.show(0)).toBe(WHY.barred);
    prop.tap(BUTTON);
    prop.seconds(10);
    expect(off(prop)).toBe(true);
    expect(sign(prop)).toBe('5-1');
    hold(prop);
    expect(prop.show(0)).toBe(WHY.done);
  });
});

it('no show after the power went while it moved, until someone has cleared it', () => {
  const prop = new NightProp([{ pin: 0 }], { flags: FLAG.loop | FLAG.barrier, pause_s: 1 });
  prop.set('dirty', 1);
  prop.seconds(10);
  expect(prop.night).toBe('barred');
  expect(sign(prop)).toBe('2-2');
  expect(prop.show(0)).toBe(WHY.barred);
  prop.tap(BUTTON, 2.8);
  expect(prop.night).toBe('barred');
  hold(prop);
  expect(prop.night).not.toBe('barred');
  prop.untilNight('warning', 3);
});

it('a warning that is broken off counts as come to rest: nothing has moved', () => {
  for (const breakOff of [
    (prop: NightProp) => prop.stopShow(),
    (prop: NightProp) => prop.tap(BUTTON),
    (prop: NightProp) => prop.controller.setStop(true),
    (prop: NightProp) => prop.set('opened', 2),
  ]) {
    const prop = new NightProp();
    prop.show(0);
    prop.seconds(1);
    breakOff(prop);
    prop.seconds(0.2);
    expect(prop.notes.map(([kind]) => kind).filter((kind) => kind !== KIND.stop)).toEqual([
      KIND.power,
      KIND.started,
      KIND.stopped,
    ]);
  }
});

describe('the button', () => {
  it('pressed in a show it settles, at once, and nothing goes on by itself', () => {
    const prop = playing({}, { flags: FLAG.loop | FLAG.barrier, pause_s: 1 });
    prop.close(BUTTON);
    prop.seconds(0.05);
    expect(prop.state).toBe('settling');
    // Held on, it is not what three seconds at rest are.
    prop.seconds(20);
    prop.close(BUTTON, false);
    prop.seconds(5);
    expect(prop.night).toBe('ready');
    expect(prop.kinds(KIND.stop)).toEqual([2]);
    expect(prop.kinds(KIND.stopped)).toHaveLength(1);
    hold(prop);
    prop.untilNight('warning', 3);
  });

  it('a switch that is still closed starts nothing after it, until it has been opened', () => {
    const prop = new NightProp([{ pin: 0, flags: START.level, frames: 2000 }]);
    prop.seconds(1);
    prop.close(0);
    prop.untilNight('playing');
    prop.tap(BUTTON);
    prop.untilNight('ready');
    prop.seconds(10);
    expect(prop.night).toBe('ready');
    prop.close(0, false);
    prop.seconds(0.2);
    prop.close(0);
    prop.untilNight('warning', 1);
  });

  it('pressed in the warning it ends it', () => {
    const prop = new NightProp();
    prop.show(0);
    prop.seconds(2);
    prop.tap(BUTTON);
    prop.seconds(10);
    expect(off(prop)).toBe(true);
    expect(prop.night).toBe('ready');
  });

  it('stuck since power came, it does nothing until it has been let go', () => {
    const prop = new NightProp();
    prop.set('dirty', 1);
    prop.close(BUTTON);
    prop.seconds(5);
    // Closed later than power, but no sooner than it could be debounced.
    expect(prop.night).not.toBe('warning');
  });

  it.each([0.1, 5])('held down for %d s, it has a show over the link refused, until it is let go', (seconds) => {
    const prop = new NightProp();
    prop.seconds(1);
    prop.close(BUTTON);
    prop.seconds(seconds);
    expect(prop.show(0)).toBe(WHY.heldButton);
    expect(prop.kinds(KIND.refused)).toEqual([WHY.heldButton]);
    prop.seconds(1);
    expect(prop.night).toBe('ready');
    prop.close(BUTTON, false);
    prop.seconds(0.1);
    expect(prop.show(0)).toBe(WHY.done);
  });
});

it('a show whose data is wrong settles, and the light says so; a flash that does not answer too', () => {
  const prop = playing();
  prop.set('spoilt', 1);
  const spoilt = new NightProp([{ frames: 500 }]);
  spoilt.set('spoilt', 1);
  spoilt.show(0);
  spoilt.untilNight('ending');
  spoilt.until('limp');
  expect(spoilt.kinds(KIND.damaged)).toEqual([0]);
  expect(sign(spoilt)).toBe('5-2');
  const away = playing();
  away.set('away', 1);
  away.untilNight('ending', 5);
  expect(away.kinds(KIND.damaged)).toEqual([0]);
});

/** A night and who asks: the link while the board plays, and a pin. */
import { describe, expect, it } from 'vitest';
import { COUNTERS, TYPE } from '../../host/controller/messages.ts';
import { off } from './guarded.ts';
import { FLAG, KIND, NightProp, START, WHY, playing, sign, hold } from './night-bench.ts';

describe('the link, while the board plays', () => {
  it('its pose frames are refused, its silence does not matter', () => {
    const prop = playing({ frames: 1500 });
    prop.pose(20_000, [5, 0, 0, 0, 0, 0]);
    prop.run(1);
    expect(prop.telemetry.counters[COUNTERS.indexOf('refused')]).toBe(1);
    prop.seconds(20);
    expect(prop.night).toBe('playing');
    expect(prop.state).toBe('live');
  });

  it.each([
    ['settle', 'settling'],
    ['stop', 'settling'],
    ['pause', 'holding'],
  ] as const)('%s ends the show: %s', (what, state) => {
    const prop = playing({}, { flags: FLAG.loop | FLAG.barrier, pause_s: 1 });
    expect(prop.ask(TYPE[what])).toBe(0);
    prop.run(1);
    expect(prop.state).toBe(state);
    prop.until('limp');
    prop.run(1);
    expect(prop.kinds(KIND.stopped)).toHaveLength(1);
    // Nothing starts by itself until someone goes on.
    prop.seconds(20);
    expect(prop.night).toBe('ready');
    expect(sign(prop)).toBe('2-1');
    hold(prop);
    prop.untilNight('warning', 3);
  });

  it.each(['settle', 'stop', 'pause'] as const)('%s in the warning: it does not move', (what) => {
    const prop = new NightProp();
    prop.show(0);
    prop.seconds(2);
    expect(prop.ask(TYPE[what])).toBe(0);
    prop.seconds(10);
    expect(off(prop)).toBe(true);
    expect(prop.night).toBe('ready');
  });

  it.each([
    ['settle', 'limp'],
    ['pause', 'holding'],
  ] as const)('%s while it rouses: there is no show, it becomes %s', (what, state) => {
    const prop = new NightProp();
    prop.show(0);
    prop.untilNight('rousing');
    prop.seconds(1);
    expect(prop.ask(TYPE[what])).toBe(0);
    prop.until(state);
    prop.run(1);
    expect(prop.night).toBe('ready');
  });

  it('what waits for a joint to cool waits no longer once the link settles', () => {
    const prop = new NightProp([{ pin: 0, warmest: 40 }]);
    prop.tap(0);
    expect(prop.night).toBe('cooling');
    prop.ask(TYPE.settle);
    expect(prop.night).toBe('ready');
  });

  it('shows stop ends it too, and there must be one to end', () => {
    const prop = playing();
    expect(prop.stopShow()).toBe(WHY.done);
    expect(prop.night).toBe('ending');
    prop.until('limp');
    prop.run(2);
    expect(prop.stopShow()).toBe(WHY.notNow);
  });
});

describe('a pin', () => {
  it('counts once it has stood for the debouncing time', () => {
    const prop = new NightProp([{ pin: 0 }], { debounce_ms: 50 });
    for (let n = 0; n < 100; n++) {
      prop.close(0, n % 2 === 0);
      prop.run(9);
      expect(prop.night).toBe('ready');
    }
    prop.close(0);
    prop.run(9);
    expect(prop.night).toBe('ready');
    prop.run(4);
    expect(prop.night).toBe('warning');
  });

  it('edge: closing starts it once; what was closed when power came starts nothing', () => {
    const closed = new NightProp([{ pin: 0, frames: 50 }]);
    closed.close(0);
    closed.untilNight('warning', 1);
    closed.untilNight('playing');
    closed.untilNight('ready');
    closed.seconds(10);
    expect(closed.night).toBe('ready');
    closed.set('opened', 2);
    closed.seconds(10);
    expect(closed.night).toBe('ready');
    closed.close(0, false);
    closed.seconds(1);
    closed.tap(0);
    expect(closed.night).toBe('warning');
  });

  it('level: closed it starts again and again', () => {
    const prop = new NightProp([{ pin: 0, flags: START.level, frames: 50 }]);
    prop.close(0);
    for (let n = 0; n < 2; n++) {
      prop.untilNight('playing');
      prop.untilNight('idle');
      prop.untilNight('crossing', 1);
    }
    prop.close(0, false);
    prop.untilNight('ready');
    prop.seconds(10);
    expect(prop.night).toBe('ready');
  });

  it('level: closed when power comes it starts nothing that somebody should look at', () => {
    for (const [flags, night] of [
      [START.level, 'ready'],
      [START.level | START.unattended, 'warning'],
    ] as const) {
      const prop = new NightProp([{ pin: 0, flags }], { flags: FLAG.barrier });
      prop.close(0);
      prop.run(1);
      // A night that comes into force now finds it closed.
      prop.set('opened', 2);
      prop.seconds(3);
      if (flags === START.level) {
        expect(prop.night).toBe(night);
        prop.close(0, false);
        prop.seconds(0.2);
        prop.close(0);
        prop.seconds(0.2);
      }
      expect(prop.night).toBe('warning');
    }
  });

  it('a switch that is refused keeps no other from its start', () => {
    const prop = new NightProp([{ pin: 0, flags: START.level }, { pin: 1 }]);
    prop.set('damaged', 1);
    prop.close(0);
    prop.seconds(1);
    expect(prop.night).toBe('ready');
    prop.tap(1);
    expect(prop.night).toBe('warning');
    expect(prop.kinds(KIND.damaged)).toEqual([0]);
  });

  it('inverted: opening starts it', () => {
    const prop = new NightProp([{ pin: 0, flags: START.inverted }]);
    prop.close(0);
    prop.seconds(1);
    expect(prop.night).toBe('ready');
    prop.close(0, false);
    prop.seconds(0.1);
    expect(prop.night).toBe('warning');
  });
});

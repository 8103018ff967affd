/** A night: how a show begins and plays, alone too. Who asks for one: night-asked.test.ts. What ends one: night-stops.test.ts. */
import { describe, expect, it } from 'vitest';
import { TYPE } from '../../host/controller/messages.ts';
import { type Rig, toRad } from '../../host/rig/rig.ts';
import { off } from './guarded.ts';
import {
  FLAG,
  KIND,
  LINE,
  NightProp,
  START,
  WHY,
  type Plan,
  type Show,
  withStop,
  playing,
  sign,
} from './night-bench.ts';
import { rigOf } from './rigs.ts';

describe('a show from rest', () => {
  it('warns first, rouses, crosses over, plays, settles, and says so', () => {
    const prop = new NightProp([{ frames: 200 }]);
    expect(prop.night).toBe('ready');
    expect(prop.show(0)).toBe(WHY.done);
    let warned = 0;
    const seen: string[] = [];
    for (let n = 0; n < 60 * prop.hz && !(n > 10 && prop.night === 'ready'); n++) {
      if (seen.at(-1) !== prop.night) seen.push(prop.night);
      if (prop.on(LINE.warn)) {
        warned += 1;
        expect(off(prop)).toBe(true);
        expect(prop.on(LINE.light)).toBe(true);
      }
      if (prop.night === 'playing') expect(prop.on(LINE.light)).toBe(false);
      prop.run(1);
    }
    expect(seen).toEqual(['warning', 'rousing', 'crossing', 'playing', 'idle', 'ending']);
    expect(warned / prop.hz).toBeGreaterThanOrEqual(5);
    expect(warned / prop.hz).toBeLessThan(5.02);
    expect(prop.state).toBe('limp');
    expect(prop.notes.map(([kind]) => kind)).toEqual([KIND.power, KIND.started, KIND.stopped]);
  });

  it('does not move before what it has noted is written, and gives up where that does not come', () => {
    const prop = new NightProp();
    prop.set('unwritten', 1);
    prop.show(0);
    prop.seconds(7);
    expect(prop.night).toBe('warning');
    prop.seconds(2);
    expect(prop.night).toBe('ready');
    expect(prop.kinds(KIND.refused)).toEqual([WHY.notWritten]);
  });

  it('a link that rouses is warned of too', () => {
    const prop = new NightProp();
    prop.ask(TYPE.rouse);
    prop.seconds(4.9);
    expect(off(prop)).toBe(true);
    expect(prop.on(LINE.warn)).toBe(true);
    prop.until('live');
    expect(prop.night).toBe('ready');
  });

  it('plays what the show says: frames come out, joints held still stay at home', () => {
    const swing = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, toRad(8), toRad(20)];
    const reach = (still: number): number[] => {
      const prop = new NightProp([{ frames: 400, swing }]);
      prop.show(0, still);
      prop.untilNight('playing');
      const most = [0, 0];
      while (prop.night === 'playing') {
        for (const i of [0, 1]) most[i] = Math.max(most[i]!, Math.abs(prop.telemetry.position[6 + i]!));
        prop.run(1);
      }
      return most;
    };
    const free = reach(0);
    expect(free[0]).toBeCloseTo(toRad(8), 3);
    expect(free[1]).toBeCloseTo(toRad(20), 3);
    const held = reach(1 << 6);
    expect(held[0]).toBeLessThan(1e-6);
    expect(held[1]).toBeCloseTo(toRad(20), 3);
  });

  it('refuses what is not there, legs held still, a damaged show', () => {
    const prop = new NightProp([{}, {}, {}]);
    prop.set('removed', 2);
    prop.set('damaged', 4);
    expect(prop.show(3)).toBe(WHY.noNight);
    expect(prop.show(1)).toBe(WHY.noNight);
    expect(prop.show(0, 1)).toBe(WHY.malformed);
    expect(prop.show(0, 1 << 8)).toBe(WHY.malformed);
    expect(prop.show(2)).toBe(WHY.damaged);
    expect(prop.kinds(KIND.damaged)).toEqual([2]);
    expect(sign(prop)).toBe('5-2');
    expect(prop.show(0)).toBe(WHY.done);
  });

  it('waits until its bytes are known to be whole; while it lives, it rests for that', () => {
    const prop = new NightProp([{ frames: 50 }, { pin: 0, frames: 50 }], { flags: FLAG.idle });
    prop.set('unchecked', 3);
    prop.show(0);
    prop.seconds(3);
    expect(prop.night).toBe('ready');
    prop.set('unchecked', 2);
    prop.untilNight('idle');
    prop.tap(0);
    prop.untilNight('ready');
    prop.seconds(3);
    expect(prop.state).toBe('limp');
    prop.set('unchecked', 0);
    prop.untilNight('warning', 1);
  });

  it('sounds at its time after the first frame, or before it', () => {
    for (const [at_ms, ahead_ms] of [
      [500, 0],
      [-1500, 0],
      [500, 150],
    ] as const) {
      const rig = rigOf({ ahead_ms, delay_ms: 160 });
      const prop = new NightProp([{ frames: 300, sound: { at_ms, for_ms: 200 } }], {}, rig);
      prop.show(0);
      let [first, on, ticks] = [0, 0, 0];
      for (let n = 0; n < 30 * prop.hz; n++) {
        prop.run(1);
        if (prop.night === 'playing' && !first) first = n;
        if (prop.on(LINE.sound)) {
          if (!on) on = n;
          ticks += 1;
        }
      }
      expect(((on - first) / prop.hz) * 1000).toBeGreaterThanOrEqual(at_ms + ahead_ms - 10);
      expect(((on - first) / prop.hz) * 1000).toBeLessThanOrEqual(at_ms + ahead_ms + 10);
      expect(ticks).toBe(40);
    }
  });
});

describe('crossing over', () => {
  const far = [8, -4, 3, 0.06, 0.05, -0.08, 0, 0, 0, 0, 0, 0, toRad(20), toRad(50)];

  it('asks no more than the slow speeds, and lasts as long as the plan says where that is longer', () => {
    const prop = new NightProp([{ base: far, frames: 100 }, { frames: 100 }], { cross_ms: 200 });
    prop.show(0);
    prop.untilNight('crossing');
    let fastest = 0;
    const from = prop.now_us;
    while (prop.night === 'crossing') {
      prop.run(1);
      for (let i = 0; i < 8; i++)
        fastest = Math.max(fastest, Math.abs(prop.telemetry.rise[i]!), Math.abs(prop.telemetry.fall[i]!));
    }
    // 20 deg/s is what rousing and settling take.
    expect(fastest * prop.hz).toBeLessThan(toRad(20.2));
    expect(fastest * prop.hz).toBeGreaterThan(toRad(15));
    expect((prop.now_us - from) / 1e6).toBeGreaterThan((1.875 * 50) / 20);
    const slow = new NightProp([{ frames: 100 }], { cross_ms: 3000 });
    slow.show(0);
    slow.untilNight('crossing');
    const at = slow.now_us;
    slow.untilNight('playing');
    expect((slow.now_us - at) / 1e6).toBeGreaterThan(2.9);
    expect((slow.now_us - at) / 1e6).toBeLessThan(3.2);
  });

  it('out of a show begins where the prop stands, at the slow speeds', () => {
    const swing = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, toRad(15), toRad(50)];
    const prop = new NightProp([{ frames: 1000, swing }, { frames: 100 }], { cross_ms: 200 });
    prop.show(0);
    prop.untilNight('playing');
    // Where it turns, half a second into the first swing or later.
    const lid = (): number => prop.telemetry.position[7]!;
    while (lid() < toRad(49)) prop.run(1);
    for (let before = 0; lid() > before; prop.run(1)) before = lid();
    expect(prop.show(1)).toBe(WHY.done);
    let fastest = 0;
    prop.watch = (t) => {
      for (const i of [6, 7]) fastest = Math.max(fastest, Math.abs(t.rise[i]!), Math.abs(t.fall[i]!));
    };
    prop.untilNight('crossing', 1);
    prop.untilNight('playing');
    expect(lid()).toBeCloseTo(0, 3);
    expect(fastest * prop.hz).toBeGreaterThan(toRad(15));
    expect(fastest * prop.hz).toBeLessThan(toRad(24));
  });

  it.each([0, 150])('from one show to another, within every limit, %d ms ahead', (ahead_ms) => {
    const swing = [6, 5, 0, 0, 0.05, 0, 0, 0, 0, 0, 0, 0, toRad(15), toRad(50)];
    const prop = new NightProp(
      [
        { frames: 1000, swing },
        { frames: 300, base: far },
      ],
      {},
      rigOf({ ahead_ms, delay_ms: 160 }),
    );
    prop.show(0);
    prop.untilNight('playing');
    prop.seconds(0.7);
    prop.watch = (t) => {
      for (const [i, joint] of prop.rig.joints.entries()) {
        expect(Math.max(t.rise[i]!, -t.fall[i]!) * prop.hz).toBeLessThanOrEqual(joint.speed * 1.001);
        expect(t.plus[i]! * prop.hz ** 2).toBeLessThanOrEqual(joint.plus * 1.002);
        expect(-t.minus[i]! * prop.hz ** 2).toBeLessThanOrEqual(joint.minus * 1.002);
      }
    };
    expect(prop.show(1)).toBe(WHY.done);
    prop.untilNight('crossing', 1);
    prop.untilNight('playing');
    prop.seconds(1);
    expect(prop.telemetry.position[6]).toBeCloseTo(far[12]!, 3);
    expect(prop.get('show')).toBe(1);
  });
});

describe('what nobody looks at', () => {
  const WAYS: [string, Show, Plan][] = [
    ['a pin', { pin: 0, flags: START.unattended }, {}],
    ['a schedule', {}, { schedule: [{ after_s: 2, show: 0 }] }],
    ['a loop', {}, { flags: FLAG.loop, pause_s: 2 }],
  ];
  const started = (
    show: Show,
    plan: Plan,
    rig: Rig,
    prepare: (prop: NightProp) => unknown = () => undefined,
  ): NightProp => {
    const prop = new NightProp([show], plan, rig);
    prepare(prop);
    prop.seconds(1);
    if (show.pin !== undefined) prop.tap(show.pin);
    prop.seconds(4);
    return prop;
  };
  const behind = (plan: Plan): Plan => ({ ...plan, flags: (plan.flags ?? 0) | FLAG.barrier });

  it.each(WAYS)(
    '%s starts behind a barrier, with a stop loop, a rest without power and a clean last stop',
    (_, show, plan) => {
      expect(started(show, behind(plan), rigOf()).night).toBe('warning');
    },
  );

  it.each(WAYS)('%s: not without any one of them', (_, show, plan) => {
    for (const [prop, why] of [
      [started(show, plan, rigOf()), WHY.noBarrier],
      [started(show, behind(plan), withStop(null)), WHY.noStopLoop],
      [started(show, behind(plan), rigOf({ restKind: 'powered' })), WHY.restPowered],
      [started(show, behind(plan), rigOf(), (p) => p.set('dirty', 1)), WHY.barred],
    ] as const) {
      expect(off(prop)).toBe(true);
      expect(prop.night).not.toBe('warning');
      expect(prop.kinds(KIND.refused)).toEqual([why]);
    }
  });

  it('a refusal is noted once, however often the same comes again', () => {
    const prop = new NightProp([{}], { flags: FLAG.loop, pause_s: 0 });
    prop.seconds(60);
    expect(prop.kinds(KIND.refused)).toEqual([WHY.noBarrier]);
  });

  it('a loop goes from show to show with its pause, without those removed', () => {
    const prop = new NightProp(
      [{ frames: 50 }, { frames: 50 }, { frames: 50 }],
      behind({ flags: FLAG.loop | FLAG.idle, pause_s: 3 }),
    );
    prop.set('removed', 2);
    const shows: number[] = [];
    for (let n = 0; n < 4; n++) {
      prop.untilNight('playing');
      shows.push(prop.get('show'));
      prop.untilNight('idle');
      const from = prop.now_us;
      prop.untilNight('crossing');
      expect((prop.now_us - from) / 1e6).toBeGreaterThan(2);
      expect((prop.now_us - from) / 1e6).toBeLessThan(4.1);
    }
    expect(shows).toEqual([0, 2, 0, 2]);
  });

  it('a schedule keeps its times, a show that is late does not delay the next', () => {
    const schedule = [10, 5, 60].map((after_s, show) => ({ after_s, show }));
    const prop = new NightProp([{ frames: 50 }, { frames: 50 }, { frames: 50 }], behind({ schedule }));
    const begun: number[] = [];
    for (let n = 0; n < 120 * prop.hz; n++) {
      prop.run(1);
      const kinds = prop.kinds(KIND.started);
      if (kinds.length > begun.length) begun.push(n / prop.hz);
    }
    expect(prop.kinds(KIND.started)).toEqual([0, 1, 2]);
    expect(Math.abs(begun[0]! - 10)).toBeLessThan(1.1);
    expect(begun[1]).toBeGreaterThan(16);
    expect(Math.abs(begun[2]! - 75)).toBeLessThan(1.1);
  });
});

describe('warmth', () => {
  it('is a first-order model of every joint: as the exponential, within 1 %', () => {
    const prop = playing({ frames: 100000 }, { perTau: 1 / 60, hold: 0.1 });
    const from = prop.get('warm');
    prop.set('heat', 0.8);
    prop.seconds(60);
    expect(prop.get('warm')).toBeCloseTo(0.8 + (from - 0.8) * Math.exp(-1), 2);
  });

  it('a show that would get too warm waits, is counted on the light, and goes on by itself', () => {
    const prop = playing({ frames: 1500, warmest: 16, pin: 0 }, { perTau: 1 / 60 });
    prop.set('heat', 2);
    prop.untilNight('ready');
    const warm = prop.get('warm');
    expect(warm).toBeGreaterThan(0.6);
    expect(prop.show(0)).toBe(WHY.tooWarm);
    expect(prop.night).toBe('ready');
    prop.tap(0);
    expect(prop.night).toBe('cooling');
    expect(sign(prop)).toBe('1-2');
    prop.untilNight('warning', 120);
    expect(prop.get('warm')).toBeLessThanOrEqual(0.5);
    expect(prop.get('warm')).toBeGreaterThan(0.48);
    expect(prop.kinds(KIND.refused)).toEqual([WHY.tooWarm]);
  });
});

describe('idle life', () => {
  const look = [2, 2, 1, 0.02, 0.03, 0.03, 0, 0, 0, 0, 0, 0, toRad(5), 0];
  const breath = [0, 0, 0.5];
  const lively = (seed: number): NightProp => {
    const prop = new NightProp([{ frames: 50 }], {
      flags: FLAG.idle,
      seed,
      look,
      breath,
      lid: { joint: 7, shut: toRad(50) },
    });
    prop.show(0);
    prop.untilNight('idle');
    prop.seconds(3);
    return prop;
  };

  it('stays within its looks, and within limits; the lid shuts about 17 times a minute', () => {
    const prop = lively(7);
    let [nod, fastest, hardest, blinks, shut] = [0, 0, 0, 0, false];
    prop.watch = (t) => {
      nod = Math.max(nod, Math.abs(t.position[6]!));
      for (let i = 0; i < 7; i++) {
        fastest = Math.max(fastest, t.rise[i]!, -t.fall[i]!);
        hardest = Math.max(hardest, t.plus[i]!, -t.minus[i]!);
      }
      const is = t.position[7]! > toRad(45);
      if (is && !shut) blinks += 1;
      shut = is;
    };
    prop.seconds(300);
    expect(prop.night).toBe('idle');
    expect(prop.state).toBe('live');
    expect(nod).toBeLessThanOrEqual(toRad(5) + 1e-6);
    expect(nod).toBeGreaterThan(toRad(4));
    expect(fastest * prop.hz).toBeLessThan(toRad(25));
    expect(hardest * prop.hz ** 2).toBeLessThan(toRad(1500));
    // Five minutes of a Poisson process: 85 and three standard deviations.
    expect(blinks).toBeGreaterThan(85 - 28);
    expect(blinks).toBeLessThan(85 + 28);
  });

  it('the same seed gives the same life to the bit, another another', () => {
    const lives = [3, 3, 4].map((seed) => {
      const prop = lively(seed);
      const seen: number[] = [];
      for (let n = 0; n < 60; n++) {
        prop.seconds(1);
        seen.push(...prop.telemetry.position);
      }
      return seen;
    });
    expect(lives[0]).toEqual(lives[1]);
    expect(lives[0]).not.toEqual(lives[2]);
  });

  it('rests when a joint is as warm as it may get', () => {
    const prop = new NightProp([{ frames: 50 }], { flags: FLAG.idle, perTau: 1 / 20, hold: 1.2 });
    prop.show(0);
    prop.untilNight('idle');
    prop.untilNight('ready', 120);
    expect(prop.get('warm')).toBeLessThan(1.05);
  });
});

/**
 * Looking ahead: with a look-ahead of its braking time and a tick no joint goes past what it is asked, whatever that is; inside
 * the limits it changes not one bit; and where nothing more is known (pause, silence, late frames, settling, a reset) the prop is
 * as calm as without. What is asked is what a twin of every joint does that has no limits to speak of.
 */
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { RESET, instantiateController } from '../../host/controller/controller.ts';
import { packImage } from '../../host/controller/image.ts';
import { TYPE } from '../../host/controller/messages.ts';
import { ForwardSolver } from '../../host/physics/kinematics/forward.ts';
import { ticksToStop } from '../../host/rig/look-ahead.ts';
import { HOME, toDeg } from '../../host/rig/rig.ts';
import { type Chance, type Past, pairsOf, pastOf, playPairs, wildLimits, wildStream } from './ahead-streams.ts';
import { Prop, WASM } from './prop.ts';
import { type RigOptions, rigOf } from './rigs.ts';

const SEED = 91;
const chanceOf = (seed: number): Chance => {
  const random = xoroshiro128plus(seed);
  return () => uniformFloat32(random);
};
/** Ticks a second of the rigs. */
const RATES = [50, 100, 200, 250, 333, 500, 1000];
const PLACES = 1024;

/** Worst of random rigs of one to five joints at one rate, with a share of the look-ahead that their braking takes. */
function worstOf(hz: number, share: number, runs: number, ticks: number): Past {
  const chance = chanceOf(SEED + hz);
  const worst = { deg: 0, excess: 0 };
  for (let run = 0; run < runs; run++) {
    const pairs = 1 + (run % 5);
    const most = Math.floor(PLACES / (2 * pairs + 6));
    const limits = Array.from({ length: pairs }, () => wildLimits(chance, hz, Math.min(most - 1, hz / 2)));
    const joints = pairsOf(hz, limits, 0).joints.filter((_, i) => i % 2 === 0);
    const need = Math.max(...joints.map((joint) => ticksToStop(joint, hz)));
    const frame_s = Math.max(1 / hz, 0.004 + 0.04 * chance());
    const streams = limits.map((its) => wildStream(chance, its, frame_s));
    const played = playPairs(pairsOf(hz, limits, Math.round(need * share)), frame_s, streams, ticks);
    for (let pair = 0; pair < pairs; pair++) {
      const { deg, excess } = pastOf(played, pair);
      worst.deg = Math.max(worst.deg, deg);
      worst.excess = Math.max(worst.excess, excess);
    }
  }
  return worst;
}

describe('a stream that asks too much', () => {
  it.each(RATES)(
    'at %i Hz nothing goes past by more than 0.05 deg or 0.5 % of the move, with the braking time and a tick',
    (hz) => {
      const { excess } = worstOf(hz, 1, 29, 5000);
      expect(excess, `seed ${String(SEED + hz)}`).toBeLessThan(1);
    },
  );

  it('with half of that, or none, it does', () => {
    expect(worstOf(200, 0.5, 10, 4000).excess).toBeGreaterThan(1);
    expect(worstOf(200, 0, 10, 4000).deg).toBeGreaterThan(3);
  });
});

/** Positions of all joints, tick by tick, to the bit; of a stream of poses and joints whose size is a share of its greatest. */
function smooth(options: RigOptions, size: number): { readonly bits: Uint32Array; readonly held: number } {
  const prop = new Prop(rigOf({ delay_ms: 120, ...options }));
  prop.rouse();
  const start_us = prop.now_us;
  const places: number[] = [];
  let held = 0;
  prop.watch = (t) => {
    places.push(...t.position.subarray(0, 8));
    held += t.held.subarray(0, 8).reduce((sum, ticks) => sum + ticks, 0);
  };
  for (let k = 0, n = 0; n < 4 * prop.hz; n++) {
    for (; k * 20_000 - 60_000 <= prop.now_us - start_us; k++) {
      const share = Math.min(1, k / 50);
      const ease = share ** 3 * (share * (6 * share - 15) + 10);
      const at = (hz: number, most: number): number => ease * size * most * Math.sin(2 * Math.PI * hz * k * 0.02);
      const lid = ease * size * 0.8 * (0.5 - 0.5 * Math.cos(k / 9));
      prop.pose(start_us + k * 20_000 - prop.now_us, [
        at(0.7, 6),
        at(0.5, 5),
        at(0.9, 4),
        at(0.8, 0.06),
        at(0.6, 0.05),
        at(1, 0.06),
        at(0.8, 0.2),
        lid,
      ]);
    }
    prop.run(1);
  }
  return { bits: new Uint32Array(Float32Array.from(places).buffer), held };
}

describe('inside the limits', () => {
  it.each([50, 200, 250, 1000])('at %i Hz not one bit is changed', (hz) => {
    // Ticks of whole microseconds: the delay is the same to the bit.
    const without = smooth({ hz }, 0.5);
    const ahead = smooth({ hz, ahead_ms: 60 }, 0.5);
    expect(without.held).toBe(0);
    expect(ahead.bits).toEqual(without.bits);
    expect(new Set(without.bits).size).toBeGreaterThan(500);
  });

  it('outside them bits are changed', () => {
    const without = smooth({}, 2.5);
    expect(without.held).toBeGreaterThan(10);
    expect(smooth({ ahead_ms: 60 }, 2.5).bits).not.toEqual(without.bits);
  });
});

/** A live prop that looks so far ahead, ms. */
const live = (ahead_ms: number, options: RigOptions = {}): Prop => {
  const prop = new Prop(rigOf({ delay_ms: ahead_ms + 60, ahead_ms, ...options }));
  prop.rouse();
  return prop;
};
/** Plays the nod's place (deg) of a time (s) for so many seconds, frames 20 ms apart, 60 ms ahead. */
const swing = (
  prop: Prop,
  seconds: number,
  nod: (t_s: number) => number,
  pose: (t_s: number) => readonly number[] = () => HOME,
): void => {
  const start_us = prop.now_us;
  for (let n = 0, k = 0; n < seconds * prop.hz; n++) {
    for (; k * 20_000 - 60_000 <= prop.now_us - start_us; k++)
      prop.pose(start_us + k * 20_000 - prop.now_us, [...pose(k * 0.02), (nod(k * 0.02) * Math.PI) / 180, 0]);
    prop.run(1);
  }
};
const NOD = 6;
const nodOf = (prop: Prop): number => toDeg(prop.telemetry.position[NOD]!);

describe('where nothing more is known', () => {
  it('a pause stops as soon as braking takes, without going back, whatever the look-ahead', () => {
    const stopped = [0, 100, 350].map((ahead_ms) => {
      const prop = live(ahead_ms);
      // 60 deg/s upward: it brakes from that in 40 ms.
      swing(prop, 1.2 + (60 + ahead_ms) / 1000, (t_s) => Math.min(25, Math.max(-20, -20 + 60 * (t_s - 1))));
      const from = nodOf(prop);
      let least = 0;
      let ticks = 0;
      prop.watch = (t) => {
        least = Math.min(least, t.fall[NOD]!);
        if (t.rise[NOD]! !== 0 || t.fall[NOD]! !== 0) ticks++;
      };
      expect(prop.ask(TYPE.pause)).toBe(0);
      prop.seconds(1);
      expect(prop.state).toBe('holding');
      return { further: nodOf(prop) - from, ticks, least };
    });
    for (const { further, ticks } of stopped) {
      expect(further).toBeGreaterThan(-0.01);
      expect(further).toBeLessThan(3.4);
      expect(ticks).toBeLessThan(0.1 * 200);
    }
    for (const { least } of stopped.slice(1)) expect(least).toBeGreaterThan(-1e-6);
  });

  it('after a pause the plate stands where its legs do, and follows again', () => {
    const prop = live(300);
    const turning = (t_s: number) => [0, 4 * Math.sin(3 * t_s), 0, 0, 0, 0.12 * Math.sin(3 * t_s)] as const;
    swing(prop, 1, () => 0, turning);
    prop.ask(TYPE.pause);
    prop.seconds(1);
    const solver = new ForwardSolver(prop.rig.platform!);
    const plate: [number, number, number, number, number, number] = [...HOME];
    expect(solver.solve(prop.telemetry.position, plate, plate)).toBe(true);
    const kept = new Float32Array(prop.controller.places().slice().buffer, 8 + 4 * 16, 6);
    plate.forEach((value, k) => {
      expect(kept[k]).toBeCloseTo(value, 4);
    });
    expect(Math.abs(plate[1])).toBeGreaterThan(0.5);
    swing(prop, 1, () => 0, turning);
    expect(prop.state).toBe('live');
    expect(prop.telemetry.held.every((ticks) => ticks === 0)).toBe(true);
  });

  it('a stream that ends in motion stops on its last frame, and does not go past it', () => {
    const prop = live(100);
    let highest = -90;
    prop.watch = (t) => (highest = Math.max(highest, toDeg(t.highest[NOD]!)));
    swing(prop, 0.5, (t_s) => -20 + 60 * t_s);
    prop.seconds(1);
    expect(prop.state).toBe('holding');
    // The last frame was sent for 0.54 s.
    expect(highest).toBeLessThan(-20 + 60 * 0.54 + 0.05);
    expect(nodOf(prop)).toBeCloseTo(-20 + 60 * 0.54, 2);
  });

  it('frames that come later than the rest of the delay bears are caught up with within every limit', () => {
    const prop = live(100);
    const { joints } = prop.rig;
    let plus = 0;
    prop.watch = (t) => {
      const most = Math.max(t.plus[NOD]!, -t.minus[NOD]!);
      plus = Math.max(plus, (most * 200 * 200) / joints[NOD]!.plus);
    };
    const start_us = prop.now_us;
    const at = (us: number): number => 0.3 * Math.sin((us - start_us) / 300_000);
    let astray = 0;
    for (let n = 0; n < 600; n++) {
      const late = n > 200 && n < 300;
      const us = start_us + n * 5000 + (late ? -90_000 : 0);
      if (n % 4 === 0) prop.pose(us - prop.now_us, [...HOME, at(us), 0]);
      prop.run(1);
      // The newest is 90 to 110 ms old and waits for 100.
      if (n > 250 && n < 300)
        astray = Math.max(astray, Math.abs(prop.telemetry.position[NOD]! - at(prop.now_us - 200_000)));
    }
    expect(astray).toBeLessThan(0.05);
    expect(plus).toBeLessThan(1.002);
    expect(plus).toBeGreaterThan(0.5);
    expect(prop.telemetry.counters[4]).toBeGreaterThan(10);
    // The nod is played 160 ms after its instants again.
    expect(prop.telemetry.position[NOD]).toBeCloseTo(at(prop.now_us - 160_000), 2);
  });
});

describe('the guard', () => {
  it('settles from where the prop is, not from where it was going to be: no joint jumps, no leg is asked to', () => {
    const prop = live(300);
    swing(
      prop,
      1.2,
      (t_s) => 15 * Math.sin(3 * t_s),
      (t_s) => [0, 5 * Math.sin(3 * t_s), 0, 0, 0, 0],
    );
    const before = [...prop.telemetry.position];
    prop.ask(TYPE.settle);
    expect(prop.state).toBe('settling');
    // The pose that it settles from is the legs' own.
    const plate: [number, number, number, number, number, number] = [...HOME];
    expect(new ForwardSolver(prop.rig.platform!).solve(prop.telemetry.position, plate, plate)).toBe(true);
    const from = new Float32Array(prop.controller.places().slice().buffer, 8 + 4 * 16, 6);
    expect(Math.abs(from[1]! - plate[1])).toBeLessThan(0.2);
    let furthest = 0;
    prop.watch = (t) =>
      before.slice(0, 6).forEach((at, i) => {
        furthest = Math.max(furthest, toDeg(Math.abs(t.position[i]! - at)));
      });
    prop.seconds(0.2);
    expect(furthest).toBeLessThan(4);
    // Braked to the slow speeds, the legs are where the plate is asked to be: nothing is left of a jump to make good.
    let held = 0;
    prop.watch = (t) => (held += Math.max(...t.held.subarray(0, 6)));
    prop.seconds(0.1);
    expect(held).toBe(0);
    prop.until('limp');
    expect(nodOf(prop)).toBeCloseTo(-20, 3);
  });

  it('keeps the place of the prop, not of what waits, over a watchdog’s reset', () => {
    const prop = live(300);
    swing(
      prop,
      1.2,
      (t_s) => 15 * Math.sin(3 * t_s),
      (t_s) => [0, 5 * Math.sin(3 * t_s), 0, 0, 0, 0],
    );
    const places = prop.controller.places().slice();
    const solver = new ForwardSolver(prop.rig.platform!);
    const plate: [number, number, number, number, number, number] = [...HOME];
    expect(solver.solve(prop.telemetry.position, plate, plate)).toBe(true);
    const kept = new Float32Array(places.buffer, 8 + 4 * 16, 6);
    plate.forEach((value, k) => {
      expect(kept[k]).toBeCloseTo(value, 4);
    });
    const after = new Prop(prop.rig, { places, resetReason: RESET.watchdog });
    expect(after.state).toBe('tripped');
    expect([...after.telemetry.position.subarray(0, 8)]).toEqual([...prop.telemetry.position.subarray(0, 8)]);
    after.ask(TYPE.settle);
    let rise = 0;
    after.watch = (t) => (rise = Math.max(rise, ...[...t.rise.subarray(0, 6)].map(Math.abs)));
    after.seconds(3);
    expect(toDeg(rise) * 200).toBeLessThan(20.1);
  });

  it('refuses an image whose look-ahead the ring does not hold', () => {
    const rig = rigOf({ delay_ms: 500 });
    const refusal = (ticks: number): number =>
      instantiateController(WASM).init({
        image: packImage({ ...rig, motion: { ...rig.motion, look_ahead_ms: (ticks * 1000) / rig.motion.tick_hz } }),
      });
    const most = Math.floor(PLACES / (rig.joints.length + 6));
    expect(refusal(most)).toBe(0);
    expect(refusal(most + 1)).toBe(5);
  });
});

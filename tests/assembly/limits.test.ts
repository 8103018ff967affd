/**
 * Whatever comes over the link, the joints stay inside their limits: pulses in range, soft limits within 1e-4 deg, speed,
 * plus and minus within 0.2 %. Random streams at several rates; the seed is printed when a test fails.
 */
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { describe, expect, it } from 'vitest';
import { TYPE } from '../../host/controller/messages.ts';
import { toDeg } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { type RigOptions, crankPlatform, linearPlatform, rigOf } from './rigs.ts';

const SEED = 20260;

/**
 * Worst excess seen: pulses outside, degrees (or mm) past a soft limit, shares of the rate limits. Rates are those that the
 * controller reports of itself; `seen` is what successive positions say, which their f32 rounding blurs: four units in the last
 * place of the position, divided by the tick squared.
 */
class Worst {
  pulses = 0;
  past = 0;
  speed = 0;
  plus = 0;
  minus = 0;
  seen = 0;
  private readonly before = new Float64Array(16);
  private readonly step = new Float64Array(16);
  private follows = 0;

  watch(prop: Prop): void {
    prop.watch = (t) => {
      const { rig, hz } = prop;
      this.follows++;
      rig.joints.forEach((joint, i) => {
        const position = t.position[i]!;
        const step = position - this.before[i]!;
        const change = step - this.step[i]!;
        this.before[i] = position;
        this.step[i] = step;
        const pulse = t.pulse_us[i]!;
        // A joint is placed anew when its pulses begin.
        if (pulse === 0) {
          this.follows = 0;
          return;
        }
        if (!(pulse >= joint.range_us[0] && pulse <= joint.range_us[1])) this.pulses++;
        const past = Math.max(joint.lo - t.lowest[i]!, t.highest[i]! - joint.hi);
        this.past = Math.max(this.past, joint.unit === 'deg' ? toDeg(past) : past);
        if (!(past < 1)) this.past = Infinity;
        this.speed = Math.max(this.speed, (Math.max(t.rise[i]!, -t.fall[i]!) * hz) / joint.speed);
        this.plus = Math.max(this.plus, (t.plus[i]! * hz * hz) / joint.plus);
        this.minus = Math.max(this.minus, (-t.minus[i]! * hz * hz) / joint.minus);
        if (this.follows < 4) return;
        const blur = 4 * Math.max(1, Math.abs(position)) * 2 ** -23;
        const limit = change > 0 ? joint.plus : joint.minus;
        this.seen = Math.max(this.seen, ((Math.abs(change) - blur) * hz * hz) / limit);
      });
    };
  }

  check(): void {
    const context = `seed ${String(SEED)}`;
    expect(this.pulses, context).toBe(0);
    expect(this.past, context).toBeLessThan(1e-4);
    expect(this.speed, context).toBeLessThan(1.002);
    expect(this.plus, context).toBeLessThan(1.002);
    expect(this.minus, context).toBeLessThan(1.002);
    expect(this.seen, context).toBeLessThan(1.002);
    expect(this.seen, context).toBeGreaterThan(0.9);
  }
}

/** Whether a frame is asked at once: a hand and a stream by turns, or either at random from frame to frame. */
function turns(chance: () => number): () => boolean {
  let share = 0;
  return () => {
    if (chance() < 0.05) share = [0, 0.5, 1][Math.floor(chance() * 3)]!;
    return chance() < share;
  };
}

/**
 * A stream of everything: steps, ramps, reversals, NaN, infinities, bursts, gaps, commands, garbage; where the rig looks ahead,
 * frames asked at once among those that are looked ahead to.
 * @returns how many ticks it was live, and how often then a frame asked at once followed one that was not, or the other way round
 */
function torment(options: RigOptions, ticks: number): { worst: Worst; moved: number; turned: number } {
  const prop = new Prop(rigOf(options));
  const worst = new Worst();
  worst.watch(prop);
  const random = xoroshiro128plus(SEED);
  const chance = (): number => uniformFloat32(random);
  const scale = [30, 30, 30, 0.6, 0.6, 0.6, 0.8, 1.2];
  const values = scale.map(() => 0);
  const isAtOnce = options.ahead_ms ? turns(chance) : () => false;
  let before = false;
  let turned = 0;
  let gap = 0;
  let moved = 0;
  for (let n = 0; n < ticks; n++) {
    if (prop.state !== 'live' && prop.state !== 'rousing' && chance() < 0.05) {
      prop.tell(prop.send.command(TYPE.clear));
      prop.tell(prop.send.command(TYPE.rouse));
    }
    if (gap > 0) gap--;
    else {
      const what = chance();
      if (what < 0.3) values.forEach((_, k) => (values[k] = (2 * chance() - 1) * scale[k]!));
      else if (what < 0.6) values.forEach((v, k) => (values[k] = v + (chance() - 0.5) * 0.1 * scale[k]!));
      else if (what < 0.62)
        values[Math.floor(chance() * 8)] = [NaN, Infinity, -Infinity, 1e30, -0][Math.floor(chance() * 5)]!;
      else if (what < 0.63) gap = Math.floor(chance() * prop.hz);
      else if (what < 0.64) values.forEach((v, k) => (values[k] = -v));
      const frames = what > 0.99 ? 5 : 1;
      for (let f = 0; f < frames; f++) {
        const atOnce = isAtOnce();
        if (atOnce !== before && prop.state === 'live') turned++;
        before = atOnce;
        prop.pose(chance() < 0.02 ? (chance() - 0.5) * 8e9 : 5e5 * (chance() - 0.3) + 2e4 * f, values, atOnce);
      }
      if (what > 0.995) prop.tell(Uint8Array.from({ length: 40 }, () => Math.floor(chance() * 256)));
      if (what > 0.9985) prop.tell(prop.send.command([TYPE.pause, TYPE.settle, TYPE.stop][Math.floor(chance() * 3)]!));
      values.forEach((v, k) => {
        if (!Number.isFinite(v) || Math.abs(v) > 1e6) values[k] = 0;
      });
    }
    prop.run(1);
    if (prop.state === 'live') moved++;
  }
  return { worst, moved, turned };
}

describe('limits hold for any stream', () => {
  const cases: [string, RigOptions, number][] = [
    ['crank platform at 200 Hz', {}, 300_000],
    ['crank platform at 50 Hz', { hz: 50 }, 100_000],
    ['crank platform at 1000 Hz', { hz: 1000 }, 200_000],
    [
      'crank platform, other branch free of rod ends, 250 Hz',
      { hz: 250, platform: crankPlatform({ rodEnds: false, upright: true }) },
      100_000,
    ],
    ['linear platform at 100 Hz', { hz: 100, platform: linearPlatform() }, 100_000],
    ['joints alone at 400 Hz', { hz: 400, platform: null }, 100_000],
    ['with pose speeds at 200 Hz', { poseSpeed: [60, 60, 60, 1, 1, 1] }, 100_000],
    ['wobble cured exactly, 200 Hz', { wobble: { cure: 'exact', hz: 2.3, damping: 0.03 } }, 100_000],
    ['wobble cured tolerantly, 1000 Hz', { hz: 1000, wobble: { cure: 'tolerant', hz: 9, damping: 0 } }, 200_000],
    [
      'wobble cured broadly, linear platform at 1000 Hz',
      { hz: 1000, platform: linearPlatform(), wobble: { cure: 'broad', hz: 8, damping: 0.05 } },
      200_000,
    ],
    [
      'wobble cured broadly, joints alone at 50 Hz',
      { hz: 50, platform: null, wobble: { cure: 'broad', hz: 1, damping: 0.01 } },
      50_000,
    ],
  ];
  it.each(cases)('%s', (_, options, ticks) => {
    const { worst, moved } = torment(options, ticks);
    expect(moved).toBeGreaterThan(ticks / 4);
    worst.check();
  });

  // Look-ahead as long as the ring holds (1024 places of 14, without a platform of 8), or shorter than braking takes.
  const turning: [string, RigOptions, number][] = [
    ['crank platform at 200 Hz, 60 ms ahead', { delay_ms: 120, ahead_ms: 60 }, 200_000],
    ['crank platform at 200 Hz, 365 ms ahead', { delay_ms: 400, ahead_ms: 365 }, 100_000],
    ['crank platform at 50 Hz, 200 ms ahead', { hz: 50, delay_ms: 240, ahead_ms: 200 }, 50_000],
    ['crank platform at 1000 Hz, 70 ms ahead', { hz: 1000, delay_ms: 100, ahead_ms: 70 }, 100_000],
    [
      'linear platform at 100 Hz with pose speeds, 150 ms ahead',
      { hz: 100, platform: linearPlatform(), poseSpeed: [60, 60, 60, 1, 1, 1], delay_ms: 180, ahead_ms: 150 },
      50_000,
    ],
    ['joints alone at 400 Hz, 5 ms ahead', { hz: 400, platform: null, ahead_ms: 5 }, 100_000],
    [
      'wobble cured exactly, 200 Hz, 100 ms ahead',
      { wobble: { cure: 'exact', hz: 2.3, damping: 0.03 }, delay_ms: 160, ahead_ms: 100 },
      50_000,
    ],
  ];
  it.each(turning)('a hand and a stream by turns: %s', (_, options, ticks) => {
    const { worst, moved, turned } = torment(options, ticks);
    expect(moved).toBeGreaterThan(ticks / 4);
    expect(turned).toBeGreaterThan(ticks / 200);
    worst.check();
  });
});

describe('random bytes', () => {
  it('never move a pulse out of range, and the link still answers', () => {
    const prop = new Prop(rigOf());
    const worst = new Worst();
    worst.watch(prop);
    prop.rouse();
    const random = xoroshiro128plus(SEED);
    for (let n = 0; n < 20_000; n++) {
      const length = Math.floor(uniformFloat32(random) * 64);
      prop.tell(Uint8Array.from({ length }, () => Math.floor(uniformFloat32(random) * 256)));
      prop.run(1);
    }
    worst.check();
    expect(prop.state).toBe('tripped');
    prop.tell(Uint8Array.of(0));
    prop.tell(prop.send.command(TYPE.who));
    prop.seconds(0.1);
    expect(prop.iAm?.tick_hz).toBe(200);
  });
});

/** Wobbles from records made up for it: known frequency and damping, noise from a seed, hands that push and pick up. */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { wobbleOfSwings } from '../../../../host/physics/vibration/decrement.ts';
import { type Shake, wobbleOfShake } from '../../../../host/physics/vibration/shake.ts';

const SEED = 41;

/** Normal noise of deviation 1, by Box and Muller. */
function noiseOf(seed: number): () => number {
  const random = xoroshiro128plus(seed);
  return () => Math.sqrt(-2 * Math.log(1 - uniformFloat64(random))) * Math.cos(2 * Math.PI * uniformFloat64(random));
}

interface Made {
  readonly hz?: number;
  readonly damping?: number;
  readonly noise?: number;
  readonly rate?: number;
  readonly seconds?: number;
  readonly seed?: number;
  /** What else moves it. */
  readonly also?: (t: number) => number;
}

/** One push of size 10 at 1.3 s; before and after nothing but noise about 9.8, as a phone records. */
function made({ hz = 3.2, damping = 0.03, noise = 0.2, rate = 100, seconds = 8, seed = SEED, also = () => 0 }: Made) {
  const random = noiseOf(seed);
  const w = 2 * Math.PI * hz;
  const turn = w * Math.sqrt(1 - damping * damping);
  const t_s = Float64Array.from({ length: seconds * rate }, (_, i) => 100 + i / rate + (0.1 / rate) * random());
  const ring = (t: number): number =>
    t < 1.3 ? 0 : 10 * Math.exp(-damping * w * (t - 1.3)) * Math.sin(turn * (t - 1.3));
  const values = t_s.map((t) => 9.8 + ring(t - 100) + also(t - 100) + noise * random());
  return { t_s, columns: [{ name: 'ay', values }] };
}

function found(record: Parameters<typeof wobbleOfShake>[0]): Shake {
  const shake = wobbleOfShake(record);
  if ('problem' in shake) expect.fail(shake.problem);
  return shake;
}

describe('a clean push', () => {
  it.each([
    [0.8, 0.02, 100, 25],
    [3.2, 0.03, 100, 8],
    [3.2, 0.1, 100, 8],
    [7.5, 0.01, 60, 6],
    [12, 0.05, 400, 5],
  ])('%d Hz, damping %d, %d points a second: found within what it says', (hz, damping, rate, seconds) => {
    const shake = found(made({ hz, damping, rate, seconds }));
    expect(Math.abs(shake.hz - hz)).toBeLessThan(Math.max(2 * shake.hz_within, 1e-3 * hz));
    expect(Math.abs(shake.damping - damping)).toBeLessThan(Math.max(2 * shake.damping_within, 1e-3));
    expect(shake.hz_within / hz).toBeLessThan(0.02);
    expect(shake.explained).toBeGreaterThan(0.95);
    expect(shake.from_s).toBeGreaterThan(101.3);
    expect(shake.drifts).toBe(0);
  });

  it('what it may be off by holds 19 times in 20', () => {
    let inside = { hz: 0, damping: 0 };
    const RUNS = 60;
    for (let k = 0; k < RUNS; k++) {
      const shake = found(made({ noise: 1, seed: SEED + k }));
      inside = {
        hz: inside.hz + Number(Math.abs(shake.hz - 3.2) <= shake.hz_within),
        damping: inside.damping + Number(Math.abs(shake.damping - 0.03) <= shake.damping_within),
      };
    }
    expect(inside.hz / RUNS).toBeGreaterThan(0.88);
    expect(inside.damping / RUNS).toBeGreaterThan(0.88);
  });
});

describe('as it really is', () => {
  it('two pushes, a slow lean before and the phone picked up afterwards', () => {
    const also = (t: number): number =>
      2 * Math.sin(1.1 * t) * Number(t < 1.2) +
      (t > 4 ? 14 * Math.exp(-0.6 * (t - 4)) * Math.sin(20.1 * (t - 4)) : 0) +
      (t > 11 ? 30 * Math.sin(5 * (t - 11)) ** 2 + 8 * (t - 11) : 0);
    const shake = found(made({ hz: 3.2, damping: 0.03, also, seconds: 12 }));
    expect(Math.abs(shake.hz - 3.2)).toBeLessThan(0.03);
    expect(Math.abs(shake.damping - 0.03)).toBeLessThan(0.004);
    expect(shake.to_s).toBeLessThan(111.5);
  });

  it('knocks that a few points show, and points that drift', () => {
    const also = (t: number): number => 0.4 * t + (Math.round(t * 100) % 97 === 0 ? 15 : 0);
    const shake = found(made({ also }));
    expect(Math.abs(shake.hz - 3.2)).toBeLessThan(0.02);
    expect(Math.abs(shake.damping - 0.03)).toBeLessThan(0.003);
  });

  it('the column that swings most', () => {
    const main = made({});
    const side = made({ noise: 0.2, seed: 5, also: () => 0 }).columns[0]!.values.map((v) => 9.8 + 0.1 * (v - 9.8));
    const still = made({ seed: 6 }).columns[0]!.values.map((v, i) => (i < 400 ? v * 0 : 0.01 * (i % 3)));
    const shake = found({
      t_s: main.t_s,
      columns: [{ name: 'ax', values: side }, { name: 'az', values: still }, ...main.columns],
    });
    expect(shake.column).toBe('ay');
  });

  it('a wobble that is slower while it is large is told, and what it may be off by is wider', () => {
    let phase = 0;
    const size = (t: number): number => (t < 1.3 ? 0 : 10 * Math.exp(-0.5 * (t - 1.3)));
    const rate = 100;
    const t_s = Float64Array.from({ length: 900 }, (_, i) => i / rate);
    const random = noiseOf(3);
    const values = t_s.map((t) => {
      phase += ((2 * Math.PI) / rate) * 3.2 * (1 - 0.008 * size(t));
      return size(t) * Math.sin(phase) + 0.1 * random();
    });
    const shake = found({ t_s, columns: [{ name: 'angle', values }] });
    expect(shake.drifts).toBeGreaterThan(0.005);
    expect(shake.hz_within).toBeGreaterThan(0.005 * shake.hz);
  });
});

describe('no clear decay: words', () => {
  const words = (record: Parameters<typeof wobbleOfShake>[0]): string => {
    const answer = wobbleOfShake(record);
    return 'problem' in answer ? answer.problem : expect.fail(JSON.stringify(answer));
  };
  /** Records without the push. */
  const only = (also: (t: number) => number, noise = 0.2, seconds = 8) => {
    const random = noiseOf(7);
    const t_s = Float64Array.from({ length: seconds * 100 }, (_, i) => i / 100);
    return { t_s, columns: [{ name: 'ax', values: t_s.map((t) => also(t) + noise * random()) }] };
  };

  it('noise alone, whatever the seed', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const random = noiseOf(seed);
      const t_s = Float64Array.from({ length: 800 }, (_, i) => i / 100);
      words({ t_s, columns: [{ name: 'ax', values: t_s.map(() => random()) }] });
    }
  });

  it('a motor that hums on', () => {
    expect(words(only((t) => 5 * Math.sin(2 * Math.PI * 6 * t)))).toMatch(
      /rings and dies away|does not clearly die away/,
    );
  });

  it('one that grows', () => {
    expect(words(only((t) => 0.5 * Math.exp(0.4 * t) * Math.sin(20 * t)))).toMatch(
      /rings and dies away|does not clearly/,
    );
  });

  it('one that is gone in two swings', () => {
    words(only((t) => (t < 1 ? 0 : 10 * Math.exp(-9 * (t - 1)) * Math.sin(18 * (t - 1)))));
  });

  it('nothing at all, and too few points', () => {
    expect(words(only(() => 3, 0))).toMatch(/nothing in the record rings/);
    expect(words(only(() => 3, 0, 0.2))).toMatch(/20 points/);
  });
});

describe('counted swings', () => {
  it('what they may be off by covers a reading wrong by a twentieth', () => {
    const exact = wobbleOfSwings({ swings: 8, first: 12, last: 5, seconds: 2.6 });
    const read = wobbleOfSwings({ swings: 8, first: 12.4, last: 4.6, seconds: 2.64 });
    if ('problem' in exact || 'problem' in read) expect.fail();
    expect(Math.abs(read.hz - exact.hz)).toBeLessThan(exact.hz_within);
    expect(Math.abs(read.damping - exact.damping)).toBeLessThan(exact.damping_within);
    expect(exact.damping_within).toBeLessThan(exact.damping);
  });

  it.each([
    [{ swings: 0, first: 2, last: 1, seconds: 1 }, /counted whole/],
    [{ swings: 2.5, first: 2, last: 1, seconds: 1 }, /counted whole/],
    [{ swings: 3, first: 2, last: 1, seconds: 0 }, /more than 0/],
    [{ swings: 3, first: 2, last: -1, seconds: 1 }, /both more than 0/],
    [{ swings: 3, first: NaN, last: 1, seconds: 1 }, /both more than 0/],
    [{ swings: 3, first: 2, last: 2, seconds: 1 }, /did not die away/],
    [{ swings: 3, first: 2, last: 3, seconds: 1 }, /did not die away/],
    [{ swings: 2, first: 1000, last: 0.0001, seconds: 2 }, /dies by itself within a swing/],
  ])('%o: words', (counted, words) => {
    expect(wobbleOfSwings(counted)).toEqual({ problem: expect.stringMatching(words) });
  });
});

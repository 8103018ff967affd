/** Past told from behind: on motions made by hand, and through the controller. */
import { describe, expect, it } from 'vitest';
import { PERFECT_LINK } from '../../../host/replay/link-model.ts';
import { PastMeasure, pastWindow_s } from '../../../host/replay/past-measure.ts';
import { replay } from '../../../host/replay/replay.ts';
import type { JointAnswer, Replay } from '../../../host/replay/result.ts';
import { furthestPast, willItBeSmooth } from '../../../host/replay/verdict.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Joint } from '../../../host/rig/rig.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';

const STEP_S = 0.02;

/** Looks at two motions, in mm, each with its way since the look before. */
function measured(
  seconds: number,
  asked: (t_s: number) => number,
  delivered: (t_s: number) => number,
  limits: Partial<Joint> = {},
): PastMeasure {
  const joint = { unit: 'mm', speed: 100, plus: 1000, minus: 1000, ...limits } as Joint;
  const measure = new PastMeasure(joint);
  for (let k = 1; k <= seconds / STEP_S; k++) {
    const t_s = k * STEP_S;
    const way = [0, 0.25, 0.5, 0.75, 1].map((share) => delivered(t_s - (1 - share) * STEP_S));
    const args = [asked(t_s - STEP_S / 2), asked(t_s), Math.min(...way), Math.max(...way), delivered(t_s)] as const;
    measure.look(t_s, ...args);
  }
  measure.end();
  return measure;
}

const ramp = (t_s: number, from_s: number, to_s: number, by: number): number =>
  by * Math.min(1, Math.max(0, (t_s - from_s) / (to_s - from_s)));
const step = (t_s: number): number => (t_s < 2 ? 0 : 30);

describe('past and behind', () => {
  it('counts from the furthest that is asked, at its time', () => {
    const { past, at_s } = measured(
      6,
      (t) => ramp(t, 2, 2.1, 15),
      (t) => ramp(t, 2.02, 2.2, 24) - ramp(t, 2.2, 2.6, 9),
    );
    expect(past).toBeCloseTo(9, 6);
    expect(at_s).toBeCloseTo(2.2, 6);
  });

  it('counts below the lowest as well', () => {
    const { past } = measured(
      6,
      (t) => -ramp(t, 2, 2.1, 15),
      (t) => -ramp(t, 2.02, 2.2, 18) + ramp(t, 2.2, 2.6, 3),
    );
    expect(past).toBeCloseTo(3, 6);
  });

  it.each([
    ['half a second late', (t: number) => step(t - 0.5)],
    ['two seconds late', (t: number) => step(t - 2)],
    ['slower than it is asked to be: 3 s for what is asked at once', (t: number) => ramp(t, 2, 5, 30)],
  ])('is not past when it is only late: %s', (_, delivered) => {
    expect(measured(10, step, delivered).past).toBe(0);
  });

  it('is not past when it comes back as slowly as it went, though what it is asked has long changed', () => {
    // Asked for 30 for one second and a half, it is at 15 when it is called back, and takes as long again.
    const asked = (t: number): number => (t >= 2 && t < 3.5 ? 30 : 0);
    expect(measured(10, asked, (t) => ramp(t, 2, 3.5, 15) - ramp(t, 3.5, 5, 15)).past).toBe(0);
  });

  it('is past when it stays out there for longer than anybody asked for it', () => {
    const asked = (t: number): number => (t >= 2 && t < 2.2 ? 20 : 5);
    // It crosses 5 at 4 s, goes to 12 and comes back: what was asked at 2 s is long over.
    const delivered = (t: number): number => asked(t) + ramp(t, 4, 4.2, 7) - ramp(t, 4.4, 4.6, 7);
    expect(measured(10, asked, delivered).past).toBeCloseTo(7, 6);
    // Within the braking time of a joint that needs two seconds to stop, it is not.
    const heavy = { speed: 100, plus: 1000, minus: 50 };
    expect(pastWindow_s(heavy)).toBe(2);
    expect(measured(10, (t) => (t >= 2 && t < 2.2 ? 20 : 5), delivered, { ...heavy, minus: 25 }).past).toBe(0);
  });

  it('counts nothing where nothing is asked, or what is asked cannot be reached', () => {
    expect(
      measured(
        6,
        () => NaN,
        (t) => 10 * Math.sin(t),
      ).past,
    ).toBe(0);
    const asked = (t: number): number => (t > 2 && t < 3 ? NaN : 0);
    expect(measured(6, asked, (t) => (t > 2 && t < 3 ? 8 : 0)).past).toBe(0);
    expect(measured(6, asked, (t) => (t > 4.5 && t < 5 ? 8 : 0)).past).toBeCloseTo(8, 6);
  });

  it('says how far past it was at an instant that was watched', () => {
    const measure = new PastMeasure({ unit: 'mm', speed: 100, plus: 1000, minus: 1000 } as Joint);
    for (let k = 0; k < 200; k++) {
      const delivered = k > 100 && k < 110 ? 3 : 0;
      measure.look(k * STEP_S, 0, 0, delivered, delivered, delivered);
      if (k === 50 || k === 105) measure.watchInstant(k * STEP_S);
    }
    measure.end();
    expect(measure.pastAtInstant).toBe(3);
  });
});

const LONE = readRig(`rig: lone
servos:
  s: { frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400], stall_torque_nm: unknown, no_load_speed_deg_s: unknown }
joints:
  beak: { servo: s, pin: 2, limit_deg: [-40, 60], speed_deg_s: 250, accel_deg_s2: 3000 }
  slow: { servo: s, pin: 3, limit_deg: [-40, 60], speed_deg_s: 10, accel_deg_s2: 1000 }
motion: { tick_hz: 200, playback_delay_ms: 80 }
rest: on_stop
audience: bench
`).rig!;

async function played(seconds: number, beak: (t_s: number) => number, slow: (t_s: number) => number): Promise<Replay> {
  const rows = ['t_s,beak_deg,slow_deg'];
  for (let k = 0; k <= seconds * 50; k++) rows.push([k / 50, beak(k / 50), slow(k / 50)].join(','));
  return replay(LONE, [new TextEncoder().encode(rows.join('\n'))], simTarget({ wasm: WASM }), {
    link: PERFECT_LINK,
    tolerance: { mm: 0.5, deg: 0.5 },
    name: 'test',
  });
}

const jointOf = ({ answer }: Replay, name: string): JointAnswer => answer.joints.find((joint) => joint.name === name)!;
/** 15 deg in 0.1 s, by smoothstep: 225 deg/s and 9,000 deg/s² where 3,000 are allowed. */
const snap = (t_s: number): number => {
  const u = Math.min(1, Math.max(0, (t_s - 1) / 0.1));
  return 15 * u * u * (3 - 2 * u);
};

describe('through the controller', () => {
  it('tells of a beak what its own highest position tells', async () => {
    const replayed = await played(2, snap, () => 0);
    const { past, past_at_s, max, peak_error } = jointOf(replayed, 'beak');
    // Everything asked is 0 to 15 deg; what is beyond 15 is past.
    expect(past).toBeCloseTo(Math.max(0, max - 15), 3);
    expect(past_at_s === 0 || (past_at_s > 1 && past_at_s < 1.4)).toBe(true);
    expect(past).toBeLessThanOrEqual(peak_error + 0.1);
    expect(willItBeSmooth(replayed.answer).word).toBe('no');
  });

  it('counts what a joint does after the stream is over', async () => {
    const replayed = await played(1.1, snap, () => 0);
    const whole = await played(2, snap, () => 0);
    expect(jointOf(replayed, 'beak').past).toBeCloseTo(jointOf(whole, 'beak').past, 3);
  });

  it('never calls a joint past that is four seconds late', async () => {
    const replayed = await played(
      10,
      () => 0,
      (t) => (t >= 1 && t < 4 ? 40 : 0),
    );
    expect(jointOf(replayed, 'slow').peak_error).toBeGreaterThan(25);
    expect(jointOf(replayed, 'slow').past).toBeLessThan(0.001);
    expect(furthestPast(replayed.answer)).toBeNull();
  });
});

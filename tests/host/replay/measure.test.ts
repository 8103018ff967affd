/**
 * What a replay makes of telemetry, frame by frame, made here: what counts as starved, and that joints, rod ends and legs that fit no
 * pose reach the list of breaches.
 */
import { describe, expect, it } from 'vitest';
import { type Telemetry, STATES, emptyTelemetry } from '../../../host/controller/messages.ts';
import { Measure } from '../../../host/replay/measure.ts';
import type { Answer } from '../../../host/replay/result.ts';
import type { Target } from '../../../host/replay/target.ts';
import { HOME, type Rig, toRad } from '../../../host/rig/rig.ts';
import { Interpolant } from '../../../host/stream/interpolate.ts';
import { crankPlatform, linearPlatform, rigOf } from '../../assembly/rigs.ts';

const TARGET: Target = {
  name: 'made up',
  proven: 'simulation',
  clock: 'none',
  open: () => {
    throw new Error('nothing is opened here');
  },
};
const END_S = 2;
/** A look once in 20 ms. */
const LOOK_US = 20_000;

/** Telemetry of a prop that stands at home and is fed. */
function atHome(rig: Rig): Telemetry {
  const t = emptyTelemetry();
  t.joints = rig.joints.length;
  t.state = STATES.indexOf('live');
  t.ticks = 4;
  rig.joints.forEach((joint, i) => {
    for (const places of [t.position, t.lowest, t.highest]) places[i] = joint.home;
    t.pulse_us[i] = 1500;
  });
  return t;
}

/** The answer to a stream that asks for home for two seconds; change: what telemetry says at an instant of the stream, s. */
function measured(rig: Rig, change: (t: Telemetry, at_s: number) => void): Answer {
  const asked = new Interpolant(2);
  const measure = new Measure(rig, asked, TARGET, { tolerance: { mm: 0.5, deg: 0.5 } });
  for (const t_s of [0, END_S]) asked.push({ t_s, pose: HOME, joints: new Float64Array(2) });
  asked.end();
  measure.times.begin(0, 0);
  measure.times.end_us = END_S * 1e6;
  for (let at_us = -200_000; at_us <= END_S * 1e6 + 1_000_000; at_us += LOOK_US) {
    const t = atHome(rig);
    change(t, at_us / 1e6);
    measure.telemetry(t, at_us + measure.delay_us);
  }
  return measure.result('made up').answer;
}

const rig = rigOf();
const near = (a: number, b: number): boolean => Math.abs(a - b) < 1e-6;

describe('telemetry in which nothing is wrong', () => {
  it('is answered so', () => {
    const answer = measured(rig, () => undefined);
    expect(answer).toMatchObject({ ok: true, starved: 0, breaches: [], unreachable: 0 });
    expect(answer.ticks).toBe(4 * (1 + (END_S * 1e6) / LOOK_US));
  });
});

describe('starved', () => {
  const starvedIn = (from_s: number, to_s: number, ahead_ms = 0): number =>
    measured(rigOf({ ahead_ms, delay_ms: 80 }), (t, at_s) => {
      if (at_s > from_s - 1e-6 && at_s < to_s - 1e-6) t.starvedTicks = 3;
    }).starved;

  it('counts ticks within the stream', () => {
    expect(starvedIn(0.5, 0.6)).toBe(15);
    expect(starvedIn(0, 0.02)).toBe(3);
  });

  it('counts none before the stream, nor from the last frame on: nothing newer is to come', () => {
    expect(starvedIn(-0.2, 0)).toBe(0);
    expect(starvedIn(END_S, END_S + 1)).toBe(0);
    expect(starvedIn(END_S - 0.02, END_S + 1)).toBe(3);
  });

  it('goes by the instant that is played, which is the look-ahead before the one that is shown', () => {
    expect(starvedIn(END_S - 0.06, END_S + 1, 60)).toBe(0);
    expect(starvedIn(END_S - 0.08, END_S + 1, 60)).toBe(3);
  });
});

describe('breaches', () => {
  const kinds = ({ breaches }: Answer): string[] => breaches.map(({ where, what }) => `${where} ${what}`);

  it('of a joint are listed while the stream plays, before it, and after it; without pulses nothing moves', () => {
    const faster = (when_s: number, pulse_us = 1500): string[] =>
      kinds(
        measured(rig, (t, at_s) => {
          if (!near(at_s, when_s)) return;
          t.rise[6] = (rig.joints[6]!.speed * 1.1) / 200;
          t.pulse_us[6] = pulse_us;
        }),
      );
    for (const when_s of [-0.1, 1, END_S + 0.5]) expect(faster(when_s)).toEqual(['nod speed']);
    expect(faster(1, 0)).toEqual([]);
  });

  it('of rod ends are listed where the delivered legs tilt them', () => {
    const tight = rigOf({ platform: { ...crankPlatform(), rod_end_rad: toRad(1) } });
    const listed = kinds(measured(tight, () => undefined));
    expect(listed.length).toBeGreaterThanOrEqual(6);
    expect(new Set(listed.map((one) => one.split(' ')[1]))).toEqual(new Set(['rod_end']));
  });

  it('of legs that fit no pose are listed, and the answer is not ok', () => {
    // One actuator three times as long as the others: the plate is too small for that.
    const answer = measured(rigOf({ platform: linearPlatform() }), (t, at_s) => {
      if (near(at_s, 1)) [300, 100, 100, 100, 100, 100].forEach((at, i) => (t.position[i] = at));
    });
    expect(kinds(answer)).toEqual(['path assembly']);
    expect(answer.ok).toBe(false);
  });
});

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Retimed } from '../../../host/retime/retime.ts';
import { moveTime } from '../../../host/physics/servo/limits.ts';
import { toDeg } from '../../../host/rig/rig.ts';
import { csv, demo, retimed, tailRig } from './rigs.ts';

/** From 0 to `size` with speed and acceleration that begin and end at 0. */
const ease = (size: number, from_s: number, for_s: number) => (t_s: number) => {
  const u = Math.max(0, Math.min(1, (t_s - from_s) / for_s));
  return size * u * u * u * (10 - 15 * u + 6 * u * u);
};

/** The one joint carries nothing: by itself it would be softened, not slow the stream. */
const TOGETHER = { together: true };

/** New frames as [time, first joint in deg]. */
const frames = ({ stream }: Retimed): [number, number][] =>
  Array.from({ length: stream.count }, (_, f) => [stream.time(f), toDeg(stream.row(f)[6]!)]);

const joint = ({ answer }: Retimed) => answer.joints[0]!;

describe('nothing changes where nothing is wrong', () => {
  it('gives back every frame', async () => {
    const done = await retimed(tailRig(100, 500, 500), csv(2, 120, { tail_deg: ease(40, 0.2, 1.6) }));
    expect(done.answer).toMatchObject({ ok: true, slowed: [], hurried: [], frames_before: 241, frames_after: 241 });
    const same = csv(2, 120, { tail_deg: ease(40, 0.2, 1.6) });
    const text = new TextDecoder().decode(same[0]).trim().split('\n').slice(1);
    frames(done).forEach(([t_s, deg], f) => {
      const [was_s, was_deg] = text[f]!.split(',').map(Number);
      expect(t_s).toBe(was_s);
      expect(deg).toBeCloseTo(was_deg!, 9);
    });
  });

  it('slows one place, and leaves the rest frame for frame', async () => {
    const slow = ease(30, 1, 2);
    const fast = ease(40, 4, 0.3);
    const moves = csv(6, 100, { tail_deg: (t_s) => slow(t_s) + fast(t_s) });
    const done = await retimed(tailRig(150, 1500, 1000), moves, TOGETHER);
    expect(done.answer.ok).toBe(true);
    expect(done.answer.slowed).toHaveLength(1);
    const [place] = done.answer.slowed;
    expect(place!.from_s).toBeGreaterThan(3.9);
    expect(place!.to_s).toBeLessThan(4.4);
    expect(place!.because).toEqual({ name: 'tail', bound: expect.stringMatching(/speed|plus|minus/) });
    const later_s = done.answer.seconds_after - 6;
    expect(later_s).toBeCloseTo((place!.to_s - place!.from_s) * (place!.by - 1), 4);
    const all = frames(done);
    for (let f = 0; f < 390; f++)
      expect(all[f]).toEqual([expect.closeTo(f / 100, 9), expect.closeTo(slow(f / 100), 6)]);
    for (let f = 0; f < 150; f++) {
      const [t_s, deg] = all.at(-1 - f)!;
      expect(t_s - later_s).toBeCloseTo(6 - f / 100, 6);
      expect(deg).toBeCloseTo(70, 6);
    }
  });
});

describe('slowed no more than it takes', () => {
  it('comes within limits at every tick', async () => {
    const done = await retimed(tailRig(150, 1500, 1000), csv(1, 120, { tail_deg: ease(60, 0.1, 0.4) }), TOGETHER);
    expect(done.answer).toMatchObject({ ok: true, too_much_ticks: 0 });
    const { before, after } = joint(done);
    expect(before.speed).toBeGreaterThan(250);
    expect(after.speed).toBeLessThanOrEqual(150 * 1.0005);
    expect(after.plus).toBeLessThanOrEqual(1500 * 1.0005);
    expect(after.minus).toBeLessThanOrEqual(1000 * 1.0005);
    // All of the speed, and nearly all of the accelerations, are used.
    expect(after.speed).toBeGreaterThan(150 * 0.99);
    expect(after.minus).toBeGreaterThan(1000 * 0.97);
  });

  it('keeps a limit that fades with speed, at most 2 % slower than the quickest move within it', async () => {
    const rig = tailRig(400, 1500, 1000, 200, ', accel_gone_at_deg_s: { plus: 80 }');
    const done = await retimed(rig, csv(1, 120, { tail_deg: ease(60, 0.1, 0.15) }), TOGETHER);
    expect(done.answer).toMatchObject({ ok: true, too_much_ticks: 0 });
    const at = (t_s: number): number => {
      const row = new Float64Array(7);
      done.stream.evaluate(t_s, row);
      return toDeg(row[6]!);
    };
    const first_s = done.stream.time(0);
    let fullest = 0;
    for (let k = 1; first_s + (k + 1) / 200 < done.stream.time(done.stream.count - 1); k++) {
      const [before, here, after] = [k - 1, k, k + 1].map((tick) => at(first_s + tick / 200));
      const [speed, accel] = [(after! - here!) * 200, (after! - 2 * here! + before!) * 200 * 200];
      fullest = Math.max(fullest, accel / 1500 + Math.max(0, speed) / 80);
      expect(-accel).toBeLessThanOrEqual(1000 * 1.0005);
    }
    expect(fullest).toBeGreaterThan(0.97);
    expect(fullest).toBeLessThanOrEqual(1.0005);
    // It stands for 0.1 s before and 0.75 s after the move.
    const quickest = moveTime(60, { speed: 400, accel: 1500, gone: 80, brake: 1000 });
    expect(done.answer.seconds_after - 0.85).toBeLessThan(1.02 * quickest);
    expect(done.answer.seconds_after - 0.85).toBeGreaterThan(quickest);
  });

  it('passes through the same places', async () => {
    const done = await retimed(tailRig(150, 1500, 1000), csv(1, 120, { tail_deg: ease(60, 0.1, 0.4) }), TOGETHER);
    const values = frames(done).map(([, deg]) => deg);
    expect(values[0]).toBe(0);
    expect(values.at(-1)).toBeCloseTo(60, 6);
    values.slice(1).forEach((deg, f) => expect(deg).toBeGreaterThanOrEqual(values[f]! - 1e-9));
  });

  it('takes a stream of one frame, and one that begins in motion', async () => {
    const one = await retimed(tailRig(150, 1500, 1000), csv(0, 120, { tail_deg: () => 3 }));
    expect(one.answer).toMatchObject({ ok: true, frames_after: 1, seconds_after: 0 });
    const ramp = await retimed(tailRig(150, 1500, 1500), csv(1, 120, { tail_deg: (t_s) => 100 * t_s }));
    expect(ramp.answer.ok).toBe(true);
    // From rest to 100 deg/s and back: half of 2 · 100/1500 s more than going along (elementary kinematics).
    expect(ramp.answer.seconds_after / (1 + 100 / 1500)).toBeCloseTo(1.01, 2);
  });
});

describe('kept beats', () => {
  const rush = (t_s: number): number => ease(50, 1, 0.25)(t_s) - ease(50, 3, 3)(t_s);

  it('stay on their times: the rest plays a little faster', async () => {
    const done = await retimed(tailRig(150, 1500, 1500), csv(8, 120, { tail_deg: rush }), {
      ...TOGETHER,
      kept_s: [2.5, 7],
    });
    const { answer } = done;
    expect(answer).toMatchObject({ ok: true, kept: [{ late_s: 0 }, { late_s: 0 }] });
    expect(answer.seconds_after).toBeCloseTo(8, 3);
    expect(answer.slowed.length).toBeGreaterThan(0);
    expect(answer.hurried.length).toBeGreaterThan(0);
    for (const { by, to_s } of answer.hurried) {
      expect(by).toBeGreaterThan(0.8);
      expect(to_s).toBeLessThanOrEqual(2.51);
    }
    // The second part had nothing wrong: frame for frame.
    const all = frames(done);
    for (const t_s of [3, 4, 5, 6, 6.5]) {
      const frame = all.find(([at_s]) => Math.abs(at_s - t_s) < 1e-4);
      expect(frame?.[1]).toBeCloseTo(rush(t_s), 4);
    }
    expect(joint(done).after.plus).toBeLessThanOrEqual(1500 * 1.0005);
  });

  it('come late in so many words when nothing can be faster', async () => {
    // Slowed, not followed as near as its limits allow.
    const options = { kept_s: [1, 2], together: true };
    const done = await retimed(tailRig(50, 1500, 1500), csv(2, 120, { tail_deg: ease(80, 0, 1) }), options);
    const { answer } = done;
    expect(answer.ok).toBe(false);
    // 80 deg at 50 deg/s and two corners: 1.6 s + 50/1500 s, and the second beat has nothing to wait for.
    expect(answer.kept[0]!.late_s).toBeCloseTo(0.6 + 50 / 1500, 1);
    expect(answer.too_much_ticks).toBe(0);
  });
});

describe('the recorded head on the demo rig', () => {
  it('is out of reach as it is', async () => {
    await expect(retimed(demo(), 'tests/data/head.csv')).rejects.toThrow(/out of reach/);
  });

  it('is fitted, and slowed until no tick asks for too much', async () => {
    const { answer, stream } = await retimed(demo(), 'tests/data/head.csv', { fit: true });
    expect(answer).toMatchObject({ ok: true, too_much_ticks: 0 });
    expect(answer.fitted.map(({ name }) => name)).toEqual(['x', 'y', 'z', 'roll', 'pitch', 'yaw']);
    for (const { scale } of answer.fitted) expect(scale).toBeGreaterThan(0.1);
    expect(stream.count).toBe(answer.frames_after);
    const seconds = readFileSync('tests/data/head.csv', 'utf8').trim().split('\n').length / 120;
    expect(answer.seconds_after).toBeGreaterThan(seconds);
    expect(answer.seconds_after).toBeLessThan(4 * seconds);
  });
});

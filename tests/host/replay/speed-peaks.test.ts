/** Speed peaks of what comes out: none added to streams within their limits, and those that limits make are counted. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { PERFECT_LINK } from '../../../host/replay/link-model.ts';
import { PeaksMeasure } from '../../../host/replay/peaks-measure.ts';
import { replay } from '../../../host/replay/replay.ts';
import type { Answer } from '../../../host/replay/result.ts';
import { willItBeSmooth } from '../../../host/replay/verdict.ts';
import { retime } from '../../../host/retime/retime.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { StreamSource } from '../../../host/stream/read.ts';
import { StreamWriter } from '../../../host/stream/write.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { WASM } from '../../assembly/prop.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;

const play = async (source: StreamSource): Promise<Answer> => {
  const how = { link: PERFECT_LINK, tolerance: { mm: 0.5, deg: 0.5 }, name: 'test' };
  return (await replay(owl, source, simTarget({ wasm: WASM }), how)).answer;
};

/** Made so that the owl can follow. */
async function retimed(file: string, columns: readonly string[]): Promise<Uint8Array[]> {
  const done = await retime(owl, [readFileSync(file)], { fit: true, kept_s: [], name: file });
  if ('stops' in done) throw new Error('out of reach');
  const writer = new StreamWriter(owl, columns);
  const rows = Array.from({ length: done.stream.count }, (_, f) => writer.row(done.stream.time(f), done.stream.row(f)));
  return [new TextEncoder().encode([writer.header, ...rows].join(''))];
}

const POSE = ['t_s', 'x_mm', 'y_mm', 'z_mm', 'roll_deg', 'pitch_deg', 'yaw_deg'];

describe('a stream within its limits', () => {
  it.each([
    ['host/demo/dusk.csv', [...POSE, 'nod_deg', 'lid_deg', 'ears_deg'], 6],
    ['tests/data/head.csv', POSE, 100],
  ])(
    '%s, retimed: not one speed peak is added, and none of its joints goes past',
    async (file, columns, most) => {
      const answer = await play(await retimed(file, columns));
      expect(answer.speed_peaks.map(({ added }) => added)).toEqual(owl.joints.map(() => 0));
      expect(Math.max(...answer.speed_peaks.map(({ asked }) => asked))).toBeGreaterThan(most);
      for (const { past } of answer.joints) expect(past).toBeLessThan(0.03);
      expect(willItBeSmooth(answer).word).toBe('yes');
    },
    60_000,
  );
});

/** 50 looks a second at two motions, in deg. */
function counted(asked: (t_s: number) => number, delivered: (t_s: number) => number) {
  const peaks = new PeaksMeasure('yaw_deg', 1);
  for (let k = 0; k <= 200; k++) peaks.look(k / 50, asked(k / 50), delivered(k / 50));
  return peaks.answer();
}

/** One look to the side, 20 deg in 2 s: its speed has one hump, of 15.7 deg/s. */
const look = (t_s: number): number => 10 - 10 * Math.cos((Math.PI * Math.min(2, Math.max(0, t_s - 1))) / 2);

describe('a stutter', () => {
  it('is counted where the stream has none', () => {
    // 3.8 deg/s at 3 Hz up and down on the way: a cosine, six periods with a crest at either end.
    const stutters = (t: number): number => look(t) + (t > 1 && t < 3 ? 0.2 * Math.sin(6 * Math.PI * (t - 1)) : 0);
    expect(counted(look, stutters)).toEqual({ column: 'yaw_deg', asked: 1, delivered: 7, added: 6 });
    expect(counted(stutters, stutters)).toMatchObject({ asked: 7, delivered: 7, added: 0 });
    expect(counted(stutters, look)).toMatchObject({ asked: 7, delivered: 1, added: 0 });
  });

  it('is not made of what nobody sees, nor of what the stream all but has', () => {
    const bump = (t: number, deg_s: number): number =>
      look(t) + (t > 1 && t < 3 ? (deg_s / (6 * Math.PI)) * Math.sin(6 * Math.PI * (t - 1)) : 0);
    expect(counted(look, (t) => bump(t, 0.3)).delivered).toBe(1);
    // A column that stands still has rounding for its motion.
    expect(
      counted(
        () => 0,
        (t) => 1e-4 * Math.sin(60 * t),
      ),
    ).toMatchObject({ asked: 0, delivered: 0, added: 0 });
    // What stands still and is shaken is seen.
    expect(
      counted(
        () => 0,
        (t) => 0.5 * Math.sin(6 * Math.PI * t),
      ).added,
    ).toBeGreaterThan(10);
  });

  it('goes on after what is not known', () => {
    const peaks = new PeaksMeasure('yaw_deg', 1);
    for (let k = 0; k <= 200; k++) peaks.look(k / 50, look(k / 50), k % 7 === 0 ? NaN : look(k / 50));
    expect(peaks.answer()).toMatchObject({ asked: 1, delivered: 1, added: 0 });
  });
});

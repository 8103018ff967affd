/** The pace that adds no speed peak: to a motion that has no need of it, where it is needed, and where it costs too much. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { CarryingColumns } from '../../../host/retime/carrying.ts';
import { paceWords } from '../../../host/retime/words.ts';
import { Marks, FastestPace, type PaceProblem } from '../../../host/retime/pace.ts';
import type { Retimed } from '../../../host/retime/retime.ts';
import { Steadiness } from '../../../host/retime/steady.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { countPeaks, speedsOf } from '../../../host/stream/speed-peaks.ts';
import { StoredStream } from '../../../host/stream/stored.ts';
import { StreamWriter } from '../../../host/stream/write.ts';
import { csv, retimed, rigOf } from './rigs.ts';

const stork = () => rigOf(readFileSync('tests/data/steady-stork.yaml', 'utf8'));

/** Peaks that no column of the stream had. */
const added = ({ answer }: Retimed) => answer.pace.peaks.filter(({ before, after }) => after > before);

/** One look of 20 deg in 2.5 s, and in it a twitch of the neck: 3 deg in 0.07 s and back, far more than its acceleration. */
const lookAndTwitch = csv(5, 50, {
  yaw_deg: (t_s) => {
    const u = Math.max(0, Math.min(1, (t_s - 1) / 2.5));
    return 20 * u * u * u * (10 - 15 * u + 6 * u * u);
  },
  neck_deg: (t_s) => 3 * Math.max(0, 1 - Math.abs(t_s - 2) / 0.07),
});

describe('steadiness', () => {
  /** Speed (per s) at a place on the way, 0 to 4 s: one hump, and on it ripples of 7 %, of which none counts for a valley. */
  const w = (s: number): number =>
    Math.min(1, 3 * Math.sin((Math.PI * s) / 4) ** 2) * (1 - 0.07 * Math.sin(6 * Math.PI * s) ** 2);
  const stream = new StoredStream(0);
  const points = 401;
  for (let i = 0, q = 0; i < points; i++) {
    stream.pushRow(i / 100, Float64Array.from([q, 0, 0, 0, 0, 0]));
    q += w((i + 0.5) / 100) / 100;
  }
  /** Narrow places must be slow: on the way up, on the hump and on the way down. */
  const solved = (steady: Steadiness | null): { speeds: number[]; seconds: number } => {
    const slow = [0.9, 1.58, 2.6, 3.1];
    const problem: PaceProblem = {
      points,
      step: () => 0.01,
      cap: (i) => (slow.some((s) => Math.abs(i / 100 - s) < 0.03) ? 0.4 : 1),
      rows: (i, out) => {
        out.add(1, 0, 20);
        out.add(-1, 0, 20);
        steady?.rows(i / 100, out);
      },
    };
    const pace = new FastestPace(problem);
    pace.solve(1, new Marks(points).addAll());
    let seconds = 0;
    for (let i = 0; i + 1 < points; i++) seconds += 0.02 / (Math.sqrt(pace.x[i]!) + Math.sqrt(pace.x[i + 1]!));
    return { speeds: Array.from(pace.x, (x, i) => w(i / 100) * Math.sqrt(x)), seconds };
  };

  it('keeps one hump one hump, at a price', () => {
    const [quick, steady] = [solved(null), solved(new Steadiness(stream, [0], 0.01))];
    expect(countPeaks(quick.speeds, 0.1)).toBe(5);
    expect(countPeaks(steady.speeds, 0.1)).toBe(1);
    expect(steady.seconds).toBeGreaterThan(quick.seconds);
    expect(steady.seconds).toBeLessThan(2 * quick.seconds);
  });

  it('costs the less, the more it is eased, and in the end nothing', () => {
    const seconds = [0, 1, 4, 16, 64].map(
      (ease) => solved(Object.assign(new Steadiness(stream, [0], 0.002), { ease })).seconds,
    );
    for (let k = 1; k < seconds.length; k++) expect(seconds[k]!).toBeLessThanOrEqual(seconds[k - 1]! + 1e-9);
    expect(seconds.at(-1)! / solved(null).seconds).toBeCloseTo(1, 2);
  });

  it('bounds nothing where no column moves, but never stops', () => {
    const still = solved(new Steadiness(stream, [3], 0.002));
    expect(still.seconds / solved(null).seconds).toBeCloseTo(1, 2);
    for (const speed of still.speeds.slice(20, -20)) expect(speed).toBeGreaterThan(0);
  });
});

describe('a show', () => {
  it('has no peak more than the stream, for a twentieth of a second', async () => {
    const quick = await retimed(stork(), 'tests/data/steady-show.csv', { quickest: true });
    const steady = await retimed(stork(), 'tests/data/steady-show.csv');
    expect(added(quick)).toEqual([{ name: 'roll', before: 9, after: 10 }]);
    expect(steady.answer.ok).toBe(true);
    expect(steady.answer.pace).toMatchObject({ kind: 'steady', quickest_s: quick.answer.seconds_after });
    expect(added(steady)).toEqual([]);
    expect(steady.answer.pace.peaks.map(({ name }) => name)).toEqual(['roll', 'pitch', 'yaw', 'neck']);
    const longer = steady.answer.seconds_after / quick.answer.seconds_after;
    expect(longer).toBeGreaterThan(1);
    expect(longer).toBeLessThan(1.01);
    expect(paceWords(steady.answer).join()).toMatch(
      /no speed peaks added: 0\.0\d s longer than the fastest pace \(10\.\d\d s\), at which roll would have 10 speed peaks instead of 9$/,
    );
  });

  it('that would take too long without a stutter has less of it, and says what stays', async () => {
    const quick = await retimed(stork(), lookAndTwitch, { quickest: true });
    const { answer } = await retimed(stork(), lookAndTwitch);
    const yaw = (done: Retimed['answer']): number => done.pace.peaks.find(({ name }) => name === 'yaw')!.after;
    expect(answer.ok).toBe(true);
    expect(answer.pace.kind).toBe('eased');
    expect(yaw(answer)).toBeGreaterThan(1);
    expect(yaw(answer)).toBeLessThan(yaw(quick.answer));
    expect(answer.seconds_after).toBeGreaterThan(quick.answer.seconds_after);
    expect(answer.seconds_after).toBeLessThanOrEqual(1.15 * quick.answer.seconds_after);
    expect(paceWords(answer).join()).toMatch(
      /^yaw has \d speed peaks instead of 1 and neck 2 instead of 1: .*15 %.* longer than the fastest pace/,
    );
    expect(paceWords(quick.answer).join()).toMatch(
      /^as fast as possible: yaw has \d speed peaks instead of 1.*; without --quickest/,
    );
  });

  it('that stutters at no pace goes as quickly as can be, bit for bit', async () => {
    const rig = rigOf(readFileSync('tests/data/steady-owl.yaml', 'utf8'));
    const columns = [
      't_s',
      'x_mm',
      'y_mm',
      'z_mm',
      'roll_deg',
      'pitch_deg',
      'yaw_deg',
      'nod_deg',
      'lid_deg',
      'ears_deg',
    ];
    for (const quickest of [true, false]) {
      const { answer, stream } = await retimed(rig, 'tests/data/steady-dusk.csv', { quickest });
      const writer = new StreamWriter(rig, columns);
      const rows = Array.from({ length: stream.count }, (_, f) => writer.row(stream.time(f), stream.row(f)));
      expect(answer.pace).toMatchObject({ kind: 'quickest', quickest_s: answer.seconds_after });
      // What retiming wrote when it knew no other pace: a hash of our own, not from outside.
      expect(
        createHash('sha256')
          .update(writer.header + rows.join(''))
          .digest('hex'),
      ).toBe(DUSK);
      expect(paceWords(answer)).toEqual(['as fast as possible, with no speed peaks added']);
    }
  });
});

const DUSK = '7db858047f46a46048b26801a90c6ed169782df3076294912d363338a0085bdc';

describe('what carries something', () => {
  it('has its peaks counted as any motion has', async () => {
    const { stream, answer } = await retimed(stork(), 'tests/data/steady-show.csv');
    const row = new Float64Array(stream.size);
    const yaw = (t_s: number): number => {
      stream.evaluate(t_s, row);
      return row[5]!;
    };
    const speeds = speedsOf(yaw, stream.time(0), stream.time(stream.count - 1));
    const { after } = answer.pace.peaks.find(({ name }) => name === 'yaw')!;
    // The stream's largest is 77.0 deg/s: differences of the file's rows, which are 20 ms apart.
    expect(after).toBe(countPeaks(speeds, toRad(7.7)));
  });

  it('is the pose, and the joints that the platform rides on, as far as they move', async () => {
    const { stream } = await retimed(stork(), lookAndTwitch, { quickest: true });
    expect(new CarryingColumns(stork(), stream).peaks(stream).map(({ name }) => name)).toEqual(['yaw', 'neck']);
  });

  it('without a platform is what joints and parts ride on', async () => {
    const text = (on: string): string => `rig: pair
servos:
  s: { stall_torque_nm: 1, no_load_speed_deg_s: 900, frame_hz: 50, us_per_deg: 5, range_us: [600, 2400], centre_us: 1500 }
joints:
  neck: { servo: s, pin: 2, limit_deg: [-90, 90], speed_deg_s: 100, accel_deg_s2: 1000, axis: { at_mm: [0, 0, 0], along: [0, 0, 1] } }
  ear: { servo: s, pin: 3, limit_deg: [-90, 90], speed_deg_s: 100, accel_deg_s2: 1000${on} }
rest: on_stop
audience: bench
`;
    const moves = csv(2, 50, { neck_deg: (t_s) => 5 * Math.sin(t_s), ear_deg: (t_s) => 5 * Math.sin(2 * t_s) });
    const names = async (on: string): Promise<string[]> =>
      (await retimed(rigOf(text(on)), moves)).answer.pace.peaks.map(({ name }) => name);
    expect(await names('')).toEqual([]);
    expect(await names(', axis: { at_mm: [0, 0, 50], along: [1, 0, 0], on: neck }')).toEqual(['neck']);
  });
});

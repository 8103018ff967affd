/** The demo's stream is what its generator writes, and asks the demo's rig for what its story says: only the nod for too much. */
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { inverse, whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { readRig } from '../../../host/rig/read.ts';
import { type Pose, type Rig, toDeg } from '../../../host/rig/rig.ts';
import { Interpolant } from '../../../host/stream/interpolate.ts';
import { readStream, scanStream, streamJoints } from '../../../host/stream/read.ts';

const demo = (name: string): string => fileURLToPath(new URL(`../../../host/demo/${name}`, import.meta.url));
const stream = [readFileSync(demo('dusk.csv'))];
const rig = theRig('night-owl.yaml');

function theRig(name: string): Rig {
  const read = readRig(readFileSync(demo(name), 'utf8'));
  if (read.rig === null) throw new Error(JSON.stringify(read.problems));
  return read.rig;
}

/** Peak rate and accelerations of a coordinate sampled at equal steps, by differences, as a controller's ticks see it. */
class Peaks {
  speed = 0;
  plus = 0;
  minus = 0;
  private readonly dt_s: number;
  private last = NaN;
  private lastSpeed = NaN;

  constructor(dt_s: number) {
    this.dt_s = dt_s;
  }

  add(value: number): void {
    const speed = (value - this.last) / this.dt_s;
    const accel = (speed - this.lastSpeed) / this.dt_s;
    // In this order of arguments a NaN, before there are enough values, counts for nothing.
    if (Math.abs(speed) > this.speed) this.speed = Math.abs(speed);
    if (accel > this.plus) this.plus = accel;
    if (-accel > this.minus) this.minus = -accel;
    this.last = value;
    this.lastSpeed = speed;
  }
}

interface Asked {
  readonly stops: string[];
  readonly legs: readonly Peaks[];
  /** Pose components, then the other joints. */
  readonly parts: readonly Peaks[];
}

/** The stream at the controller's ticks, which may fall anywhere between its frames. */
async function ask(from_s: number): Promise<Asked> {
  const dt_s = 1 / rig.motion.tick_hz;
  const curve = new Interpolant(streamJoints(rig).length);
  for await (const { frames } of readStream(stream, rig)) frames.forEach((frame) => curve.push(frame));
  curve.end();
  const out = new Float64Array(curve.size);
  const legs = Array.from({ length: 6 }, () => new Peaks(dt_s));
  const parts = Array.from(out, () => new Peaks(dt_s));
  const stops: string[] = [];
  for (let tick = 0; tick * dt_s < 20.1; tick += 1) {
    curve.evaluate(from_s + tick * dt_s, out);
    const pose = [...out.subarray(0, 6)] as unknown as Pose;
    const stop = whatStops(rig, pose);
    if (stop !== null) stops.push(`${String(tick * dt_s)} s: ${stop.joint} ${stop.cause}`);
    inverse(rig.platform!, pose)?.forEach((angle, i) => legs[i]!.add(angle));
    out.forEach((value, i) => parts[i]!.add(value));
  }
  return { stops, legs, parts };
}

const joint = (name: string): Rig['joints'][number] => rig.joints.find((it) => it.name === name)!;

describe('host/demo/dusk.csv', () => {
  it('is what host/demo/make-dusk.mjs writes', () => {
    const written = execFileSync(process.execPath, [demo('make-dusk.mjs')], { encoding: 'utf8' });
    expect(readFileSync(demo('dusk.csv'), 'utf8')).toBe(written);
  });

  it('has nothing wrong with it: 20 s at 50 frames a second', async () => {
    expect(await scanStream(stream, rig)).toMatchObject({ problems: [], frames: 1001, first_s: 0, last_s: 20 });
  });

  it('plays on the owl without its beak too', async () => {
    expect((await scanStream(stream, theRig('night-owl-bare.yaml'))).problems).toEqual([]);
  });

  it('starts and ends at home', async () => {
    const frames = [];
    for await (const batch of readStream(stream, rig)) frames.push(...batch.frames);
    for (const frame of [frames[0]!, frames.at(-1)!]) {
      expect(frame.pose).toEqual([0, 0, 0, 0, 0, 0]);
      expect(frame.joints[streamJoints(rig).indexOf('nod')]).toBe(0);
    }
  });

  it('keeps every joint within its soft limits', async () => {
    for await (const { frames } of readStream(stream, rig)) {
      streamJoints(rig).forEach((name, i) => {
        const values = frames.map((frame) => frame.joints[i]!).filter((value) => !Number.isNaN(value));
        expect(Math.min(...values)).toBeGreaterThanOrEqual(joint(name).lo - 1e-12);
        expect(Math.max(...values)).toBeLessThanOrEqual(joint(name).hi + 1e-12);
      });
    }
  });

  it.each([0, 0.0013, 0.0025, 0.0041])(
    'asks the platform and the face for nothing they cannot do, ticks from %s s',
    async (from_s) => {
      const { stops, legs, parts } = await ask(from_s);
      expect(stops).toEqual([]);
      legs.forEach((peaks, i) => {
        const { speed, plus, minus } = rig.joints[i]!;
        expect(peaks.speed).toBeLessThanOrEqual(0.9 * speed);
        expect(peaks.plus).toBeLessThanOrEqual(0.85 * plus);
        expect(peaks.minus).toBeLessThanOrEqual(0.85 * minus);
        // Lively, too: the startle uses most of what there is.
        if (i === 3) expect(peaks.plus).toBeGreaterThan(0.6 * plus);
      });
      rig.motion.pose_speed.forEach((most, i) => {
        if (most !== null) expect(parts[i]!.speed).toBeLessThanOrEqual(0.9 * most);
      });
      for (const name of ['lid', 'ears']) {
        const asked = parts[6 + streamJoints(rig).indexOf(name)]!;
        expect(asked.speed).toBeLessThanOrEqual(0.9 * joint(name).speed);
        expect(asked.plus).toBeLessThanOrEqual(0.95 * joint(name).plus);
        expect(asked.minus).toBeLessThanOrEqual(0.95 * joint(name).minus);
      }
    },
  );

  it('asks the nod for a fifth more speed than it has, and more acceleration', async () => {
    const nod = (await ask(0)).parts[6 + streamJoints(rig).indexOf('nod')]!;
    expect(toDeg(nod.speed)).toBeGreaterThan(1.15 * toDeg(joint('nod').speed));
    expect(toDeg(nod.speed)).toBeLessThan(1.3 * toDeg(joint('nod').speed));
    expect(nod.plus).toBeGreaterThan(1.2 * joint('nod').plus);
    expect(nod.minus).toBeGreaterThan(1.2 * joint('nod').minus);
  });
});

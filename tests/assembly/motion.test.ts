/** From frames to joints: the interpolant, starving, reach, pose speed, and the accuracy of the inverse kinematics. */
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { describe, expect, it } from 'vitest';
import { legCoordinate, legVector } from '../../host/rig/legs.ts';
import { inverse, whatStops } from '../../host/physics/kinematics/inverse.ts';
import { ForwardSolver } from '../../host/physics/kinematics/forward.ts';
import { type Pose, HOME, toDeg } from '../../host/rig/rig.ts';
import { Interpolant } from '../../host/stream/interpolate.ts';
import { Prop } from './prop.ts';
import { type RigOptions, crankPlatform, linearPlatform, rigOf } from './rigs.ts';

const SEED = 77;
const live = (options: RigOptions = {}): Prop => {
  const prop = new Prop(rigOf(options));
  prop.rouse();
  return prop;
};

describe('a stream inside the limits', () => {
  // Sines, the cosine's extremes on frames, so that the interpolant has no more acceleration than the sine.
  const cases: [number, number, number][] = [
    [50, 50, 0.5],
    [200, 100, 1],
    [200, 50, 0.5],
    [1000, 200, 1],
    [333, 60, 0.5],
  ];
  it.each(cases)('comes out within 1e-3 deg of the interpolant: %i Hz ticks, %i frames/s, %f Hz', (hz, rate, f) => {
    const rig = rigOf({ hz });
    const framed = { ...rig, joints: rig.joints.map((joint) => ({ ...joint })) };
    const prop = new Prop(framed);
    prop.rouse();
    const asked = new Interpolant(2);
    const amplitude = [5, 4, 3, 0.05, 0.05, 0.06, 0.3, 0.9];
    const start_us = prop.now_us + 100_000;
    let worst = 0;
    const values = new Float64Array(8);
    prop.watch = (t) => {
      const at_s = (t.now_us - start_us - 80_000) / 1e6;
      if (at_s < 0 || at_s > 3.9) return;
      asked.evaluate(at_s, values);
      const pose = [...values.subarray(0, 6)] as unknown as Pose;
      for (let i = 0; i < 6; i++)
        worst = Math.max(worst, toDeg(Math.abs(legCoordinate(rig.platform!, i, pose)! - t.position[i]!)));
      for (let k = 6; k < 8; k++) worst = Math.max(worst, toDeg(Math.abs(values[k]! - t.position[k]!)));
    };
    let k = 0;
    for (let n = 0; n < 4.2 * hz; n++) {
      while (k <= 4 * rate && (k - 2) / rate <= (prop.now_us - start_us) / 1e6) {
        const ease = (1 - Math.cos(2 * Math.PI * f * (k / rate))) / 2;
        const row = amplitude.map((a) => a * ease);
        asked.push({
          t_s: k / rate,
          pose: row.slice(0, 6) as unknown as Pose,
          joints: Float64Array.from(row.slice(6)),
        });
        prop.pose(Math.round(start_us + (k * 1e6) / rate) - prop.now_us, row);
        k++;
      }
      prop.run(1);
    }
    expect(worst).toBeLessThan(1e-3);
    expect(worst).toBeGreaterThan(0);
  });

  it('is the same to the bit whatever the jitter, while it is less than the playback delay', () => {
    const positions = (jitter: number): string => {
      const prop = live();
      const random = xoroshiro128plus(SEED);
      const start_us = prop.now_us + 200_000;
      const rows: number[] = [];
      prop.watch = (t) => rows.push(...t.position.subarray(0, 8));
      const arrivals = Array.from({ length: 200 }, (_, k) => ({
        at_us: start_us + (k - 2) * 20_000 + jitter * 70_000 * uniformFloat32(random),
        k,
      }));
      let next = 0;
      for (let n = 0; n < 1000; n++) {
        while (next < arrivals.length && arrivals[next]!.at_us <= prop.now_us) {
          const x = Math.sin(next / 9);
          prop.pose(start_us + next * 20_000 - prop.now_us, [
            3 * x,
            2 * x,
            x,
            0.03 * x,
            0.02 * x,
            0.04 * x,
            0.1 * x,
            0.1,
          ]);
          next++;
        }
        prop.run(1);
      }
      return rows.join();
    };
    expect(positions(1)).toBe(positions(0));
  });
});

describe('a starved stream', () => {
  it('comes to rest inside the limits, says so, and catches up when frames return', () => {
    const prop = live();
    const start_us = prop.now_us;
    const at = (us: number): number => 0.35 * Math.sin((us - start_us) / 400_000);
    let starved = 0;
    let behind = 0;
    prop.watch = (t) => {
      if (t.starved) starved++;
      if (t.now_us > start_us + 2_900_000) behind = Math.max(behind, Math.abs(t.position[6]! - at(t.now_us - 80_000)));
    };
    for (let n = 0; n < 640; n++) {
      const us = start_us + n * 5000;
      if (n % 4 === 0 && !(n > 300 && n < 330))
        prop.pose(us + 40_000 - prop.now_us, [0, 0, 0, 0, 0, 0, at(us + 40_000), 0]);
      prop.run(1);
    }
    expect(starved).toBeGreaterThan(5);
    expect(starved).toBeLessThan(30);
    expect(behind).toBeLessThan(2e-3);
  });
});

describe('frames out of order', () => {
  it('a late one in between is passed through without overshoot', () => {
    const prop = live();
    const lid = (at_us: number, rad: number): void => prop.pose(at_us - prop.now_us, [0, 0, 0, 0, 0, 0, 0, rad]);
    lid(prop.now_us + 20_000, 0.4);
    prop.seconds(1);
    const start_us = prop.now_us + 100_000;
    lid(start_us, 0.4);
    lid(start_us + 400_000, 0.8);
    lid(start_us + 440_000, 0.95);
    prop.seconds(0.2);
    lid(start_us + 150_000, 0.4);
    let lowest = 1;
    prop.watch = (t) => (lowest = Math.min(lowest, t.lowest[7]!));
    prop.seconds(1);
    expect(lowest).toBeGreaterThan(0.399);
    expect(prop.telemetry.position[7]).toBeCloseTo(0.95, 5);
  });

  it('instants further than half an hour from now are refused, half way round the clock too', () => {
    const prop = live();
    const tick_us = 1e6 / prop.hz;
    for (const ahead_us of [1_800_100_000, 2 ** 31 - 1, 2 ** 31, 2 ** 31 + 1, -1_800_100_000]) {
      // It is looked at a tick later.
      prop.pose(ahead_us + tick_us, [0, 0, 0, 0, 0, 0, 0, 0]);
      prop.run(1);
    }
    expect(prop.telemetry.counters[3]).toBe(5);
    prop.pose(1_799_900_000, [0, 0, 0, 0, 0, 0, 0, 0]);
    prop.run(1);
    expect(prop.telemetry.counters[3]).toBe(5);
  });
});

describe('out of reach', () => {
  it('a circle half outside is followed along its edge, without a jump above the pose speed', () => {
    const speed = 60;
    const prop = live({ poseSpeed: [speed, speed, speed, 1, 1, 1] });
    const { rig } = prop;
    const solver = new ForwardSolver(rig.platform!);
    const plate: [number, number, number, number, number, number] = [...HOME];
    const reachable = (pose: Pose): boolean => whatStops(rig, pose) === null;
    // Beyond the reach on one side, inside it on the other.
    const asked = (s: number): Pose => [0, 20 + 25 * Math.cos(s), 25 * Math.sin(s), 0, 0, 0];
    const start_us = prop.now_us + 100_000;
    let sum = 0;
    let looks = 0;
    let jump = 0;
    let outside = 0;
    let before: readonly number[] | null = null;
    prop.watch = (t) => {
      const s = (t.now_us - start_us - 80_000) / 1e6;
      if (s < 1.5 || s > 20) return;
      if (!solver.solve(t.position, plate, plate)) throw new Error('the legs fit no pose');
      if (before) jump = Math.max(jump, Math.abs(plate[1] - before[1]!), Math.abs(plate[2] - before[2]!));
      before = [...plate];
      const pose = asked(s);
      let share = 1;
      if (!reachable(pose)) {
        outside++;
        let lo = 0;
        let hi = 1;
        for (let k = 0; k < 30; k++) {
          share = (lo + hi) / 2;
          if (reachable(pose.map((v) => v * share) as unknown as Pose)) lo = share;
          else hi = share;
        }
      }
      sum += Math.hypot(plate[1] - share * pose[1], plate[2] - share * pose[2]);
      looks++;
    };
    for (let n = 0; n < 20.2 * 200; n++) {
      const s = n / 200;
      if (n % 4 === 0) prop.pose(Math.round(start_us + s * 1e6) + 40_000 - prop.now_us, asked(s + 0.04));
      prop.run(1);
    }
    expect(outside / looks).toBeGreaterThan(0.2);
    expect(sum / looks).toBeLessThan(0.5);
    expect(jump).toBeLessThan((1.05 * speed) / 200);
  });

  it('a far step is answered by the furthest reachable point on its segment', () => {
    const prop = live();
    const far: Pose = [0, 80, 30, 0.4, 0, 0];
    for (let n = 0; n < 400; n++) {
      if (n % 4 === 0) prop.pose(20_000, far);
      prop.run(1);
    }
    const solver = new ForwardSolver(prop.rig.platform!);
    const plate: [number, number, number, number, number, number] = [...HOME];
    expect(solver.solve(prop.telemetry.position, plate, plate)).toBe(true);
    const share = plate[1] / far[1];
    const along = (s: number): Pose => far.map((v) => v * s) as unknown as Pose;
    for (const k of [1, 2, 3]) expect(plate[k]!).toBeCloseTo(share * far[k]!, 3);
    expect(whatStops(prop.rig, along(share * 0.999))).toBeNull();
    expect(whatStops(prop.rig, along(share + 0.002))).not.toBeNull();
    expect(prop.telemetry.unreachable).toBe(true);
  });
});

describe('inverse kinematics in f32', () => {
  const random = xoroshiro128plus(SEED);
  const span = (half: number): number => half * (2 * uniformFloat32(random) - 1);

  it.each([
    ['crank, on its side', crankPlatform({ rodEnds: false })],
    ['crank, standing', crankPlatform({ rodEnds: false, upright: true })],
  ])('%s: below 5e-5 deg rms and 2e-3 deg anywhere 1 deg from the edge', (_, platform) => {
    // The joints follow a pose that stands still: after a while they are at what the controller solved.
    const rig = rigOf({ platform, hz: 50, poseSpeed: [null, null, null, null, null, null] });
    const wide = {
      ...rig,
      joints: rig.joints.map((joint) =>
        joint.kind === 'leg'
          ? { ...joint, lo: -1.7, hi: 1.7, range_us: [400, 2600] as const, speed: 400, plus: 1e5, minus: 1e5 }
          : joint,
      ),
    };
    const prop = new Prop(wide);
    prop.rouse();
    let sum = 0;
    let count = 0;
    let worst = 0;
    for (let n = 0; n < 1500; n++) {
      const pose: Pose = [span(14), span(14), span(14), span(0.2), span(0.2), span(0.2)];
      const exact = inverse(platform, pose);
      if (!exact || exact.some((angle) => Math.abs(angle) > 1.65)) continue;
      prop.pose(0, pose);
      prop.run(8);
      if (prop.telemetry.held.some((ticks) => ticks > 0)) continue;
      exact.forEach((angle, i) => {
        const [x, y, z] = legVector(platform, i, pose);
        const azimuth = platform.legs[i]!.azimuth_rad;
        const reach = Math.hypot(x * Math.cos(azimuth) + y * Math.sin(azimuth), z);
        const term = (x * x + y * y + z * z + 22 * 22 - 120 * 120) / (2 * 22 * reach);
        if (Math.abs(Math.asin(term)) > Math.PI / 2 - Math.PI / 180) return;
        const error = toDeg(Math.abs(prop.telemetry.position[i]! - angle));
        sum += error * error;
        count++;
        worst = Math.max(worst, error);
      });
    }
    expect(count).toBeGreaterThan(3000);
    expect(Math.sqrt(sum / count)).toBeLessThan(5e-5);
    expect(worst).toBeLessThan(2e-3);
  });

  it('linear legs within 1e-4 mm', () => {
    const platform = linearPlatform();
    const prop = new Prop(rigOf({ platform }));
    prop.rouse();
    for (let n = 0; n < 200; n++) {
      const pose: Pose = [span(10), span(10), span(10), span(0.1), span(0.1), span(0.1)];
      prop.pose(0, pose);
      prop.seconds(0.2);
      prop.pose(0, pose);
      prop.seconds(0.6);
      for (let i = 0; i < 6; i++)
        expect(Math.abs(prop.telemetry.position[i]! - legCoordinate(platform, i, pose)!)).toBeLessThan(1e-4);
    }
  });

  it('the other branch', () => {
    const platform = { ...crankPlatform({ rodEnds: false, upright: true, branch: 'other' }), crank_mm: 22 };
    const rig = rigOf({ platform });
    const home = rig.joints[0]!.home;
    const shifted = rig.joints.map((joint) =>
      joint.kind === 'leg'
        ? { ...joint, lo: home - 1, hi: home + 1, centre: home, range_us: [600, 2400] as const }
        : joint,
    );
    const prop = new Prop({ ...rig, joints: shifted });
    prop.rouse();
    const pose: Pose = [2, -3, 1, 0.02, -0.03, 0.05];
    for (let n = 0; n < 100; n++) {
      prop.pose(0, pose);
      prop.run(2);
    }
    for (let i = 0; i < 6; i++) expect(prop.telemetry.position[i]).toBeCloseTo(legCoordinate(platform, i, pose)!, 5);
    expect(home).toBeGreaterThan(2);
  });
});

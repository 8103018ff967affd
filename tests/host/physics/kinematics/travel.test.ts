import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { whatStops } from '../../../../host/physics/kinematics/inverse.ts';
import { MARGINS, marginsInto } from '../../../../host/physics/kinematics/margins.ts';
import { type PoseAxis, firstStop, poseAt, travelAlong } from '../../../../host/physics/kinematics/travel.ts';
import { legCoordinate, rodEndTilts } from '../../../../host/rig/legs.ts';
import { HOME, type Platform, type Pose, type Rig, toRad } from '../../../../host/rig/rig.ts';
import { anyMountAndPivot, smallPose } from '../arbitraries.ts';
import { crankPlatform, linearPlatform, rigOf } from '../platforms.ts';

const SEED = 41;
const AXES = [0, 1, 2, 3, 4, 5] as const;
const onItsSide = { at_mm: [30, 0, 55], rpy_rad: [0, toRad(90), 0] } as const;

/** Whether a pose is free, leg by leg from legs.ts: another way to the answer than whatStops and its margins. */
function isFree({ platform, joints }: Rig, pose: Pose): boolean {
  const p = platform!;
  return p.legs.every((_, i) => {
    const at = legCoordinate(p, i, pose);
    if (at === null) return false;
    if (p.stroke_mm && !(at >= p.stroke_mm[0] && at <= p.stroke_mm[1])) return false;
    const { lo, hi } = joints[i]!;
    if (!(at >= lo && at <= hi)) return false;
    return p.rod_end_rad === null || Math.max(...rodEndTilts(p, i, pose, at)) <= p.rod_end_rad;
  });
}

/** The last free pose before the first that is not, pose by pose: 0.01 mm or deg apart. */
function scan(rig: Rig, from: Pose, axis: PoseAxis, sign: 1 | -1): number {
  const step = axis < 3 ? 0.01 : toRad(0.01);
  const along = HOME.map((_, k) => (k === axis ? sign : 0)) as unknown as Pose;
  for (let n = 0; n * step < 400; n++) if (!isFree(rig, poseAt(from, along, n * step))) return (n - 1) * step;
  return Infinity;
}

const crank = rigOf(crankPlatform(), toRad(-60), toRad(60));
const RIGS: readonly (readonly [string, Rig, Pose])[] = [
  ['cranks', crank, HOME],
  ['cranks, from a pose', crank, [4, -6, 3, toRad(3), toRad(-4), toRad(2)]],
  ['cranks, no rod ends', rigOf(crankPlatform({ rod_end_rad: null }), toRad(-85), toRad(85)), HOME],
  ['on its side, pivot in front', rigOf(crankPlatform({ mount: onItsSide, pivot_mm: [0, 0, 40] }), -1, 1), HOME],
  ['actuators', rigOf(linearPlatform(), 135, 195), HOME],
  ['actuators, turned', rigOf(linearPlatform({ mount: onItsSide }), 0, 1000), [5, 2, -3, 0.05, 0, 0.1]],
];

describe.each(RIGS)('travel of %s', (_, rig, from) => {
  test.each(AXES)('along axis %i is that of a scan in steps of 0.01', (axis) => {
    for (const sign of [-1, 1] as const) {
      const { by, stop } = travelAlong(rig, from, axis, sign);
      const free = scan(rig, from, axis, sign);
      expect(by).toBeGreaterThanOrEqual(free - 1e-9);
      expect(by).toBeLessThanOrEqual(free + (axis < 3 ? 0.01 : toRad(0.01)));
      const along = HOME.map((_, k) => (k === axis ? sign : 0)) as unknown as Pose;
      expect(whatStops(rig, poseAt(from, along, by))).toBeNull();
      expect(whatStops(rig, poseAt(from, along, by + 1e-5))).toEqual(stop);
    }
  });
});

test(`travel of any mount and pivot is that of a scan (seed ${SEED})`, () => {
  fc.assert(
    fc.property(anyMountAndPivot, smallPose, fc.constantFrom(...AXES), (placed, from, axis) => {
      const rig = rigOf(crankPlatform(placed), toRad(-60), toRad(60));
      fc.pre(whatStops(rig, from) === null);
      const free = scan(rig, from, axis, 1);
      const { by } = travelAlong(rig, from, axis, 1);
      expect(Math.abs(by - free)).toBeLessThan(axis < 3 ? 0.0101 : toRad(0.0101));
    }),
    { seed: SEED, numRuns: 40 },
  );
});

test(`margins are all 0 or more where nothing stops it, and only there (seed ${SEED})`, () => {
  const margins = new Float64Array(MARGINS);
  const far = fc.tuple(smallPose, fc.double({ min: 0, max: 6, noNaN: true }));
  for (const rig of [crank, rigOf(linearPlatform(), 135, 195), RIGS[3]![1]])
    fc.assert(
      fc.property(far, ([pose, times]) => {
        const at = pose.map((value) => value * times) as unknown as Pose;
        marginsInto(rig, at, margins);
        expect(margins.every(Number.isFinite)).toBe(true);
        fc.pre(Math.min(...margins.map(Math.abs)) > 1e-9);
        expect(Math.min(...margins) > 0).toBe(whatStops(rig, at) === null);
      }),
      { seed: SEED, numRuns: 300 },
    );
});

test('a gap of a tenth of a millimetre between two reachable stretches is not stepped over', () => {
  // Along y a leg's length has one least value, and a lower limit a little above it leaves a gap there.
  const platform: Platform = linearPlatform();
  const lengthAt = (y: number): number => legCoordinate(platform, 1, [0, y, 0, 0, 0, 0])!;
  const [a, b] = [lengthAt(0), lengthAt(10)];
  // l² = (y - y0)² + c: from two points of the parabola.
  const y0 = (100 - (b * b - a * a)) / 20;
  const least = Math.sqrt(a * a - y0 * y0);
  const half_mm = 0.05;
  const shortest = Math.sqrt(least * least + half_mm * half_mm);
  const free = rigOf(platform, 0, 1000);
  const rig: Rig = { ...free, joints: free.joints.map((j, i) => (i === 1 ? { ...j, lo: shortest } : j)) };
  const sign = y0 > 0 ? 1 : -1;
  expect(travelAlong(free, HOME, 1, sign).by).toBeGreaterThan(Math.abs(y0) + 1);
  const { by, stop } = travelAlong(rig, HOME, 1, sign);
  expect(by).toBeCloseTo(Math.abs(y0) - half_mm, 5);
  expect(stop).toEqual({ joint: 'leg2', cause: 'limit' });
  expect(whatStops(rig, [0, sign * (Math.abs(y0) + 2 * half_mm), 0, 0, 0, 0])).toBeNull();
});

test('where nothing stops a turn it ends after half a turn', () => {
  const rig = rigOf(linearPlatform({ stroke_mm: [1, 10_000] }), 0, 20_000);
  expect(travelAlong(rig, HOME, 5, 1)).toEqual({ by: Math.PI, stop: null });
});

test('from a pose that is stopped already there is no travel, and never NaN', () => {
  expect(travelAlong(crank, [0, 0, 90, 0, 0, 0], 0, 1)).toEqual({ by: 0, stop: { joint: 'leg1', cause: 'rod' } });
  expect(travelAlong(crank, [0, NaN, 0, 0, 0, 0], 0, 1)).toEqual({ by: 0, stop: { joint: 'leg1', cause: 'rod' } });
});

test('a slanted way ends where it is told to, when nothing stops it before', () => {
  expect(firstStop(crank, HOME, [1, 1, 0, 0, 0, 0.01], 2, 0.5)).toEqual({ by: 2, stop: null });
});

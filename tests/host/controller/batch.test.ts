/**
 * The batch solver: four at a time against one at a time, and both against the closed form in f64 (host/rig/legs.ts). The
 * bounds are f32's: what the controller's kernels were designed to, end to end.
 */
import { readFileSync } from 'node:fs';
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { batchSolver } from '../../../host/controller/batch.ts';
import { packImage } from '../../../host/controller/image.ts';
import { legCoordinate, legVector } from '../../../host/rig/legs.ts';
import { type Platform, type Pose, toDeg, toRad } from '../../../host/rig/rig.ts';
import { crankPlatform, linearPlatform, rigOf } from '../physics/platforms.ts';

const wasm = new Uint8Array(readFileSync('build/batch.wasm'));
const solverOf = (platform: Platform) => batchSolver(wasm, packImage(rigOf(platform, -1, 1)));

const mounted = { mount: { at_mm: [30, 0, 55], rpy_rad: [0, toRad(90), 0] }, pivot_mm: [0, 0, 40] } as const;
const PLATFORMS: [string, Platform][] = [
  ['a level platform', crankPlatform()],
  ['one that looks forward, about a pivot', crankPlatform(mounted)],
  ['the other branch', crankPlatform({ branch: 'other' })],
  ['actuators', linearPlatform({ pivot_mm: [0, 0, 20] })],
];

/** n × 6, uniform within ± mm and ± rad. */
function poses(n: number, mm: number, rad: number, seed = 20): Float32Array {
  const random = xoroshiro128plus(seed);
  return Float32Array.from({ length: n * 6 }, (_, i) => (2 * uniformFloat32(random) - 1) * (i % 6 < 3 ? mm : rad));
}

const poseAt = (values: Float32Array, i: number): Pose => [...values.subarray(6 * i, 6 * i + 6)] as unknown as Pose;

/**
 * How far a leg is from the edge of its reach: the asin term |L|/√(N² + lz²) of a crank, above 1 out of reach. lz > 0 and
 * the stroke count as well: out of reach by them is Infinity.
 */
function edge(platform: Platform, i: number, pose: Pose): number {
  const [x, y, z] = legVector(platform, i, pose);
  if (platform.drive === 'linear') {
    const length = Math.hypot(x, y, z);
    const [lo, hi] = platform.stroke_mm!;
    return Math.abs(length - (lo + hi) / 2) / ((hi - lo) / 2);
  }
  if (!(z > 0)) return Infinity;
  const { crank_mm: a, rod_mm: s } = platform;
  const azimuth = platform.legs[i]!.azimuth_rad;
  const N = x * Math.cos(azimuth) + y * Math.sin(azimuth);
  return Math.abs((x * x + y * y + z * z - s * s + a * a) / (2 * a)) / Math.hypot(N, z);
}

describe.each(PLATFORMS)('%s', (_, platform) => {
  const solver = solverOf(platform);
  const n = 4003;

  it('four at a time gives the bits of one at a time, whatever the number of poses', () => {
    for (const count of [0, 1, 2, 3, 4, 5, 511, 512, 513, n]) {
      const asked = poses(count, 12, 0.35, count);
      const scalar = new Float32Array(count * 6);
      const simd = new Float32Array(count * 6);
      solver.solve(asked, scalar, false);
      solver.solve(asked, simd, true);
      expect(simd).toEqual(scalar);
    }
  });

  it.each([true, false])('agrees with the closed form in f64 (simd: %s)', (simd) => {
    const asked = poses(n, 10, 0.25);
    const out = new Float32Array(asked.length);
    solver.solve(asked, out, simd);
    let squares = 0;
    let count = 0;
    let worst = 0;
    for (let p = 0; p < n; p++) {
      const pose = poseAt(asked, p);
      const edges = [0, 1, 2, 3, 4, 5].map((i) => edge(platform, i, pose));
      if (!edges.every((term) => term < Math.sin(toRad(89)))) continue;
      for (let i = 0; i < 6; i++) {
        const exact = legCoordinate(platform, i, pose)!;
        const error = out[6 * p + i]! - exact;
        const shown = platform.drive === 'crank' ? toDeg(error) : error;
        squares += shown ** 2;
        count++;
        worst = Math.max(worst, Math.abs(shown)); // NaN stays
      }
    }
    expect(count).toBeGreaterThan(n);
    expect(Math.sqrt(squares / count)).toBeLessThan(5e-5);
    expect(worst).toBeLessThan(2e-3);
  });

  it.each([true, false])('gives six NaN out of reach, and only there (simd: %s)', (simd) => {
    const asked = poses(n, 26, 0.45);
    const out = new Float32Array(asked.length).fill(7);
    solver.solve(asked, out, simd);
    const seen = { reached: 0, lost: 0 };
    const wrong: Pose[] = [];
    for (let p = 0; p < n; p++) {
      const pose = poseAt(asked, p);
      const term = Math.max(...[0, 1, 2, 3, 4, 5].map((i) => edge(platform, i, pose)));
      // Nearer than this to its edge, f32 may say the one or the other.
      if (Math.abs(term - 1) < 1e-5) continue;
      seen[term < 1 ? 'reached' : 'lost']++;
      if (!out.subarray(6 * p, 6 * p + 6).every((value) => Number.isNaN(value) === term > 1)) wrong.push(pose);
    }
    expect(wrong).toEqual([]);
    expect(seen.reached).toBeGreaterThan(200);
    expect(seen.lost).toBeGreaterThan(200);
  });

  it.each([true, false])(
    'takes NaN and infinities for out of reach, and spares their neighbours (simd: %s)',
    (simd) => {
      for (const bad of [NaN, Infinity, -Infinity])
        for (let k = 0; k < 6; k++) {
          const asked = new Float32Array(7 * 6);
          const out = new Float32Array(7 * 6).fill(7);
          asked[6 * 2 + k] = bad;
          solver.solve(asked, out, simd);
          const lost = [0, 1, 2, 3, 4, 5, 6].map((p) => out.subarray(6 * p, 6 * p + 6).every(Number.isNaN));
          expect(lost).toEqual([false, false, true, false, false, false, false]);
          expect(out.filter(Number.isNaN)).toHaveLength(6);
        }
    },
  );
});

it('does not look at soft limits nor rod ends', () => {
  const platform = crankPlatform({ rod_end_rad: toRad(0.1) });
  const solver = batchSolver(wasm, packImage(rigOf(platform, -0.001, 0.001)));
  const out = new Float32Array(6);
  solver.solve(Float32Array.of(0, 0, 8, 0, 0, 0), out, false);
  expect(out.every((angle) => angle > 0.001)).toBe(true);
});

it('throws for a rig without a platform', () => {
  const rig = { ...rigOf(crankPlatform(), -1, 1), platform: null };
  expect(() => batchSolver(wasm, packImage(rig))).toThrow('no platform');
});

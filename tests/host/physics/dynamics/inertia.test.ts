import { describe, expect, it } from 'vitest';
import { shapeInertia } from '../../../../host/physics/dynamics/inertia.ts';
import type { Vec3 } from '../../../../host/rig/rig.ts';
import { axisMatrix, mulMat, transpose } from '../../../../host/rig/rotation.ts';

/** 1 kg, kg·mm². */
const shell = (radii_mm: Vec3): number[] =>
  [0, 4, 8].map((k) => shapeInertia({ kind: 'ellipsoid_shell', radii_mm }, 1)[k]! * 1e6);

describe('a thin ellipsoid’s shell of even wall', () => {
  /** One radius c off two equal ones a: a solid of revolution, rings of radius r(z) and width ds, by 200,000 of them. */
  function byRings(a: number, c: number): { axis: number; across: number } {
    const N = 200_000;
    let [area, rr, zz] = [0, 0, 0];
    for (let k = 0; k < N; k++) {
      const theta = ((k + 0.5) / N) * Math.PI;
      const r = a * Math.sin(theta);
      const z = c * Math.cos(theta);
      const ring = r * Math.hypot(a * Math.cos(theta), c * Math.sin(theta));
      area += ring;
      rr += ring * r * r;
      zz += ring * z * z;
    }
    return { axis: rr / area, across: rr / area / 2 + zz / area };
  }

  it.each([
    [50, 50],
    [50, 25],
    [50, 100],
    [30, 120],
    [120, 30],
  ])('radii %d, %d: as rings', (a, c) => {
    const wanted = byRings(a, c);
    const [x, y, z] = shell([a, a, c]) as [number, number, number];
    expect(x / wanted.across).toBeCloseTo(1, 6);
    expect(y / wanted.across).toBeCloseTo(1, 6);
    expect(z / wanted.axis).toBeCloseTo(1, 6);
  });

  it('three radii: the same whichever way it is turned', () => {
    const [x, y, z] = shell([60, 55, 30]) as [number, number, number];
    const [p, q, r] = shell([30, 60, 55]) as [number, number, number];
    for (const [one, other] of [
      [x, q],
      [y, r],
      [z, p],
    ] as const)
      expect(one / other).toBeCloseTo(1, 6);
  });

  it('is not the shell between two similar ellipsoids, which is thin at its waist', () => {
    const similar = (50 ** 2 + 100 ** 2) / 3;
    expect(shell([50, 50, 100])[0]! / similar).toBeLessThan(0.95);
  });
});

it('a cylinder along any direction is one along z, turned', () => {
  const turn = axisMatrix([0.6, 0.8, 0], 1.1);
  const along: Vec3 = [turn[2], turn[5], turn[8]];
  const found = shapeInertia({ kind: 'cylinder', radius_mm: 20, length_mm: 90, along }, 0.4);
  const straight = shapeInertia({ kind: 'cylinder', radius_mm: 20, length_mm: 90, along: [0, 0, 1] }, 0.4);
  mulMat(turn, mulMat(straight, transpose(turn))).forEach((value, k) => expect(found[k]).toBeCloseTo(value, 12));
});

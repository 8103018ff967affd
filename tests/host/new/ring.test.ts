/** The closed form of a ring against its six points, laid out here by azimuth alone. */
import { expect, it } from 'vitest';
import { ringOf } from '../../../host/new/ring.ts';

/** Distances from each joint to the next, all round: within a pair, to the next pair, and so on. */
function neighbours(radius_mm: number, half_deg: number): number[] {
  const points = [0, 120, 240]
    .flatMap((pair) => [pair - half_deg, pair + half_deg])
    .map((deg) => [radius_mm * Math.cos((deg * Math.PI) / 180), radius_mm * Math.sin((deg * Math.PI) / 180)] as const);
  return points.map(([x, y], i) => {
    const [u, v] = points[(i + 1) % 6]!;
    return Math.hypot(u - x, v - y);
  });
}

it.each([
  ['a base of near pairs', 70, 14],
  ['a plate of far pairs', 55, 46],
  ['a regular hexagon', 40, 30],
  ['pairs that nearly touch', 300, 0.5],
  ['pairs that nearly touch their neighbours', 25, 59.5],
])('gives the ring of the distances: %s', (_, radius_mm, half_deg) => {
  const [pair, gap, ...others] = neighbours(radius_mm, half_deg);
  others.forEach((mm, i) => {
    expect(mm).toBeCloseTo(i % 2 === 0 ? pair! : gap!, 9);
  });
  const ring = ringOf(pair!, gap!);
  expect(ring.radius_mm).toBeCloseTo(radius_mm, 9);
  expect(ring.half_angle_deg).toBeCloseTo(half_deg, 9);
});

it('of equal distances is the hexagon, whose side is its radius', () => {
  const { radius_mm, half_angle_deg } = ringOf(50, 50);
  expect(radius_mm).toBeCloseTo(50, 12);
  expect(half_angle_deg).toBeCloseTo(30, 12);
});

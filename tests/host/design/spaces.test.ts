/** Room between bodies: the evaluator's, the library's, and distances found by walking along both segments. */
import { expect, it } from 'vitest';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Candidate, STANDS } from '../../../host/design/evaluate/candidate.ts';
import { Spaces, bodyName } from '../../../host/design/evaluate/spaces.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { segmentDistance } from '../../../host/design/evaluate/segments.ts';
import { roomAt } from '../../../host/physics/kinematics/bodies.ts';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { type Clearance, usualClearance } from '../../../host/rig/clearance.ts';
import { HOME, type Pose, type Rig } from '../../../host/rig/rig.ts';
import { bodyCorners } from '../../../host/rig/servo-body.ts';
import { bodiesOf } from '../../../host/report/drawing/bodies.ts';
import { askOf, demoOwl, draws, randomDesigns } from './candidates.ts';

/** The least distance of two segments by golden sections in one of the nearest point of the other: a convex function of one number. */
function walked(A: Float64Array, B: Float64Array): number {
  const along = (S: Float64Array, t: number): number[] => [0, 1, 2].map((k) => S[k]! + t * (S[k + 3]! - S[k]!));
  const toB = (p: readonly number[]): number => {
    const way = [0, 1, 2].map((k) => B[k + 3]! - B[k]!);
    const square = way.reduce((sum, w) => sum + w * w, 0);
    const t = square > 0 ? way.reduce((sum, w, k) => sum + w * (p[k]! - B[k]!), 0) / square : 0;
    const near = along(B, Math.min(1, Math.max(0, t)));
    return Math.hypot(...near.map((value, k) => value - p[k]!));
  };
  let [lo, hi] = [0, 1];
  const golden = (Math.sqrt(5) - 1) / 2;
  for (let n = 0; n < 80; n++) {
    const [a, b] = [hi - golden * (hi - lo), lo + golden * (hi - lo)];
    if (toB(along(A, a)) < toB(along(A, b))) hi = b;
    else lo = a;
  }
  return toB(along(A, (lo + hi) / 2));
}

it('two segments, parallel, crossing, shrunk to points and any others, are as far apart as a walk along both finds', () => {
  const next = draws(41);
  const cases = Array.from({ length: 2000 }, () =>
    [0, 1].map(() => Float64Array.from({ length: 6 }, () => 2 * next() - 1)),
  );
  const line = Float64Array.from([0, 0, 0, 1, 0, 0]);
  const special = [
    [line, Float64Array.from([0, 1, 0, 1, 1, 0])],
    [line, Float64Array.from([3, 1, 0, 2, 1, 0])],
    [line, Float64Array.from([0.5, -1, 0, 0.5, 1, 0])],
    [line, Float64Array.from([0.5, 2, 0, 0.5, 2, 0])],
    [Float64Array.from([1, 1, 1, 1, 1, 1]), Float64Array.from([1, 1, 3, 1, 1, 3])],
  ];
  for (const [A, B] of [...cases, ...special]) expect(segmentDistance(A!, 0, B!, 0)).toBeCloseTo(walked(A!, B!), 7);
});

it.each([
  { body: [23, 12, 28], seen: ['crank and the base plate', 'servo and servo'] },
  { body: [20, 40, 38], seen: ['rod and servo', 'servo and servo'] },
] as const)(
  'of random designs at random poses the evaluator finds the two bodies that the library finds: $body',
  (given) => {
    const clearance = usualClearance({ servo_body_mm: given.body, axes_above_base_mm: 30 });
    const ask = askOf(demoOwl(), { clearance });
    const candidate = new Candidate(prepare(ask));
    const spaces = new Spaces(clearance, ask.rig.platform!.pivot_mm);
    const next = draws(42);
    const pairs = new Set<string>();
    let compared = 0;
    for (const design of randomDesigns(300, 43)) {
      if (candidate.take(design) !== STANDS) continue;
      const { platform } = candidateRig(ask, design)!;
      const pose = [20, 20, 20, 0.4, 0.4, 0.5].map((most) => most * (2 * next() - 1)) as unknown as Pose;
      const legs = inverse(platform!, pose);
      const flat = Float64Array.from(pose, (value, k) => (k < 3 ? value / 1000 : value));
      if (!legs || !candidate.go(flat, 0, 1)) continue;
      candidate.rods.put(candidate.legs);
      spaces.begin(candidate.legs, clearance.servo_body_mm);
      spaces.at(candidate.legs, candidate.rods);
      const room = roomAt(platform!, clearance, legs, pose);
      expect(spaces.least * 1000).toBeCloseTo(room.mm, 7);
      // Of a symmetric platform two pairs may be as near to the last bit: which of the legs is then told is chance.
      const kinds = (names: readonly string[]): string =>
        names
          .map((name) => name.replace(/leg\d’s /, ''))
          .sort()
          .join(' and ');
      const found = kinds([bodyName(spaces.nearest >> 5), bodyName(spaces.nearest & 31)]);
      expect(found).toBe(kinds(room.between));
      pairs.add(found);
      compared++;
    }
    expect(compared).toBeGreaterThan(80);
    expect([...pairs].sort()).toEqual(expect.arrayContaining([...given.seen]));
  },
);

it('two servos of a pair that lie flat touch where their shafts are nearer than they are long', () => {
  const owl = demoOwl();
  const between = 2 * 70 * Math.sin((14 * Math.PI) / 180);
  const room = (long: number): number =>
    roomAt(
      owl.platform!,
      usualClearance({ servo_body_mm: [long, 20, 38], axes_above_base_mm: 100 }),
      inverse(owl.platform!, [0, 0, 0, 0, 0, 0])!,
      [0, 0, 0, 0, 0, 0],
    ).mm;
  // Base radius 70 mm, half angle 14 deg: shafts 33.9 mm apart; bodies of 40 mm overlap by the difference (law of the chord).
  expect(room(40)).toBeLessThan(0);
  expect(room(40)).toBeCloseTo(between - 40, 6);
});

/** Rigs of random designs that stand, and where their cranks stand at home. */
function someRigs(seed: number, clearance: Partial<Clearance>): { readonly rig: Rig; readonly legs: Float64Array }[] {
  const ask = askOf(demoOwl());
  return randomDesigns(60, seed).flatMap((design) => {
    const rig = candidateRig(ask, design);
    const legs = rig && inverse(rig.platform!, HOME);
    return rig && legs
      ? [{ rig: { ...rig, platform: { ...rig.platform!, clearance } }, legs: Float64Array.from(legs) }]
      : [];
  });
}

it('no corner of a usual servo’s body, 40 mm high, is nearer to a rod or to the moving plate than is told', () => {
  const clearance = usualClearance({ axes_above_base_mm: 200, horn_thick_mm: 9 });
  let nearest = 0;
  for (const { rig, legs: at } of someRigs(44, {})) {
    const { platform } = rig;
    const told = roomAt(platform!, clearance, at, HOME).mm;
    const corners = platform!.legs.flatMap((leg) =>
      bodyCorners(leg, clearance).flatMap(([x, y]) => [-20, 20].map((high) => [x, y, leg.base_mm[2] + high] as const)),
    );
    const rods = platform!.legs.map(({ base_mm: [x, y, z], azimuth_rad, moving_mm }, i) => {
      const [out, up] = [platform!.crank_mm * Math.cos(at[i]!), platform!.crank_mm * Math.sin(at[i]!)];
      const tip = [x + out * Math.cos(azimuth_rad), y + out * Math.sin(azimuth_rad), z + up];
      return Float64Array.of(...tip, moving_mm[0], moving_mm[1], moving_mm[2] + platform!.home_z_mm);
    });
    const face = platform!.home_z_mm - clearance.plate_below_studs_mm;
    const rooms = corners.flatMap((corner) => [
      ...rods.map((rod) => walked(Float64Array.of(...corner, ...corner), rod) - clearance.rod_thick_mm / 2),
      ...(Math.hypot(corner[0], corner[1]) <
      Math.hypot(platform!.legs[0]!.moving_mm[0], platform!.legs[0]!.moving_mm[1])
        ? [face - corner[2]]
        : []),
    ]);
    const least = Math.min(...rooms);
    expect(told).toBeLessThan(least + 1e-6);
    if (told > 0 && least < told + 0.5) nearest++;
  }
  expect(nearest).toBeGreaterThan(0);
});

it('servos that overlap on the base plate’s drawing overlap by as much here', () => {
  let overlapping = 0;
  for (const { rig, legs } of someRigs(45, { axes_above_base_mm: 200, servo_body_mm: [40, 40, 38] })) {
    const { faults } = bodiesOf(rig.platform!)!;
    const told = faults.flatMap((fault) => [...fault.matchAll(/\(by ([\d.]+) mm\)/g)].map((match) => Number(match[1])));
    const { mm, between } = roomAt(rig.platform!, usualClearance(rig.platform!.clearance), legs, HOME);
    if (!between.every((name) => name.includes('servo'))) continue;
    if (told.length === 0) expect(mm).toBeGreaterThan(-1e-6);
    else {
      // Told to 0.01 mm; deeper than they are high they would be moved up and over each other.
      expect(-mm).toBeCloseTo(Math.min(40, Math.max(...told)), 1);
      overlapping++;
    }
  }
  expect(overlapping).toBeGreaterThan(10);
});

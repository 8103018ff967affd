/** Room between bodies: the evaluator's, the library's, and distances found by walking along both segments. */
import { expect, it } from 'vitest';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Candidate, STANDS } from '../../../host/design/evaluate/candidate.ts';
import { Spaces, bodyName } from '../../../host/design/evaluate/spaces.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { segmentDistance } from '../../../host/design/evaluate/segments.ts';
import { roomAt } from '../../../host/physics/kinematics/bodies.ts';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';
import type { Pose } from '../../../host/rig/rig.ts';
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

it('of random designs at random poses the evaluator finds the two bodies that the library finds, as near', () => {
  const clearance = usualClearance({ servo_body_mm: [23, 12, 28], axes_above_base_mm: 30 });
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
  expect([...pairs].sort()).toEqual(expect.arrayContaining(['crank and the base plate', 'servo and servo']));
});

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

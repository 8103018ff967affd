/**
 * Room about boxes against distances found slowly and otherwise: golden sections, one within the other, over the points of one body, of
 * the distance to the other by clamping (a convex function, so a section in each direction finds its least).
 */
import { describe, expect, it } from 'vitest';
import { BOX, boxToBox, boxToDisc, segmentToBox } from '../../../../host/physics/kinematics/boxes.ts';
import { draws } from '../../design/candidates.ts';

type Point = readonly [number, number, number];
const GOLDEN = (Math.sqrt(5) - 1) / 2;

function least(f: (t: number) => number, from: number, to: number, sections: number): number {
  let [lo, hi] = [from, to];
  for (let n = 0; n < sections; n++) {
    const [a, b] = [hi - GOLDEN * (hi - lo), lo + GOLDEN * (hi - lo)];
    if (f(a) < f(b)) hi = b;
    else lo = a;
  }
  return f((lo + hi) / 2);
}

function toBox(box: Float64Array, [x, y, z]: Point): number {
  const [cx, cy, cz, u, v, long, deep, high] = box as unknown as number[];
  const [dx, dy, dz] = [x - cx!, y - cy!, z - cz!];
  const local = [
    [dx * u! + dy * v!, long!],
    [dy * u! - dx * v!, deep!],
    [dz, high!],
  ] as const;
  return Math.hypot(...local.map(([at, half]) => at - Math.min(half, Math.max(-half, at))));
}

/** A point of a box by its own coordinates. */
const ofBox = ([x, y, z, u, v]: Float64Array, a: number, b: number, c: number): Point => [
  x! + a * u! - b * v!,
  y! + a * v! + b * u!,
  z! + c,
];

const ofSegment = (s: Float64Array, t: number): Point => [0, 1, 2].map((k) => s[k]! + t * (s[k + 3]! - s[k]!)) as never;

const next = draws(71);
const within = (most: number): number => most * (2 * next() - 1);

function anyBox(off: number): Float64Array {
  const turn = within(Math.PI);
  const half = (): number => 0.2 + next();
  return Float64Array.of(within(off), within(off), within(off), Math.cos(turn), Math.sin(turn), half(), half(), half());
}

/** Least overlap of shadows over ways spread over a sphere (by the golden angle): never less than the true depth. */
function shadowDepth(box: Float64Array, reach: (n: Point) => readonly [lo: number, hi: number]): number {
  let depth = Infinity;
  const WAYS = 20_000;
  for (let k = 0; k < WAYS; k++) {
    const z = 1 - (2 * k + 1) / WAYS;
    const r = Math.sqrt(1 - z * z);
    const turn = k * Math.PI * (3 - Math.sqrt(5));
    const n: Point = [r * Math.cos(turn), r * Math.sin(turn), z];
    const [u, v] = [box[3]!, box[4]!];
    const most =
      box[5]! * Math.abs(n[0] * u + n[1] * v) + box[6]! * Math.abs(n[1] * u - n[0] * v) + box[7]! * Math.abs(n[2]);
    const middle = n[0] * box[0]! + n[1] * box[1]! + n[2] * box[2]!;
    depth = Math.min(depth, middle + most - reach(n)[0]);
  }
  return depth;
}

const dot = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

describe('a segment and a box', () => {
  const cases = Array.from({ length: 1500 }, (_, k) => {
    const segment = Float64Array.from({ length: 6 }, () => within(3));
    // Points, upright ones, and ones along a side too.
    if (k % 10 === 0) for (let n = 0; n < 3; n++) segment[n + 3] = segment[n]!;
    if (k % 10 === 1) for (let n = 0; n < 2; n++) segment[n + 3] = segment[n]!;
    if (k % 10 === 2) segment[5] = segment[2]!;
    return { segment, box: anyBox(1) };
  });

  it('apart, they are as far as golden sections find', () => {
    let apart = 0;
    for (const { segment, box } of cases) {
      const slow = least((t) => toBox(box, ofSegment(segment, t)), 0, 1, 90);
      const fast = segmentToBox(segment, 0, box, 0);
      if (slow < 1e-6) expect(fast).toBeLessThan(1e-6);
      else expect(fast).toBeCloseTo(slow, 7);
      if (slow > 1e-6) apart++;
    }
    expect(apart).toBeGreaterThan(500);
    expect(apart).toBeLessThan(1400);
  });

  it('overlapping, they are as deep as the least of their shadows’ overlaps', () => {
    let deep = 0;
    for (const { segment, box } of cases.filter((_, k) => k % 10 !== 0).slice(0, 200)) {
      const fast = segmentToBox(segment, 0, box, 0);
      if (!(fast < -0.02)) continue;
      const ends = [ofSegment(segment, 0), ofSegment(segment, 1)];
      const slow = shadowDepth(box, (n) => [Math.min(...ends.map((end) => dot(end, n))), 0]);
      expect(-fast).toBeLessThanOrEqual(slow + 1e-12);
      expect(-fast).toBeGreaterThan(slow - 0.06);
      deep++;
    }
    expect(deep).toBeGreaterThan(15);
  });
});

it('two boxes are as far apart as golden sections find, and as deep in each other as their sides’ overlaps', () => {
  let apart = 0;
  for (let n = 0; n < 24; n++) {
    const [a, b] = [anyBox(2), anyBox(2)];
    const over = (most: number, f: (t: number) => number): number => least(f, -most, most, 25);
    const slow = over(a[5]!, (x) => over(a[6]!, (y) => over(a[7]!, (z) => toBox(b, ofBox(a, x, y, z)))));
    const fast = boxToBox(a, 0, b, 0);
    if (slow > 1e-4) {
      expect(fast).toBeCloseTo(slow, 4);
      apart++;
    } else expect(fast).toBeLessThan(1e-4);
    expect(boxToBox(b, 0, a, 0)).toBeCloseTo(fast, 12);
  }
  expect(apart).toBeGreaterThan(8);
  // Two boxes 2 long and 2 deep, shafts 1.5 apart along the long side, one turned by a right angle: 0.5 in each other.
  const plain = Float64Array.of(0, 0, 0, 1, 0, 1, 1, 3);
  expect(boxToBox(plain, 0, Float64Array.of(1.5, 0, 0, 0, 1, 1, 1, 3), 0)).toBeCloseTo(-0.5, 12);
  expect(boxToBox(plain, 0, Float64Array.of(0.2, 0, 5.9, 1, 0, 1, 1, 3), 0)).toBeCloseTo(-0.1, 12);
});

describe('a box and a disc', () => {
  /** Tilted up to some 30 deg, as a plate is. */
  const anyDisc = (): Float64Array => {
    const [x, y] = [within(0.35), within(0.35)];
    return Float64Array.of(within(2), within(2), 1 + 2 * next(), x, y, Math.sqrt(1 - x * x - y * y), 0.5 + next());
  };

  function slowly(box: Float64Array, disc: Float64Array): number {
    const [x, y, z, a, b, c, radius] = disc as unknown as number[];
    // Two ways in the disc's plane.
    const size = Math.hypot(a!, c!);
    const one: Point = [c! / size, 0, -a! / size];
    const two: Point = [b! * one[2] - c! * one[1], c! * one[0] - a! * one[2], a! * one[1] - b! * one[0]];
    return least(
      (s) => {
        const chord = Math.sqrt(Math.max(0, radius! * radius! - s * s));
        const point = (t: number): Point => [0, 1, 2].map((k) => [x!, y!, z!][k]! + s * one[k]! + t * two[k]!) as never;
        return least((t) => toBox(box, point(t)), -chord, chord, 40);
      },
      -radius!,
      radius!,
      40,
    );
  }

  it('are told no further apart than golden sections find, and mostly as far', () => {
    let [apart, same, low] = [0, 0, 0];
    for (let n = 0; n < 200; n++) {
      const [box, disc] = [anyBox(1.5), anyDisc()];
      const slow = slowly(box, disc);
      const fast = boxToDisc(box, 0, disc);
      expect(fast).toBeLessThan(slow + 1e-6);
      if (slow < 1e-3) continue;
      apart++;
      if (!(fast > slow - 0.05)) low++;
      if (fast > slow - 1e-3) same++;
    }
    expect(apart).toBeGreaterThan(100);
    expect(same / apart).toBeGreaterThan(0.9);
    expect(low / apart).toBeLessThan(0.02);
  });

  it('beneath a level disc the box’s top counts; through it, how far', () => {
    const disc = Float64Array.of(0, 0, 5, 0, 0, 1, 2);
    expect(boxToDisc(Float64Array.of(0, 0, 2, 1, 0, 1, 1, 1), 0, disc)).toBeCloseTo(2, 12);
    expect(boxToDisc(Float64Array.of(0, 0, 4.5, 1, 0, 1, 1, 1), 0, disc)).toBeCloseTo(-0.5, 12);
    expect(boxToDisc(Float64Array.of(5, 0, 5, 1, 0, 1, 1, 1), 0, disc)).toBeCloseTo(2, 6);
  });
});

it('boxes lie beside each other in one array', () => {
  const two = new Float64Array(2 * BOX);
  two.set([0, 0, 0, 1, 0, 1, 1, 1], 0);
  two.set([4, 0, 0, 1, 0, 1, 1, 1], BOX);
  expect(boxToBox(two, 0, two, BOX)).toBe(2);
  expect(segmentToBox(Float64Array.of(0, 0, 0, 0, 0, 9, 4, 0, 3, 4, 0, 9), 6, two, BOX)).toBe(2);
});

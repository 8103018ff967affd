/** A character looks at a point: the head's x axis meets it, by what its axes and its platform may do. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { readRig } from '../../../host/rig/read.ts';
import { type Rig, type Vec3, toDeg, toRad } from '../../../host/rig/rig.ts';
import { followed, gaze, keptShares, lookAt, missOf } from '../../../host/stage/page/hand/look-at.ts';
import { mirrored, otherSide } from '../../../host/stage/page/hand/mirror.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const HOME = new Float64Array(10);
const NOD = 6;

/** A point so far before the head at home, turned by so much from straight ahead. */
function pointAt(rig: Rig, yaw_deg: number, up_deg: number, far_mm: number): Vec3 {
  const { from_mm } = gaze(rig, HOME);
  const [yaw, up] = [toRad(yaw_deg), toRad(up_deg)];
  const way = [Math.cos(up) * Math.cos(yaw), Math.cos(up) * Math.sin(yaw), Math.sin(up)];
  return from_mm.map((at, k) => at + far_mm * way[k]!) as unknown as Vec3;
}

describe('looking at a point', () => {
  it.each([
    [0, 0, 400],
    [9, 0, 400],
    [-9, 6, 250],
    [4, -14, 900],
    [0, 20, 500],
  ])('meets a point %d deg aside and %d deg up, %d mm away, within 0.5 deg', (yaw, up, far) => {
    const point = pointAt(owl, yaw, up, far);
    const values = lookAt(owl, HOME, point);
    expect(toDeg(missOf(owl, values, point))).toBeLessThan(0.5);
    expect(whatStops(owl, values)).toBeNull();
    expect(values[NOD]).toBeGreaterThanOrEqual(owl.joints[6]!.lo);
    expect(values[NOD]).toBeLessThanOrEqual(owl.joints[6]!.hi);
  });

  it('lets the neck do more where its share is larger, and all of a nod where it is 1', () => {
    const point = pointAt(owl, 0, 12, 400);
    const [none, half, all] = [0, 0.5, 1].map((neck) => lookAt(owl, HOME, point, { eyes: 0, neck }));
    expect(none![NOD]).toBeCloseTo(0, 9);
    expect(half![NOD]).toBeGreaterThan(toRad(4));
    expect(all![NOD]).toBeGreaterThan(half![NOD]!);
    expect(Math.abs(all![4]!)).toBeLessThan(Math.abs(none![4]!) / 4);
  });

  it.each([60, 100, 160, 400])(
    'turns the neck the way the point is, and no further, from %d mm before the head',
    (far) => {
      const { from_mm } = gaze(owl, HOME);
      for (const up of [-40, 40]) {
        const point: Vec3 = [from_mm[0] + far, from_mm[1], from_mm[2] + up];
        const all = lookAt(owl, HOME, point, { eyes: 0, neck: 1 });
        expect(Math.sign(all[NOD]!)).toBe(Math.sign(up));
        expect(Math.abs(all[4]!)).toBeLessThan(1e-6);
        expect(missOf(owl, all, point)).toBeLessThan(1e-6);
      }
    },
  );

  it('leaves a neck that pans where it is for a point straight above it, a hair to either side', () => {
    const nod = owl.joints[NOD]!;
    const pan = { ...nod, lo: -1, hi: 1, axis: { ...nod.axis!, along: [0, 0, 1] as Vec3 } };
    const rig: Rig = { ...owl, joints: owl.joints.map((joint) => (joint === nod ? pan : joint)) };
    const [x, , z] = nod.axis!.at_mm;
    for (const aside of [-1, 1])
      expect(lookAt(rig, HOME, [x, aside, z + 600], { eyes: 0, neck: 1 })[NOD]).toBeCloseTo(0, 9);
  });

  it('takes more neck than its share where the platform alone does not reach', () => {
    const point = pointAt(owl, 0, 22, 600);
    const values = lookAt(owl, HOME, point, { eyes: 0, neck: 0 });
    expect(values[NOD]).toBeGreaterThan(toRad(2));
    expect(whatStops(owl, values)).toBeNull();
  });

  it('leaves alone what has no part in it', () => {
    const before = Float64Array.of(3, -2, 1, 0.05, 0.1, -0.1, 0.1, 0.4, 0.2, -0.1);
    const values = lookAt(owl, before, pointAt(owl, 5, 5, 500));
    for (const i of [0, 1, 2, 3, 7, 8, 9]) expect(values[i]).toBe(before[i]);
  });

  it('goes its way alone with axes where there is no platform', () => {
    const axis = (name: string, on: string | null, along: Vec3): Rig['joints'][number] => ({
      ...owl.joints[6]!,
      name,
      lo: -1.2,
      hi: 1.2,
      axis: { on, at_mm: on ? [0, 0, 100] : [0, 0, 0], along },
    });
    const neck: Rig = {
      ...owl,
      platform: null,
      joints: [axis('turn', null, [0, 0, 1]), axis('nod', 'turn', [0, 1, 0])],
    };
    const point: Vec3 = [300, 200, 180];
    const values = lookAt(neck, new Float64Array(8), point);
    expect(toDeg(missOf(neck, values, point))).toBeLessThan(0.5);
    // Two axes that cross: azimuth atan2(y, x), and a nod with plus down (right-hand rule about y).
    expect(values[6]).toBeCloseTo(Math.atan2(200, 300), 4);
    expect(values[7]).toBeCloseTo(-Math.atan2(80, Math.hypot(300, 200)), 4);
  });

  it('turns the eyes first: they are there at once, the head comes after', () => {
    const eye = { ...owl.joints[7]!, name: 'eye_yaw', lo: -0.5, hi: 0.5 };
    const seeing: Rig = { ...owl, joints: [...owl.joints, eye] };
    const now = new Float64Array(11);
    const point = pointAt(owl, 9, 0, 400);
    const goal = lookAt(seeing, now, point);
    expect(goal[5]).toBeGreaterThan(toRad(4));
    expect(goal[10]).toBeGreaterThan(toRad(1.5));
    // What the head leaves, the eyes make up, seen from the pivot.
    expect(toDeg(goal[5]! + goal[10]!)).toBeCloseTo(9, 1);
    const next = followed(seeing, now, goal, 0.016);
    expect(next[10]).toBe(goal[10]);
    expect(next[5]).toBeLessThan(0.1 * goal[5]!);
    let at: Float64Array = now;
    for (let k = 0; k < 120; k++) at = followed(seeing, at, goal, 0.016);
    expect(at[5]).toBeCloseTo(goal[5]!, 3);
  });
});

describe('left and right', () => {
  it('change sign in what lies across the plane of symmetry, and twice is as before', () => {
    const values = Float64Array.of(1, 2, 3, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7);
    const other = mirrored(owl, values);
    expect([...other]).toEqual([1, -2, 3, -0.1, 0.2, -0.3, 0.4, 0.5, 0.6, 0.7]);
    expect(mirrored(owl, other)).toEqual(values);
  });

  it('changes joints over that are named for their sides', () => {
    expect(otherSide('ear_left')).toBe('ear_right');
    expect(otherSide('l_brow')).toBe('r_brow');
    expect(otherSide('lid')).toBe('lid');
    const [left, right] = ['ear_left', 'ear_right'].map((name) => ({ ...owl.joints[9]!, name }));
    const eared: Rig = { ...owl, joints: [...owl.joints.slice(0, 6), left!, right!] };
    expect([...mirrored(eared, Float64Array.of(0, 0, 0, 0, 0, 0, 0.2, -0.3)).subarray(6)]).toEqual([-0.3, 0.2]);
  });
});

it('takes kept shares that are shares, and nothing else', () => {
  expect(keptShares({ eyes: 0.2, neck: 1, more: 3 })).toEqual({ eyes: 0.2, neck: 1 });
  for (const kept of [null, 1, {}, { eyes: 2, neck: 0.1 }, { eyes: NaN, neck: 0 }, { eyes: '0', neck: 0 }])
    expect(keptShares(kept)).toBeNull();
});

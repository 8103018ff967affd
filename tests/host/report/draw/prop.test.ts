/** Where the picture puts things: frames against rotations done by hand, outlines against elementary geometry. */
import { describe, expect, it } from 'vitest';
import { inverse, whatStops } from '../../../../host/physics/kinematics/inverse.ts';
import type { Instant } from '../../../../host/replay/result.ts';
import { framesOf, inWorld, WORLD, type Frame } from '../../../../host/report/draw/frames.ts';
import { extentOf, fastenedAt, propSide, whereStopped } from '../../../../host/report/draw/prop.ts';
import { hull, silhouette } from '../../../../host/report/draw/silhouette.ts';
import { movingPoint } from '../../../../host/rig/legs.ts';
import { HOME, toRad, type Pose, type Rig, type Vec3 } from '../../../../host/rig/rig.ts';
import { axisMatrix, rpyMatrix } from '../../../../host/rig/rotation.ts';
import { rig } from '../fixture.ts';

const platform = rig.platform!;
const pose: Pose = [3, -2, 4, toRad(4), toRad(-5), toRad(7)];
const nodIndex = 6;

const coordinates = (at: Pose, nod_deg: number): number[] => [...inverse(platform, at)!, toRad(nod_deg), 0, 0, 0];

function near(a: Vec3 | undefined, b: Vec3, digits = 9): void {
  b.forEach((value, i) => expect(a?.[i]).toBeCloseTo(value, digits));
}

it('leaves out a part that is not fitted, and the arm that would carry it', () => {
  const drawn = (fitted: boolean) =>
    propSide(
      { ...rig, parts: rig.parts.map((part) => (part.name === 'frame' ? { ...part, fitted } : part)) },
      coordinates(HOME, 0),
      HOME,
    );
  const named = (fitted: boolean) => drawn(fitted).filter(({ name, role }) => name === 'frame' && role !== 'arm');
  expect([named(true).length, named(false).length]).toEqual([1, 0]);
  const arms = (fitted: boolean) => drawn(fitted).filter(({ role }) => role === 'arm').length;
  expect(arms(true) - arms(false)).toBe(1);
});

describe('frames', () => {
  it('stand where mount and nod put them', () => {
    const level = framesOf(rig, coordinates(HOME, 0), HOME);
    near(inWorld(level.get('base')!, [0, 0, 0]), [30, 0, 55]);
    // rpy [0, 90, 0] turns the plate's normal from up to forward (the design's own words).
    near(inWorld(level.get('base')!, [0, 0, 1]), [31, 0, 55]);
    const up = framesOf(rig, coordinates(HOME, 90), HOME);
    // A positive nod about [0, -1, 0] looks up: forward becomes up, up becomes back.
    near(inWorld(up.get('nod')!, [30, 0, 55]), [-55, 0, 30]);
  });

  it('turns about a line that does not pass through the origin', () => {
    const raised: Rig = {
      ...rig,
      joints: rig.joints.map((joint, i) =>
        i === nodIndex ? { ...joint, axis: { on: null, at_mm: [10, 0, 20], along: [0, -1, 0] } } : joint,
      ),
    };
    const frame = framesOf(raised, coordinates(HOME, 90), HOME).get('nod')!;
    near(inWorld(frame, [10, 0, 20]), [10, 0, 20]);
    near(inWorld(frame, [15, 0, 20]), [10, 0, 25]);
  });

  it('carries one joint on another', () => {
    const chain: Rig = {
      ...rig,
      joints: [
        { ...rig.joints[nodIndex]!, name: 'jaw', axis: { on: 'moving', at_mm: [0, 0, 60], along: [0, 1, 0] } },
        ...rig.joints.slice(6, 7),
      ],
    };
    const frames = framesOf(chain, [0, 0], HOME);
    near(inWorld(frames.get('jaw')!, [0, 0, 60]), inWorld(frames.get('moving')!, [0, 0, 60]));
  });

  it('puts the moving joints where the legs have them', () => {
    const frames = framesOf(rig, coordinates(pose, 13), pose);
    platform.legs.forEach((leg, i) => {
      const byPlate = inWorld(frames.get('moving')!, leg.moving_mm);
      near(byPlate, inWorld(frames.get('base')!, movingPoint(platform, i, pose)));
    });
  });
});

const turned = (turn: Frame['turn'], origin_mm: Vec3 = [0, 0, 0]): Frame => ({ turn, origin_mm });

/** Width and height of a body's outline. */
function size(shape: Parameters<typeof silhouette>[0], frame: Frame): readonly [number, number] {
  const drawing = { ...silhouette(shape, frame, [0, 0, 0]), role: 'part', name: '', far: false } as const;
  const { x, z } = extentOf([drawing]);
  return [x[1] - x[0], z[1] - z[0]];
}

describe('silhouettes', () => {
  it('of a box: its sides level, its diagonal on edge', () => {
    const box = { kind: 'box', size_mm: [20, 30, 20] } as const;
    expect(silhouette(box, WORLD, [0, 0, 0])).toMatchObject({ points: { length: 4 } });
    expect(size(box, WORLD)[0]).toBeCloseTo(20, 6);
    const tipped = size(box, turned(axisMatrix([0, 1, 0], Math.PI / 4)));
    tipped.forEach((side) => expect(side).toBeCloseTo(20 * Math.SQRT2, 5));
  });

  it('keeps the corners of a cylinder that floating point set almost upright', () => {
    const frame = turned(rpyMatrix([0, toRad(90), 0]), [30, 0, 55]);
    const shape = { kind: 'cylinder', radius_mm: 70, length_mm: 40, along: [0, 0, 1] } as const;
    const outline = silhouette(shape, frame, [0, 0, -8]);
    const points = outline.kind === 'outline' ? outline.points : [];
    const corners = [2, 42].flatMap((cx) => [-15, 125].map((cz) => [cx, cz] as const));
    for (const corner of corners) {
      expect(Math.min(...points.map(([x, z]) => Math.hypot(x - corner[0], z - corner[1])))).toBeLessThan(1e-5);
    }
  });

  it('of an ellipsoid: its radii level; at 45 degrees the root of their mean square', () => {
    const egg = { kind: 'ellipsoid', radii_mm: [60, 55, 40] } as const;
    expect(size(egg, WORLD)[0]).toBeCloseTo(120, 9);
    expect(size(egg, WORLD)[1]).toBeCloseTo(80, 9);
    const [across] = size(egg, turned(axisMatrix([0, 1, 0], Math.PI / 4)));
    // Half width of an ellipse along a direction: √(a²cos² + b²sin²).
    expect(across).toBeCloseTo(2 * Math.sqrt((60 ** 2 + 40 ** 2) / 2), 9);
  });

  it('of a cylinder: a rectangle from the side, a disc along its axis', () => {
    const along = (axis: Vec3) => ({ kind: 'cylinder', radius_mm: 10, length_mm: 50, along: axis }) as const;
    const [long, wide] = size(along([3, 0, 0]), WORLD);
    expect([long, wide]).toEqual([expect.closeTo(50, 6), expect.closeTo(20, 6)]);
    const disc = size(along([0, 1, 0]), WORLD);
    disc.forEach((side) => expect(side).toBeCloseTo(20, 6));
  });

  it('hulls points on a line, and none', () => {
    const line = [0, 1, 2].map((at) => [at, at] as const);
    expect(hull(line)).toEqual([line[0], line[2]]);
    expect(hull([])).toEqual([]);
  });
});

describe('the prop from the side', () => {
  it('draws each crank and rod once, as long as they are where they lie in the plane', () => {
    const drawings = propSide(rig, coordinates(HOME, 0), HOME);
    const lines = (role: string) => drawings.filter((d) => d.role === role && d.kind === 'line');
    expect(
      lines('crank')
        .map(({ name }) => name)
        .sort(),
    ).toEqual(['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6']);
    expect(lines('rod')).toHaveLength(6);
    for (const rod of lines('rod')) {
      if (rod.kind !== 'line') continue;
      const [a, b] = rod.points;
      expect(Math.hypot(a![0] - b![0], a![1] - b![1])).toBeLessThanOrEqual(120 + 1e-6);
    }
  });

  it('leaves out what is not known', () => {
    const roles = (legs: null | number, at: Pose | null): string[] =>
      propSide(rig, [legs, legs, legs, legs, legs, legs, 0, 0, 0, 0], at).map(({ role }) => role);
    expect(roles(null, pose)).not.toContain('crank');
    expect(roles(null, pose)).toContain('plate');
    expect(roles(0, null)).not.toContain('plate');
    expect(roles(0, null)).not.toContain('rod');
    expect(roles(0, null)).toContain('crank');
  });

  it('stands on its root pivots, or on its base', () => {
    expect(fastenedAt(rig)).toEqual([[0, 0]]);
    const bare: Rig = { ...rig, joints: rig.joints.slice(0, 6), platform: { ...platform, on: null } };
    expect(fastenedAt(bare)).toEqual([[30, 55]]);
  });
});

describe('what stops it', () => {
  const instant = (joint: string, cause: string): Instant => ({
    at_s: 1,
    asked_pose: HOME,
    delivered_pose: HOME,
    asked: [],
    delivered: coordinates(HOME, 0),
    stopped_by: { joint, cause },
    worst_joint: null,
  });

  it('is a joint of the leg for a limit, its rod for reach, a rod end for a rod end', () => {
    const drawings = propSide(rig, coordinates(HOME, 0), HOME);
    const ends = (role: string) => {
      const found = drawings.find((d) => d.role === role && d.name === 'leg3');
      return found?.kind === 'line' ? found.points : [];
    };
    const [base, tip] = ends('crank');
    const [, plate] = ends('rod');
    expect(whereStopped(rig, instant('leg3', 'limit'))).toEqual(base);
    const middle = whereStopped(rig, instant('leg3', 'rod'));
    expect(middle?.[0]).toBeCloseTo((tip![0] + plate![0]) / 2, 9);
    expect([tip, plate]).toContainEqual(whereStopped(rig, instant('leg3', 'rod_end')));
  });

  it('is the pivot of an axis, and nowhere for a joint without a place', () => {
    expect(whereStopped(rig, instant('nod', 'limit'))).toEqual([0, 0]);
    expect(whereStopped(rig, instant('lid', 'limit'))).toBeNull();
    expect(whereStopped(rig, instant('nobody', 'limit'))).toBeNull();
  });

  it('is where a face joint sits on the plate, where the file tells it, and it is drawn there', () => {
    const told = (at_mm: Vec3 | null): Rig => ({
      ...rig,
      joints: rig.joints.map((joint) => (joint.name === 'lid' ? { ...joint, at_mm } : joint)),
    });
    const there = inWorld(framesOf(rig, coordinates(HOME, 0), HOME).get('moving')!, [-16, 0, 50]);
    const at = whereStopped(told([-16, 0, 50]), instant('lid', 'limit'));
    expect(at![0]).toBeCloseTo(there[0], 9);
    expect(at![1]).toBeCloseTo(there[2], 9);
    const faces = (of: Rig) => propSide(of, coordinates(HOME, 0), HOME).filter(({ role }) => role === 'face');
    expect(faces(told([-16, 0, 50]))).toMatchObject([{ name: 'lid', kind: 'dot', centre: at }]);
    expect(faces(told(null))).toEqual([]);
  });

  it('stops nothing at the pose these tests use', () => {
    expect(whatStops(rig, pose)).toBeNull();
  });
});

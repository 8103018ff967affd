/** What a ruler and a level show of a plate in a known pose, by hand. */
import { expect, it } from 'vitest';
import { type ReadingName, readingOf } from '../../../../host/bringup/estimate/readings.ts';
import { type Platform, type Pose, toRad } from '../../../../host/rig/rig.ts';
import { crankPlatform } from '../../physics/platforms.ts';

const read = (platform: Platform, pose: Pose, name: ReadingName): number =>
  readingOf(name, { platform, centre_us: [], zero_mm: 0 }, pose, { h1_mm: [50, 0, 10] });
const level = crankPlatform({ home_z_mm: 110, pivot_mm: [0, 0, 40] });
const turned = (roll: number, pitch: number, yaw: number): Pose => [3, 4, 5, toRad(roll), toRad(pitch), toRad(yaw)];

it('nose down by 6 degrees: x points 6 down, y is level; left up by 6: y points 6 up', () => {
  expect(read(level, turned(0, 6, 0), 'tilt_x_deg')).toBeCloseTo(-6, 10);
  expect(read(level, turned(0, 6, 0), 'tilt_y_deg')).toBeCloseTo(0, 10);
  expect(read(level, turned(6, 0, 0), 'tilt_y_deg')).toBeCloseTo(6, 10);
  expect(read(level, turned(6, 0, 0), 'tilt_x_deg')).toBeCloseTo(0, 10);
});

it('both at once: y points up by asin(cos pitch · sin roll), x by pitch alone, whatever the yaw', () => {
  expect(Math.sin(toRad(read(level, turned(20, 30, 15), 'tilt_y_deg')))).toBeCloseTo(
    (Math.sqrt(3) / 2) * Math.sin(toRad(20)),
    12,
  );
  expect(read(level, turned(20, 30, 15), 'tilt_x_deg')).toBeCloseTo(-30, 10);
  expect(read(level, turned(20, 30, 15), 'yaw_deg')).toBeCloseTo(15, 10);
});

it('the pivot: home, its own height in the plate, and the shift; turning does not move it', () => {
  expect(read(level, turned(20, 30, 15), 'height_mm')).toBeCloseTo(110 + 40 + 5, 10);
  expect(read(level, turned(20, 30, 15), 'x_mm')).toBeCloseTo(3, 10);
  expect(read(level, turned(20, 30, 15), 'y_mm')).toBeCloseTo(4, 10);
});

it('a point 50 mm in front of the pivot and 30 below sinks with the nose: 50·sin + 30·cos', () => {
  const height = 155 - 50 * Math.sin(toRad(30)) - 30 * Math.cos(toRad(30));
  expect(read(level, turned(0, 30, 0), 'h1_mm')).toBeCloseTo(height, 10);
});

it('a base that looks forward: height is along the carrier’s x, and yaw tilts the plate’s y', () => {
  const upright = { ...level, mount: { at_mm: [0, 0, 0], rpy_rad: [0, Math.PI / 2, 0] } } as const;
  expect(read(upright, turned(0, 0, 7), 'height_mm')).toBeCloseTo(110 + 40 + 3, 10);
  // To its left is a turn about the base's -x: the side of its y goes back, toward the base.
  expect(read(upright, turned(0, 0, 7), 'tilt_y_deg')).toBeCloseTo(-7, 10);
  expect(read(upright, turned(0, 7, 0), 'tilt_x_deg')).toBeCloseTo(-7, 10);
});

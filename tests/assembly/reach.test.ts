/**
 * Ways that leave the reach: from one pose to another in reach, with bounded pose speeds, the plate arrives, whatever lies between.
 * Reach is judged by the host's own inverse kinematics in f64.
 */
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { whatStops } from '../../host/physics/kinematics/inverse.ts';
import type { Pose, Rig } from '../../host/rig/rig.ts';
import { HOME } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { crankPlatform, linearPlatform, rigOf } from './rigs.ts';

const SEED = 5;
const PAIRS = 40;
const WIDE = [26, 26, 26, 0.5, 0.5, 0.5];
const SPEEDS = [60, 60, 60, 1.5, 1.5, 1.5];
/** The record that outlives a reset (assembly/layout.ts): the pose stands behind 16 joints. */
const POSE_AT = 72;
/** Longer than any way home and out again. */
const PATIENCE_TICKS = 1000;

/** Pairs of poses, both in reach with all of their segments from home and a little beyond, whose straight way is not. */
function hardPairs(rig: Rig): [Pose, Pose][] {
  const random = xoroshiro128plus(SEED);
  const span = (half: number): number => half * (2 * uniformFloat32(random) - 1);
  const inReach = (pose: readonly number[]): boolean => whatStops(rig, pose) === null;
  const fromHome = (pose: Pose): boolean =>
    Array.from({ length: 40 }, (_, k) => pose.map((v) => (v * 1.05 * (40 - k)) / 40)).every(inReach);
  const draw = (): Pose => {
    for (;;) {
      const pose = WIDE.map(span) as unknown as Pose;
      if (fromHome(pose)) return pose;
    }
  };
  const pairs: [Pose, Pose][] = [];
  while (pairs.length < PAIRS) {
    const [from, to] = [draw(), draw()];
    const way = Array.from({ length: 39 }, (_, k) => from.map((v, i) => v + ((to[i]! - v) * (k + 1)) / 40));
    if (!way.every(inReach)) pairs.push([from, to]);
  }
  return pairs;
}

/** Ticks until the plate is at a pose; Infinity: it does not get there. */
function ticksTo(prop: Prop, pose: Pose): number {
  for (let n = 0; n < PATIENCE_TICKS; n++) {
    if (n % 4 === 0) prop.pose(30_000, pose);
    prop.run(1);
    const record = prop.controller.places();
    const view = new DataView(record.buffer, record.byteOffset + POSE_AT);
    if (pose.every((value, i) => Math.abs(view.getFloat32(4 * i, true) - value) < (i < 3 ? 1e-3 : 2e-5))) return n;
  }
  return Infinity;
}

describe('a way that leaves the reach', () => {
  it.each([
    ['six actuators', linearPlatform()],
    ['cranks', crankPlatform({ upright: true, rodEnds: false })],
  ])('%s: the plate gets from any pose to any other', (_, platform) => {
    const rig = rigOf({ platform, poseSpeed: SPEEDS, delay_ms: 0 });
    const prop = new Prop(rig);
    prop.rouse();
    const lost: string[] = [];
    let longest = 0;
    for (const [from, to] of hardPairs(rig)) {
      for (const pose of [HOME, from, to]) {
        const ticks = ticksTo(prop, pose);
        if (ticks === Infinity) lost.push(pose.join(' '));
        else longest = Math.max(longest, ticks);
      }
    }
    expect(lost, `seed ${String(SEED)}`).toEqual([]);
    // The longest straight way takes 1.3 s at these speeds.
    expect(longest).toBeLessThan(2.5 * 200);
  });
});

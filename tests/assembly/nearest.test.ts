/** Asked of a sudden for what is out of reach, the plate goes to the way there by the shortest way: radians count as 50 mm. */
import { expect, it } from 'vitest';
import { ForwardSolver } from '../../host/physics/kinematics/forward.ts';
import { HOME, type Rig } from '../../host/rig/rig.ts';
import { Prop } from './prop.ts';
import { crankPlatform, rigOf } from './rigs.ts';

/** Legs that are where they are asked to be within a tick. */
function quick(): Rig {
  const rig = rigOf({ platform: crankPlatform({ upright: true, rodEnds: false }) });
  const joints = rig.joints.map((joint) =>
    joint.kind === 'leg' ? { ...joint, speed: 500, plus: 1e5, minus: 1e5 } : joint,
  );
  return { ...rig, joints };
}

it('does not swing back toward home first', () => {
  const rig = quick();
  const prop = new Prop(rig);
  prop.rouse();
  const roll = 0.2;
  for (let n = 0; n < 200; n++) {
    if (n % 4 === 0) prop.pose(20_000, [0, 0, 0, roll, 0, 0]);
    prop.run(1);
  }
  expect(prop.telemetry.unreachable).toBe(false);
  const solver = new ForwardSolver(rig.platform!);
  const pose: [number, number, number, number, number, number] = [...HOME];
  const rolls: number[] = [];
  prop.watch = (t) => {
    expect(solver.solve(t.position.subarray(0, 6), pose, pose)).toBe(true);
    rolls.push(pose[3]);
  };
  // Nothing waits any more; newer than all that has been played, and late: it is played at once.
  prop.run(30);
  prop.pose(-90_000, [20, 0, 0, 1, 0, 0]);
  prop.run(40);
  expect(prop.telemetry.unreachable).toBe(true);
  // The nearest place of the straight way from home, at a share of 50²·roll / (20² + 50²).
  const share = (2500 * roll) / (400 + 2500);
  expect(Math.min(...rolls)).toBeGreaterThan(share - 0.002);
  expect(
    rolls.some((one) => one < roll - 0.01),
    'it is not on that way at first',
  ).toBe(true);
  expect(rolls.at(-1)).toBeGreaterThan(roll);
});

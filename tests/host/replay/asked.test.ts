/** What is asked of every joint, look by look: the legs of a pose that stands, moves, is out of reach and comes back. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { Asked } from '../../../host/replay/asked.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Pose } from '../../../host/rig/rig.ts';
import { Interpolant } from '../../../host/stream/interpolate.ts';
import { streamJoints } from '../../../host/stream/read.ts';

const rig = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const size = streamJoints(rig).length;
/** One height, mm, each second: it stands, rises, stands, goes where no rod reaches, stands there, and comes back. */
const HEIGHTS_MM = [0, 0, 5, 5, 300, 300, 5, 5];

it('gives the legs of the pose asked now and half way, whether it stands or moves', () => {
  const stream = new Interpolant(size);
  const pushed = HEIGHTS_MM.map((z, t_s) => ({
    t_s,
    pose: [0, 0, z, 0, 0, 0] as Pose,
    joints: new Float64Array(size),
  }));
  const fresh = new Interpolant(size);
  for (const frame of pushed) [stream, fresh].forEach((one) => one.push(frame));
  for (const one of [stream, fresh]) one.end();
  const asked = new Asked(rig, stream);
  const values = new Float64Array(fresh.size);
  const legsAt = (t_s: number): number[] => {
    fresh.evaluate(t_s, values);
    const legs = inverse(rig.platform!, [...values.subarray(0, 6)] as unknown as Pose);
    return [...(legs ?? new Float64Array(6).fill(NaN))];
  };
  for (let k = 0; k <= 350; k++) {
    const between = legsAt(k === 0 ? 0 : (0.02 * (k - 1) + 0.02 * k) / 2);
    const now = legsAt(0.02 * k);
    const stop = asked.look(0.02 * k, false);
    expect([...asked.between.subarray(0, 6)]).toEqual(between);
    expect([...asked.joints.subarray(0, 6)]).toEqual(now);
    expect(stop !== null).toBe(Number.isNaN(now[0]));
  }
});

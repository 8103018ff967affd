/** Where a stream asks a servo for more than it has only to hold still: no pace helps there, and what would be made is of no use. */
import { stallOf } from '../physics/servo/servo-line.ts';
import { Mechanism } from '../physics/dynamics/mechanism.ts';
import { HOME, type Pose } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import type { RigMotion } from './motion.ts';

/** The worst place. */
export interface Unheld {
  /** Nothing is out of reach. */
  readonly stops: readonly [];
  readonly joint: string;
  readonly at_s: number;
  /** What holding takes there of the servo's stall torque: more than 1. */
  readonly held: number;
}

/** Looks at every frame, at rest; null: every servo whose torque is known can hold its weight along all of the stream. */
export function unheld(motion: RigMotion, stream: StoredStream): Unheld | null {
  const { rig, poseAxes } = motion;
  const mechanism = new Mechanism(rig);
  const stalls = rig.joints.map((joint) => stallOf(joint));
  const row = new Float64Array(motion.axes.length);
  let worst: Unheld | null = null;
  for (let f = 0; f < stream.count; f++) {
    const at_s = stream.time(f);
    if (!motion.at(stream, at_s, row)) continue;
    const pose: Pose = poseAxes === 0 ? HOME : [row[0]!, row[1]!, row[2]!, row[3]!, row[4]!, row[5]!];
    if (!mechanism.at(row.subarray(poseAxes), pose)) continue;
    const { gravity } = mechanism;
    for (const [i, stall] of stalls.entries()) {
      const held = stall === null ? 0 : Math.abs(gravity[i]!) / stall;
      if (held > (worst?.held ?? 1)) worst = { stops: [], joint: rig.joints[i]!.name, at_s, held };
    }
  }
  return worst;
}

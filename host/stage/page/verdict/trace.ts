/**
 * What comes of a take, frame by frame of 20 ms: what was asked, what the controller delivers, what the metal does. Columns of all
 * joints stand side by side: joint i of frame f is at f · joints + i. Positions in mm and rad.
 */

import type { Telemetry } from '../../../controller/messages.ts';
import type { Stop } from '../../../physics/kinematics/inverse.ts';

/** By frame, `width` numbers each. */
interface Widths {
  readonly pose: number;
  readonly joints: number;
}

/** By joint, what a telemetry frame says, kept as the controller tells it (f32), so that nothing is lost. */
export const TOLD = [
  'position',
  'lowest',
  'highest',
  'rise',
  'fall',
  'plus',
  'minus',
  'pulse_us',
  'held',
] as const satisfies readonly (keyof Telemetry)[];
const POSE_COLUMNS = ['asked', 'delivered', 'metalPose'] as const;
const JOINT_COLUMNS = ['askedJoints', 'between', ...TOLD, 'metal', 'use', 'saturated_ms'] as const;
const FRAME_COLUMNS = ['ticks', 'starved', 'unreachable', 'stop', 'rodEnd', 'fallen', 'tripped'] as const;

export type PoseColumn = (typeof POSE_COLUMNS)[number];
export type JointColumn = (typeof JOINT_COLUMNS)[number];
export type FrameColumn = (typeof FRAME_COLUMNS)[number];

/**
 * `asked`, `delivered`, `metalPose`: the plate's pose; NaN: none fits. `askedJoints` and `between` (half way since the frame before): NaN where
 * nothing is asked, or out of reach. `saturated_ms`: time at the servo line in this frame. `use`: share of its torque, NaN unknown,
 * Infinity too fast. `stop`: 1 + the place in `stops` of what stops the pose; 0: nothing. `fallen`: 1 something fell, 2 the sum came apart.
 * `rodEnd`: the largest sine of a rod end's tilt. `tripped`: why the controller gave up, by its number; 0: it has not.
 */
export class Trace {
  readonly joints: number;
  /** Frames, and those of them before the take's end: what comes after it is on its way still. */
  count = 0;
  played = 0;
  /** Of the take, s. */
  t_s: Float64Array<ArrayBuffer>;
  readonly pose = {} as Record<PoseColumn, Float32Array<ArrayBuffer>>;
  readonly joint = {} as Record<JointColumn, Float32Array<ArrayBuffer>>;
  readonly frame = {} as Record<FrameColumn, Float32Array<ArrayBuffer>>;
  /** What stops poses, each once. */
  stops: Stop[] = [];

  constructor(joints: number, room: number) {
    this.joints = joints;
    this.t_s = new Float64Array(room);
    for (const name of POSE_COLUMNS) this.pose[name] = new Float32Array(6 * room);
    for (const name of JOINT_COLUMNS) this.joint[name] = new Float32Array(joints * room);
    for (const name of FRAME_COLUMNS) this.frame[name] = new Float32Array(room);
  }

  /** Copies frames of another trace of the same rig, in the places that they have there. */
  take(other: Trace, from: number, to: number): void {
    this.t_s.set(other.t_s.subarray(from, to), from);
    const copied = ({ pose, joints }: Widths): void => {
      for (const name of POSE_COLUMNS)
        this.pose[name].set(other.pose[name].subarray(from * pose, to * pose), from * pose);
      for (const name of JOINT_COLUMNS)
        this.joint[name].set(other.joint[name].subarray(from * joints, to * joints), from * joints);
    };
    copied({ pose: 6, joints: this.joints });
    for (const name of FRAME_COLUMNS) this.frame[name].set(other.frame[name].subarray(from, to), from);
  }

  /** The number in `stops`, and from 1 on. */
  stopNumber({ joint, cause }: Stop): number {
    const n = this.stops.findIndex((stop) => stop.joint === joint && stop.cause === cause);
    return n >= 0 ? n + 1 : this.stops.push({ joint, cause });
  }
}

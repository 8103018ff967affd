/** The runs of wire: each servo's from the star point, and the trunk from the supply to it, with their fuses. */
import type { LoadAnswer } from '../load/result.ts';
import type { Joint, Rig } from '../rig/rig.ts';
import { fuseFor } from './fuse.ts';
import { pinName } from './pins.ts';
import type { Run, ServoRun } from './result.ts';
import { drop_v, wireFor } from './wire.ts';

export interface Lengths {
  readonly trunk_m: number;
  readonly branch_m: number;
}

/** Trunk and servo cable may each lose this share of the supply's voltage, stalled: together 5 % (common practice). */
export const DROP_SHARE_EACH = 0.025;

type Drawn = Pick<Run, 'stalled_a' | 'moving_a'>;

/** Wire that bears its fuse and the stalled current, and loses little. */
function runOf(label: string, length_m: number, drawn: Drawn, voltage_v: number | null, given_a: number | null): Run {
  const { stalled_a, moving_a } = drawn;
  const fuse_a = given_a ?? (moving_a === null ? null : fuseFor(moving_a));
  const none = { mm2: null, bears_a: null, drop_v: null };
  if (stalled_a === null || fuse_a === null) return { label, length_m, ...drawn, fuse_a, ...none };
  const most_v = voltage_v === null ? Infinity : voltage_v * DROP_SHARE_EACH;
  const wire = wireFor({ bears_a: Math.max(fuse_a, stalled_a), drawn_a: stalled_a }, length_m, most_v);
  if (!wire) return { label, length_m, ...drawn, fuse_a, ...none };
  return { label, length_m, ...drawn, fuse_a, ...wire, drop_v: drop_v(stalled_a, length_m, wire.mm2) };
}

/** By current · |torque| / stall torque, as `load` counts it; without a stream what peak_use allows. */
function drawnBy({ servo }: Joint, answer: LoadAnswer, i: number): Drawn {
  const { stall_current_a: stalled_a, stall, peak_use } = servo;
  if (stalled_a === null) return { stalled_a: null, moving_a: null };
  const along = answer.joints[i]?.along ?? null;
  const asked = along && stall !== null && stall > 0 ? Math.min(1, Math.abs(along.peak) / stall) : 0;
  return { stalled_a, moving_a: stalled_a * Math.max(peak_use, asked) };
}

/** A cable for each servo: currents in A, fuse in A, cross-section in mm², voltage lost in V over a branch of branch_m metres. */
export function servoRuns(rig: Rig, kind: string, answer: LoadAnswer, { branch_m }: Lengths): ServoRun[] {
  return rig.joints.map((joint, i) => ({
    ...runOf(`W${String(i + 1)}`, branch_m, drawnBy(joint, answer, i), rig.supply?.voltage_v ?? null, null),
    joint: joint.name,
    servo: joint.servo.name,
    pin: joint.pin,
    pin_name: pinName(kind, joint.pin),
  }));
}

/** The trunk carries all of them: `load`'s sum of the stalled currents, and the sum of the moving ones. */
export function trunkRun(rig: Rig, servos: readonly ServoRun[], { supply }: LoadAnswer, { trunk_m }: Lengths): Run {
  const known = servos.every(({ stalled_a }) => stalled_a !== null);
  const moving_a = servos.reduce((sum, run) => sum + (run.moving_a ?? 0), 0);
  const drawn = known ? { stalled_a: supply.stalled_a, moving_a } : { stalled_a: null, moving_a: null };
  return runOf('W0', trunk_m, drawn, rig.supply?.voltage_v ?? null, supply.fuse_a);
}

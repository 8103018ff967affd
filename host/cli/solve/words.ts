/** What `solve` answers, in a maker's words: whether it can get there, what stops it with its figures, then a table. */
import type { Stop } from '../../physics/kinematics/inverse.ts';
import { misalignmentInto } from '../../physics/kinematics/inverse.ts';
import { legVector } from '../../rig/legs.ts';
import { type Joint, POSE_KEYS, type Platform, type Pose, type Rig, toDeg, toShown } from '../../rig/rig.ts';
import { type Io, coloursOf } from '../io.ts';
import { fixed, table } from '../output.ts';
import { poseRecord } from '../rig-summary.ts';
import { pulseAt } from '../../rig/pulse.ts';

/** The answer to a pose. `legs` in rad or mm, NaN where one does not reach. */
export function poseWords(
  rig: Rig,
  platform: Platform,
  pose: Pose,
  legs: ArrayLike<number>,
  stop: Stop | null,
  io: Io,
): string {
  const colours = coloursOf(io, io.stdout);
  const verdict = stop
    ? `${colours.bold(colours.red('no'))}: ${because(rig, platform, pose, legs, stop)}`
    : `${colours.bold(colours.green('yes'))}: ${rig.name} can reach that pose within its limits.`;
  return `Can it get there? ${verdict}\n\n${legTable(rig, legs)}\n`;
}

/** The answer to six legs. `pose` null: there is none to be had. */
export function legsWords(
  rig: Rig,
  platform: Platform,
  legs: readonly number[],
  pose: Pose | null,
  stop: Stop | null,
  io: Io,
): string {
  const colours = coloursOf(io, io.stdout);
  const verdict = (word: string, why: string): string => `Can it get there? ${word}: ${why}`;
  const no = colours.bold(colours.red('no'));
  if (!pose)
    return `${verdict(no, 'on the way there from home the legs reach a place where no pose of the plate fits all six, or where it hangs loose.')}\n`;
  const first = stop
    ? verdict(no, because(rig, platform, pose, legs, stop))
    : verdict(colours.bold(colours.green('yes')), 'these legs hold the plate at this pose, from home:');
  return `${first}\n\n${poseTable(pose)}\n\n${legTable(rig, legs)}\n`;
}

/** What stops it, with the figure and what is allowed. */
function because(
  rig: Rig,
  platform: Platform,
  pose: Pose,
  legs: ArrayLike<number>,
  { joint: name, cause }: Stop,
): string {
  const i = rig.joints.findIndex((joint) => joint.name === name);
  const joint = rig.joints[i];
  if (!joint) throw new Error(`no joint ${name}`);
  const shown = (value: number): string => `${fixed(toShown(joint, value), 1)} ${joint.unit}`;
  switch (cause) {
    case 'rod':
      return `the crank and rod of ${name} cannot reach.`;
    case 'stroke':
      return `${name} would have to be ${fixed(Math.hypot(...legVector(platform, i, pose)), 1)} mm long; its stroke is ${(platform.stroke_mm ?? []).join(' to ')} mm.`;
    case 'limit':
      return `${name} would be at ${shown(legs[i] ?? NaN)}; its soft limits are ${shown(joint.lo)} to ${shown(joint.hi)}.`;
    case 'rod_end': {
      const tilts = new Float64Array(12);
      misalignmentInto(platform, legs, pose, tilts);
      const [crank, plate] = [tilts[2 * i] ?? 0, tilts[2 * i + 1] ?? 0];
      const where = crank > plate ? 'at its crank' : 'at the moving plate';
      return `the rod end of ${name} ${where} would tilt by ${fixed(toDeg(Math.max(crank, plate)), 1)} deg; it allows ${fixed(toDeg(platform.rod_end_rad ?? 0), 1)} deg.`;
    }
  }
}

function legTable(rig: Rig, legs: ArrayLike<number>): string {
  const row = (joint: Joint, i: number): string[] => {
    const at = legs[i] ?? NaN;
    if (Number.isNaN(at)) return [joint.name, 'out of reach', '', '', ''];
    const shown = (value: number): string => `${fixed(toShown(joint, value), 2)} ${joint.unit}`;
    return [joint.name, shown(at), `${fixed(pulseAt(joint, at), 1)} µs`, shown(at - joint.lo), shown(joint.hi - at)];
  };
  const heads = ['is at', 'pulse', 'room down', 'room up'].map((head) => ({ head }));
  return table([{ head: 'leg', align: 'left' }, ...heads], rig.joints.slice(0, 6).map(row));
}

function poseTable(pose: Pose): string {
  const figures = poseRecord(pose);
  return table(
    POSE_KEYS.map((key) => ({ head: key.replace('_', ' ').replace(/ .*/, '') })),
    [POSE_KEYS.map((key) => `${fixed(figures[key], 3)} ${key.slice(key.indexOf('_') + 1)}`)],
  );
}

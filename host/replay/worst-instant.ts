/** The instant of a replay at which the prop was furthest from what was asked of it. */
import type { Telemetry } from '../controller/messages.ts';
import { withinLimits } from '../physics/dynamics/beyond.ts';
import type { Stop } from '../physics/kinematics/inverse.ts';
import { type Pose, type Rig, HOME, toShown } from '../rig/rig.ts';
import type { Asked } from './asked.ts';
import type { JointsMeasure } from './joints-measure.ts';
import type { PathMeasure } from './path-measure.ts';
import type { Instant } from './result.ts';

export class WorstInstant {
  private readonly rig: Rig;
  private instant: Instant | null = null;
  private score = -1;

  constructor(rig: Rig) {
    this.rig = rig;
  }

  /** Whether a look with this score is the worst so far; if so, `keep` it. */
  isWorse(score: number): boolean {
    if (!(score > this.score)) return false;
    this.score = score;
    return true;
  }

  /** @param stop what stops the pose asked for; @param path null: no platform */
  keep(at_s: number, t: Telemetry, asked: Asked, path: PathMeasure | null, stop: Stop | null): void {
    const { joints } = this.rig;
    const errors = joints.map((joint, i) => {
      const error = toShown(joint, Math.abs(withinLimits(joint, asked.joints[i]!) - t.position[i]!));
      return { name: joint.name, error, past: 0, unit: joint.unit };
    });
    const off = errors.filter(({ error }) => error > 0);
    const asked_pose: Pose = [...asked.pose];
    this.instant = {
      at_s,
      asked_pose,
      delivered_pose: path && [...path.delivered],
      asked: Array.from(asked.joints, (wanted) => (Number.isNaN(wanted) ? null : wanted)),
      delivered: joints.map((_, i) => t.position[i]!),
      stopped_by: stop,
      worst_joint: off.length ? off.reduce((a, b) => (b.error > a.error ? b : a)) : null,
    };
  }

  /** With how far past its worst joint was: known only when all that was asked after it is. Without any look: the prop at rest. */
  answer(measured: JointsMeasure): Instant {
    const { rig, instant } = this;
    if (!instant) return atRest(rig);
    const worst = instant.worst_joint;
    const i = rig.joints.findIndex(({ name }) => name === worst?.name);
    return worst && i >= 0 ? { ...instant, worst_joint: { ...worst, past: measured.pastAtInstant(i) } } : instant;
  }
}

const atRest = (rig: Rig): Instant => ({
  at_s: 0,
  asked_pose: HOME,
  delivered_pose: null,
  asked: rig.joints.map(() => null),
  delivered: rig.joints.map((joint) => joint.rest),
  stopped_by: null,
  worst_joint: null,
});

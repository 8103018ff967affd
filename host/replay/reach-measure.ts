/** How much of a stream is out of reach, and what stops it: the pose by the legs, a joint after the legs by its soft limits. */
import type { Telemetry } from '../controller/messages.ts';
import { type Beyond, BeyondWatch } from '../physics/dynamics/beyond.ts';
import type { Stop } from '../physics/kinematics/inverse.ts';
import type { Joint } from '../rig/rig.ts';
import type { Asked } from './asked.ts';
import type { Answer } from './result.ts';

export class ReachMeasure {
  /** Ticks on which the controller found the pose out of reach. */
  unreachable = 0;
  private readonly joints: readonly Joint[];
  private readonly legs: number;
  private readonly stops = new Map<string, { joint: string; cause: string; frames: number }>();
  private readonly beyondWatch = new BeyondWatch();
  private looks = 0;
  /** Looks at which the pose, or what a joint was asked for, was out of reach. */
  private stopped = 0;
  /** A pose is found out of reach before it is shown; until this instant one may be shown, us. */
  private until_us = -Infinity;

  /** @param legs how many of the joints are legs, the first ones */
  constructor(joints: readonly Joint[], legs: number) {
    this.joints = joints;
    this.legs = legs;
  }

  /** @param ahead_us so long after shown_us a pose is shown that is looked at now. Returns whether one out of reach may be shown. */
  mayBeStopped(t: Telemetry, shown_us: number, ahead_us: number): boolean {
    if (t.unreachable || t.unreachableTicks > 0) this.until_us = shown_us + ahead_us;
    return shown_us <= this.until_us;
  }

  /** @param stop what stops the pose asked for */
  look(at_s: number, asked: Pick<Asked, 'joints'>, stop: Stop | null): void {
    this.looks++;
    if (stop) this.count(stop.joint, stop.cause);
    if (this.lookBeyond(at_s, asked) || stop) this.stopped++;
  }

  /** Whether a joint after the legs is asked to go beyond its soft limits. */
  private lookBeyond(at_s: number, asked: Pick<Asked, 'joints'>): boolean {
    let some = false;
    for (let i = this.legs; i < this.joints.length; i++) {
      const joint = this.joints[i]!;
      if (!this.beyondWatch.look(joint, asked.joints[i]!, at_s)) continue;
      this.count(joint.name, 'limit');
      some = true;
    }
    return some;
  }

  private count(joint: string, cause: string): void {
    const key = `${joint} ${cause}`;
    const entry = this.stops.get(key) ?? { joint, cause, frames: 0 };
    entry.frames++;
    this.stops.set(key, entry);
  }

  /** The furthest first. */
  get beyond(): Beyond[] {
    return this.beyondWatch.list();
  }

  /** The most frequent first. */
  get stoppedBy(): Answer['stopped_by'] {
    return [...this.stops.values()].sort((a, b) => b.frames - a.frames);
  }

  /** What is out of reach between two looks alone counts by the ticks that noticed, of so many. */
  share(ticks: number): number {
    return this.stopped > 0 ? this.stopped / this.looks : this.unreachable / Math.max(1, ticks);
  }
}

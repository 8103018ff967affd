/**
 * One joint of a replay: how far, how fast and how hard it went, and how far behind what was asked. Rad or mm inside, shown units in
 * the answer.
 */
import type { Telemetry } from '../controller/messages.ts';
import { withinLimits } from '../physics/dynamics/beyond.ts';
import { type Joint, toShown } from '../rig/rig.ts';
import type { Asked } from './asked.ts';
import { Envelope } from './envelope.ts';
import { PastMeasure } from './past-measure.ts';
import type { JointAnswer, JointTrace, MetalJoint } from './result.ts';

/** One joint's extremes and envelopes. */
export class JointMeasure {
  min = Infinity;
  max = -Infinity;
  speed = 0;
  plus = 0;
  minus = 0;
  heldTicks = 0;
  error = 0;
  errorAt_s = 0;
  readonly asked = new Envelope();
  readonly delivered = new Envelope();
  readonly speeds = new Envelope();
  readonly accels = new Envelope();
  readonly joint: Joint;
  private readonly goesPast: PastMeasure;

  constructor(joint: Joint) {
    this.joint = joint;
    this.goesPast = new PastMeasure(joint);
  }

  /** What joint i did since the last telemetry, at hz ticks a second. */
  add(at_s: number, t: Telemetry, i: number, hz: number): void {
    const { joint } = this;
    const perSecond = toShown(joint, hz);
    const squared = toShown(joint, hz * hz);
    const lowest = t.lowest[i]!;
    const highest = t.highest[i]!;
    if (lowest < this.min) this.min = lowest;
    if (highest > this.max) this.max = highest;
    this.speed = Math.max(this.speed, t.rise[i]! * hz, -t.fall[i]! * hz);
    this.plus = Math.max(this.plus, t.plus[i]! * hz * hz);
    this.minus = Math.max(this.minus, -t.minus[i]! * hz * hz);
    this.heldTicks += t.held[i]!;
    this.delivered.add(at_s, toShown(joint, lowest), toShown(joint, highest));
    this.speeds.add(at_s, t.fall[i]! * perSecond, t.rise[i]! * perSecond);
    this.accels.add(at_s, t.minus[i]! * squared, t.plus[i]! * squared);
  }

  /** asked NaN: nothing was asked, or it cannot be reached. Beyond its soft limits a joint is behind where they stop it. */
  compare(at_s: number, asked: number, delivered: number): number {
    this.asked.add(at_s, toShown(this.joint, asked));
    const error = Math.abs(withinLimits(this.joint, asked) - delivered);
    if (error > this.error) {
      this.error = error;
      this.errorAt_s = at_s;
    }
    return error;
  }

  /** Whether joint i went past what is asked; the verdict comes when what is asked after it is known. */
  past(at_s: number, t: Telemetry, i: number, asked: Asked): void {
    this.goesPast.look(at_s, asked.between[i]!, asked.joints[i]!, t.lowest[i]!, t.highest[i]!, t.position[i]!);
  }

  endPast(): void {
    this.goesPast.end();
  }

  watchInstant(at_s: number): void {
    this.goesPast.watchInstant(at_s);
  }

  /** How far past it was at the instant last watched, shown unit; known after `endPast`. */
  get pastAtInstant(): number {
    return toShown(this.joint, this.goesPast.pastAtInstant);
  }

  answer(metal: MetalJoint | null): JointAnswer {
    const shown = (value: number): number => toShown(this.joint, value);
    const never = this.min > this.max;
    return {
      name: this.joint.name,
      unit: this.joint.unit,
      min: never ? 0 : shown(this.min),
      max: never ? 0 : shown(this.max),
      peak_speed: shown(this.speed),
      peak_plus: shown(this.plus),
      peak_minus: shown(this.minus),
      limit_ticks: this.heldTicks,
      peak_error: shown(this.error),
      peak_error_at_s: this.errorAt_s,
      past: shown(this.goesPast.past),
      past_at_s: this.goesPast.at_s,
      metal,
    };
  }

  trace(): JointTrace {
    const { joint } = this;
    const shown = (value: number): number => toShown(joint, value);
    return {
      name: joint.name,
      unit: joint.unit,
      limits: {
        lo: shown(joint.lo),
        hi: shown(joint.hi),
        speed: shown(joint.speed),
        plus: shown(joint.plus),
        minus: shown(joint.minus),
        plus_gone: shown(joint.plus_gone),
        minus_gone: shown(joint.minus_gone),
      },
      asked: this.asked.data(),
      delivered: this.delivered.data(),
      speed: this.speeds.data(),
      accel: this.accels.data(),
    };
  }
}

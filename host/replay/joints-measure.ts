/**
 * The joints of a replay: how far, how fast and how hard they went, and how far behind and past what was asked. Rad or mm and
 * per tick inside, as telemetry has them; shown units in the answer. A joint is an index: a number that is handed from call to
 * call costs an allocation, one that stands in an array does not.
 */
import type { Telemetry } from '../controller/messages.ts';
import { withinLimits } from '../physics/dynamics/beyond.ts';
import { type Joint, toDeg, toShown } from '../rig/rig.ts';
import type { Asked } from './asked.ts';
import { Envelopes } from './envelope.ts';
import { PastMeasure } from './past-measure.ts';
import type { JointAnswer, JointTrace, MetalJoint } from './result.ts';

/** Of a joint, in the envelopes. */
const ASKED = 0;
const DELIVERED = 1;
const SPEED = 2;
const ACCEL = 3;
const SIGNALS = 4;

export class JointsMeasure {
  private readonly joints: readonly Joint[];
  private readonly hz: number;
  private readonly lowest: Float64Array;
  private readonly highest: Float64Array;
  private readonly rise: Float64Array;
  private readonly fall: Float64Array;
  private readonly plus: Float64Array;
  private readonly minus: Float64Array;
  private readonly heldTicks: Float64Array;
  private readonly error: Float64Array;
  private readonly errorAt_s: Float64Array;
  private readonly goesPast: readonly PastMeasure[];
  /** Null: nothing is drawn. */
  private readonly envelopes: Envelopes | null;

  /** @param hz ticks a second; @param isDrawn whether `trace` will be asked for, which costs half of the time */
  constructor(joints: readonly Joint[], hz: number, isDrawn = true) {
    const zeros = (): Float64Array => new Float64Array(joints.length);
    this.joints = joints;
    this.hz = hz;
    this.lowest = zeros().fill(Infinity);
    this.highest = zeros().fill(-Infinity);
    this.rise = zeros();
    this.fall = zeros();
    this.plus = zeros();
    this.minus = zeros();
    this.heldTicks = zeros();
    this.error = zeros();
    this.errorAt_s = zeros();
    this.goesPast = joints.map((joint) => new PastMeasure(joint));
    this.envelopes = isDrawn ? new Envelopes(SIGNALS * joints.length) : null;
  }

  /** What the joints that have pulses did since the last telemetry. */
  add(at_s: number, t: Telemetry): void {
    const { lowest, highest, rise, fall, plus, minus, heldTicks, envelopes } = this;
    envelopes?.at(at_s);
    for (let i = 0; i < lowest.length; i++) {
      if (t.pulse_us[i] === 0) continue;
      if (t.lowest[i]! < lowest[i]!) lowest[i] = t.lowest[i]!;
      if (t.highest[i]! > highest[i]!) highest[i] = t.highest[i]!;
      rise[i] = Math.max(rise[i]!, t.rise[i]!);
      fall[i] = Math.min(fall[i]!, t.fall[i]!);
      plus[i] = Math.max(plus[i]!, t.plus[i]!);
      minus[i] = Math.min(minus[i]!, t.minus[i]!);
      heldTicks[i]! += t.held[i]!;
      if (!envelopes) continue;
      const own = SIGNALS * i;
      envelopes.add(own + DELIVERED, t.lowest[i]!, t.highest[i]!);
      envelopes.add(own + SPEED, t.fall[i]!, t.rise[i]!);
      envelopes.add(own + ACCEL, t.minus[i]!, t.plus[i]!);
    }
  }

  /**
   * How far the joints are from what is asked, NaN: nothing, or it cannot be reached. Beyond its soft limits a joint is behind
   * where they stop it. Returns the largest distance, deg or mm.
   */
  compare(at_s: number, t: Telemetry, asked: Pick<Asked, 'joints'>): number {
    const { joints, error, errorAt_s, envelopes } = this;
    envelopes?.at(at_s);
    let most = 0;
    for (let i = 0; i < joints.length; i++) {
      const joint = joints[i]!;
      const wanted = asked.joints[i]!;
      envelopes?.add(SIGNALS * i + ASKED, wanted, wanted);
      const off = Math.abs(withinLimits(joint, wanted) - t.position[i]!);
      if (off > error[i]!) {
        error[i] = off;
        errorAt_s[i] = at_s;
      }
      const shown = joint.unit === 'deg' ? toDeg(off) : off;
      if (shown > most) most = shown;
    }
    return most;
  }

  /** Whether joints went past what is asked; the verdict comes when what is asked after it is known. */
  past(at_s: number, t: Telemetry, asked: Pick<Asked, 'joints' | 'between'>): void {
    for (let i = 0; i < this.goesPast.length; i++)
      this.goesPast[i]!.look(at_s, asked.between[i]!, asked.joints[i]!, t.lowest[i]!, t.highest[i]!, t.position[i]!);
  }

  /** Nothing more is asked. */
  endPast(): void {
    for (const one of this.goesPast) one.end();
  }

  /** The instant whose `pastAtInstant` is wanted: that of the look just made. */
  watchInstant(at_s: number): void {
    for (const one of this.goesPast) one.watchInstant(at_s);
  }

  /** How far past the i-th joint was at the instant last watched, shown unit; known after `endPast`. */
  pastAtInstant(i: number): number {
    return toShown(this.joints[i]!, this.goesPast[i]!.pastAtInstant);
  }

  answer(i: number, metal: MetalJoint | null): JointAnswer {
    const { hz, fall, minus } = this;
    const joint = this.joints[i]!;
    const shown = (value: number): number => toShown(joint, value);
    const never = this.lowest[i]! > this.highest[i]!;
    return {
      name: joint.name,
      unit: joint.unit,
      min: never ? 0 : shown(this.lowest[i]!),
      max: never ? 0 : shown(this.highest[i]!),
      peak_speed: shown(Math.max(this.rise[i]! * hz, -fall[i]! * hz)),
      peak_plus: shown(this.plus[i]! * hz * hz),
      peak_minus: shown(Math.max(0, -minus[i]! * hz * hz)),
      limit_ticks: this.heldTicks[i]!,
      peak_error: shown(this.error[i]!),
      peak_error_at_s: this.errorAt_s[i]!,
      past: shown(this.goesPast[i]!.past),
      past_at_s: this.goesPast[i]!.at_s,
      metal,
    };
  }

  /** Of one that is drawn. */
  trace(i: number): JointTrace {
    const { hz } = this;
    const envelopes = this.envelopes!;
    const joint = this.joints[i]!;
    const shown = (value: number): number => toShown(joint, value);
    const perSecond = shown(hz);
    const squared = shown(hz * hz);
    const own = SIGNALS * i;
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
      asked: envelopes.data(own + ASKED, shown),
      delivered: envelopes.data(own + DELIVERED, shown),
      speed: envelopes.data(own + SPEED, (step) => step * perSecond),
      accel: envelopes.data(own + ACCEL, (step) => step * squared),
    };
  }
}

/**
 * Measures a replay from its telemetry alone: what was asked, what was delivered, where limits were met or broken. Memory
 * does not grow with the stream. Positions in rad or mm inside, shown units in the answer.
 */
import type { Telemetry } from '../controller/messages.ts';
import { inverseInto, whatStops } from '../physics/inverse.ts';
import type { MutablePose } from '../physics/forward.ts';
import { type Pose, type Rig, HOME, toDeg, toShown } from '../rig/rig.ts';
import { lookAhead_us } from '../rig/look-ahead.ts';
import { wobbleDelay_ms } from '../rig/wobble.ts';
import type { Interpolant } from '../stream/interpolate.ts';
import { Arrivals } from './arrivals.ts';
import { Breaches } from './breaches.ts';
import type { Conversation } from './conversation.ts';
import { Distribution } from './histogram.ts';
import { JointMeasure } from './joint-measure.ts';
import { PathMeasure } from './path-measure.ts';
import type { Answer, Instant, Replay, Traces } from './result.ts';
import { PlantWatch } from './plant-watch.ts';
import type { Target } from './target.ts';
import type { Tolerance } from './tolerance.ts';
import { followsOnMetal, withinTolerance } from './verdict.ts';

/** Telemetry, and with it a look at path and asked joints: once in the frame of an analogue servo (common practice). */
const LOOKS_HZ = 50;
export const telemetryTicks = (tick_hz: number): number => Math.max(1, Math.round(tick_hz / LOOKS_HZ));

export class Measure {
  readonly legs: number;
  /** From a frame's instant to the joints that show it: playback delay and wobble cure. */
  readonly delay_us: number;
  /** Of that, what the wobble cure takes. */
  readonly wobble_us: number;
  frames = 0;
  private readonly hz: number;
  private readonly joints: JointMeasure[];
  private readonly breaches: Breaches;
  private readonly arrivals: Arrivals;
  /** Null: no platform. */
  private readonly path: PathMeasure | null;
  private readonly askedValues: Float64Array;
  private readonly askedLegs = new Float64Array(6);
  /** What is asked of every joint; NaN: nothing, or what cannot be reached. */
  private readonly askedJoints: Float64Array;
  private readonly askedPose: MutablePose = [...HOME];
  private readonly stops = new Map<string, { joint: string; cause: string; frames: number }>();
  private readonly tickTimes = new Distribution();
  private origin_us = Infinity;
  /** Poses are found out of reach that much before they are shown; until then one may be shown. */
  private readonly lookAhead_us: number;
  private outOfReach_us = -Infinity;
  private first_s = 0;
  private end_us = Infinity;
  private halted = false;
  private played = false;
  private ticks = 0;
  private starved = 0;
  private unreachable = 0;
  private looks = 0;
  /** Looks at which the asked pose was out of reach. */
  private stopped = 0;
  private last_s = 0;
  private worst: Instant | null = null;
  private worstScore = -1;

  private readonly rig: Rig;
  private readonly asked: Interpolant;
  private readonly target: Target;
  private readonly tolerance: Tolerance;

  private readonly metal: PlantWatch | null;

  /** metal: whether the plant runs behind the controller. */
  constructor(rig: Rig, asked: Interpolant, target: Target, tolerance: Tolerance, metal = false) {
    this.rig = rig;
    this.metal = metal ? new PlantWatch(rig) : null;
    this.asked = asked;
    this.target = target;
    this.tolerance = tolerance;
    this.legs = rig.platform ? 6 : 0;
    this.hz = rig.motion.tick_hz;
    this.wobble_us = wobbleDelay_ms(rig) * 1000;
    this.delay_us = rig.motion.playback_delay_ms * 1000 + this.wobble_us;
    this.lookAhead_us = lookAhead_us(rig.motion);
    this.joints = rig.joints.map((joint) => new JointMeasure(joint));
    this.breaches = new Breaches(rig);
    this.arrivals = new Arrivals(this.hz);
    this.path = rig.platform && new PathMeasure(rig.platform, tolerance);
    this.askedValues = new Float64Array(asked.size);
    this.askedJoints = new Float64Array(rig.joints.length);
  }

  /** Stream time 0 is played when the controller's clock, less the delay, is at origin_us. */
  begin(origin_us: number, first_s: number): void {
    this.origin_us = origin_us;
    this.first_s = first_s;
  }

  /** Where the k-th joint after the legs stands at home. */
  homeOf(k: number): number {
    return this.rig.joints[this.legs + k]?.home ?? 0;
  }

  /** The last frame's instant. */
  endAt(end_us: number): void {
    this.end_us = end_us;
  }

  /** The controller stopped playing before the stream was over. */
  halt(): void {
    this.halted = true;
    this.endAt(-Infinity);
  }

  sent(sequence: number, sent_us: number, arrives: boolean): void {
    this.arrivals.sent(sequence, sent_us, arrives);
  }

  tick(duration_us: number): void {
    this.tickTimes.add(duration_us);
  }

  telemetry(t: Telemetry, now_us: number): void {
    const shown_us = now_us - this.delay_us;
    const stream_s = (shown_us - this.origin_us) / 1e6;
    const at_s = Math.max(0, stream_s - this.first_s);
    const playing = this.plays(shown_us);
    if (stream_s >= this.first_s) this.played = true;
    this.watch(t, at_s, playing);
    this.arrivals.telemetry(t, now_us);
    this.feeding(t, shown_us + this.wobble_us + this.lookAhead_us);
    if (t.unreachable || t.unreachableTicks > 0) this.outOfReach_us = shown_us + this.lookAhead_us + this.wobble_us;
    if (!playing) return;
    this.ticks += t.ticks;
    this.last_s = at_s;
    if (t.tick_us > 0) this.tickTimes.add(t.tick_us);
    this.look(t, at_s, stream_s, shown_us);
    this.metal?.telemetry(t, at_s);
  }

  /** Whether an instant of the controller's clock, delay taken out, lies within the stream. */
  private plays(at_us: number): boolean {
    return (at_us - this.origin_us) / 1e6 >= this.first_s && at_us <= this.end_us;
  }

  /** What the queue had to play, by the playback clock: look-ahead and wobble cure come behind it. */
  private feeding(t: Telemetry, play_us: number): void {
    if (!this.plays(play_us)) return;
    if (play_us < this.end_us) this.starved += t.starvedTicks;
    this.unreachable += t.unreachableTicks;
  }

  /** Limits, whatever the state; extremes while the stream plays. */
  private watch(t: Telemetry, at_s: number, playing: boolean): void {
    for (let i = 0; i < this.joints.length; i++) {
      if (t.pulse_us[i] === 0) continue;
      if (playing) this.joints[i]!.add(at_s, t, i, this.hz);
      this.breaches.joint(i, at_s, t, this.hz);
    }
    this.breaches.guard(at_s, t);
  }

  /** Compares asked and delivered. */
  private look(t: Telemetry, at_s: number, stream_s: number, shown_us: number): void {
    this.asked.evaluate(stream_s, this.askedValues);
    const { rig, askedJoints } = this;
    const pose = this.askedPose;
    this.looks++;
    for (let k = 0; k < 6; k++) pose[k] = this.askedValues[k]!;
    let reachable = true;
    if (rig.platform) {
      reachable = inverseInto(rig.platform, pose, this.askedLegs);
      const stop = shown_us <= this.outOfReach_us || !reachable ? whatStops(rig, pose) : null;
      if (stop) this.count(stop);
      if (stop) reachable = false;
      if (reachable) askedJoints.set(this.askedLegs);
      else askedJoints.fill(NaN, 0, this.legs);
    }
    for (let k = 6; k < this.askedValues.length; k++) askedJoints[this.legs + k - 6] = this.askedValues[k]!;
    let score = 0;
    for (let i = 0; i < this.joints.length; i++) {
      const error = this.joints[i]!.compare(at_s, askedJoints[i]!, t.position[i]!);
      const weight = this.joints[i]!.joint.unit === 'deg' ? toDeg(error) : error;
      if (weight > score) score = weight;
    }
    if (this.path) score = Math.max(score, this.path.look(t, at_s, pose, this.breaches));
    if (score > this.worstScore) {
      this.worstScore = score;
      this.worst = this.instant(t, at_s, pose, reachable);
    }
  }

  private count({ joint, cause }: { joint: string; cause: string }): void {
    const key = `${joint} ${cause}`;
    const entry = this.stops.get(key) ?? { joint, cause, frames: 0 };
    entry.frames++;
    this.stopped++;
    this.stops.set(key, entry);
  }

  private instant(t: Telemetry, at_s: number, pose: Pose, reachable: boolean): Instant {
    const errors = this.joints.map(({ joint }, i) => {
      const error = toShown(joint, Math.abs(this.askedJoints[i]! - t.position[i]!));
      return { name: joint.name, error, unit: joint.unit };
    });
    const behind = errors.filter(({ error }) => error > 0);
    const asked_pose: Pose = [...pose];
    return {
      at_s,
      asked_pose,
      delivered_pose: this.path && [...this.path.delivered],
      asked: Array.from(this.askedJoints, (wanted) => (Number.isNaN(wanted) ? null : wanted)),
      delivered: this.joints.map((_, i) => t.position[i]!),
      stopped_by: reachable ? null : whatStops(this.rig, asked_pose),
      worst_joint: behind.length ? behind.reduce((a, b) => (b.error > a.error ? b : a)) : null,
    };
  }

  /** What is out of reach between two looks alone counts by the ticks that noticed. */
  private outOfReach(): number {
    return this.stopped > 0 ? this.stopped / this.looks : this.unreachable / Math.max(1, this.ticks);
  }

  /** The replay is over. */
  finish(talk: Conversation): void {
    if (talk.tripped !== null) this.breaches.tripped(this.last_s, talk.tripped);
    else if (this.halted) this.breaches.gaveUp(this.last_s, this.rig.motion.hold_s);
    if (!this.played && !this.halted) this.breaches.silent(talk.state);
  }

  result(stream: string): Replay {
    const { rig, target, tolerance } = this;
    const { lost, late, latency } = this.arrivals;
    const path = this.path?.answer() ?? { peak_mm: 0, peak_deg: 0, at_s: 0 };
    const clean = late === 0 && this.starved === 0 && this.unreachable === 0 && this.breaches.count === 0;
    const timed = this.tickTimes.count > 0;
    const metal = this.metal?.answer() ?? null;
    const joints = this.joints.map((joint, i) => joint.answer(this.metal?.joint(i) ?? null));
    const answer: Answer = {
      ok: clean && withinTolerance({ path, tolerance }) && followsOnMetal({ joints, metal }),
      rig: rig.name,
      stream,
      target: target.name,
      proven: target.proven,
      seconds: this.last_s,
      ticks: this.ticks,
      frames: this.frames,
      lost,
      late,
      starved: this.starved,
      unreachable: this.unreachable,
      out_of_reach: this.outOfReach(),
      stopped_by: [...this.stops.values()].sort((a, b) => b.frames - a.frames),
      delay_ms: this.delay_us / 1000,
      look_ahead_ms: this.lookAhead_us / 1000,
      wobble_ms: this.wobble_us / 1000,
      latency_ms: latency.spread(),
      tick_us: timed ? { ...this.tickTimes.spread(), budget: 1e6 / this.hz, clock: target.clock } : null,
      path,
      tolerance,
      joints,
      breaches: this.breaches.list,
      breach_count: this.breaches.count,
      metal,
    };
    const traces: Traces = {
      pose: this.path?.traces() ?? [],
      joints: this.joints.map((joint) => joint.trace()),
      latency: latency.histogram('ms'),
      tick: timed ? this.tickTimes.histogram('us') : null,
      worst: this.worst ?? {
        at_s: 0,
        asked_pose: HOME,
        delivered_pose: null,
        asked: rig.joints.map(() => null),
        delivered: rig.joints.map((joint) => joint.rest),
        stopped_by: null,
        worst_joint: null,
      },
      torques: this.metal?.torques() ?? [],
    };
    return { answer, traces };
  }
}

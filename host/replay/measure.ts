/**
 * Measures a replay from its telemetry alone: what was asked, what was delivered, where limits were met or broken. Memory
 * does not grow with the stream. Positions in rad or mm inside, shown units in the answer.
 */
import type { Telemetry } from '../controller/messages.ts';
import { COUNTERS } from '../controller/messages.ts';
import { inverseInto, whatStops } from '../physics/inverse.ts';
import { ForwardSolver, type MutablePose } from '../physics/forward.ts';
import { poseDistance } from '../physics/pose-distance.ts';
import { type Joint, type Pose, type Rig, HOME, POSE_KEYS, toDeg, toShown } from '../rig/rig.ts';
import { wobbleDelay_ms } from '../rig/wobble.ts';
import type { Interpolant } from '../stream/interpolate.ts';
import { Breaches } from './breaches.ts';
import type { Conversation } from './conversation.ts';
import { Envelope } from './envelope.ts';
import { Distribution } from './histogram.ts';
import type { Answer, Instant, JointAnswer, JointTrace, MetalJoint, Replay, Traces } from './result.ts';
import { PlantWatch } from './plant-watch.ts';
import type { Target } from './target.ts';
import { followsOnMetal } from './verdict.ts';

export interface Tolerance {
  readonly mm: number;
  readonly deg: number;
}

/** Telemetry, and with it a look at path and asked joints: once in the frame of an analogue servo (common practice). */
const LOOKS_HZ = 50;
export const telemetryTicks = (tick_hz: number): number => Math.max(1, Math.round(tick_hz / LOOKS_HZ));
/** Nearer to what was asked than this, the asked pose is the better start for the forward kinematics. */
const FOLLOWS_MM = 0.1;
const FOLLOWS_RAD = 0.002;
const LATE = COUNTERS.indexOf('late');
/** Frames in flight whose sending times are remembered. */
const SENDS = 256;

/** One joint's extremes and envelopes. */
class JointMeasure {
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

  constructor(joint: Joint) {
    this.joint = joint;
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

  /** asked NaN: nothing was asked, or it cannot be reached. */
  compare(at_s: number, asked: number, delivered: number): number {
    this.asked.add(at_s, toShown(this.joint, asked));
    const error = Math.abs(asked - delivered);
    if (error > this.error) {
      this.error = error;
      this.errorAt_s = at_s;
    }
    return error;
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
      },
      asked: this.asked.data(),
      delivered: this.delivered.data(),
      speed: this.speeds.data(),
      accel: this.accels.data(),
    };
  }
}

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
  private readonly solver: ForwardSolver | null;
  private readonly askedValues: Float64Array;
  private readonly askedLegs = new Float64Array(6);
  /** What is asked of every joint; NaN: nothing, or what cannot be reached. */
  private readonly askedJoints: Float64Array;
  private readonly deliveredLegs = new Float64Array(6);
  private readonly deliveredPose: MutablePose = [...HOME];
  private readonly askedPose: MutablePose = [...HOME];
  private readonly poseAsked = POSE_KEYS.map(() => new Envelope());
  private readonly poseDelivered = POSE_KEYS.map(() => new Envelope());
  private readonly stops = new Map<string, { joint: string; cause: string; frames: number }>();
  private readonly latency = new Distribution();
  private readonly tickTimes = new Distribution();
  private readonly sentAt_us = new Float64Array(SENDS);
  private origin_us = Infinity;
  private first_s = 0;
  private end_us = Infinity;
  private halted = false;
  private follows = false;
  private played = false;
  private lastPose = -1;
  /** The late counter at the last telemetry; -1: none yet, for a board may have run before. */
  private lateBefore = -1;
  private ticks = 0;
  private lost = 0;
  private late = 0;
  private starved = 0;
  private unreachable = 0;
  private last_s = 0;
  private peak = { mm: 0, deg: 0, at_s: 0, score: 0 };
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
    this.joints = rig.joints.map((joint) => new JointMeasure(joint));
    this.breaches = new Breaches(rig);
    this.solver = rig.platform ? new ForwardSolver(rig.platform) : null;
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
    this.sentAt_us[sequence] = sent_us;
    if (!arrives) this.lost++;
    if (this.lastPose < 0) this.lastPose = (sequence + 255) & 255;
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
    this.arrivals(t, now_us);
    this.feeding(t, shown_us + this.wobble_us);
    if (!playing) return;
    this.ticks += t.ticks;
    this.last_s = at_s;
    if (t.tick_us > 0) this.tickTimes.add(t.tick_us);
    this.look(t, at_s, stream_s);
    this.metal?.telemetry(t, at_s);
  }

  /** Whether an instant of the controller's clock, delay taken out, lies within the stream. */
  private plays(at_us: number): boolean {
    return (at_us - this.origin_us) / 1e6 >= this.first_s && at_us <= this.end_us;
  }

  /** What the queue had to play, by the playback clock: the wobble cure comes behind it. */
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

  private arrivals(t: Telemetry, now_us: number): void {
    const late = t.counters[LATE]!;
    if (this.lateBefore >= 0) this.late += (late - this.lateBefore) & 0xffff;
    this.lateBefore = late;
    // Of the frames that came since the last telemetry the newest tells; lost ones have no arrival.
    const ahead = (t.lastPose - this.lastPose) & 255;
    if (this.lastPose < 0 || ahead === 0 || ahead > 128) return;
    this.lastPose = t.lastPose;
    const arrived_us = now_us - (t.lastPoseTicks * 1e6) / this.hz;
    this.latency.add((arrived_us - this.sentAt_us[t.lastPose]!) / 1000);
  }

  /** Compares asked and delivered. */
  private look(t: Telemetry, at_s: number, stream_s: number): void {
    this.asked.evaluate(stream_s, this.askedValues);
    const { rig, askedJoints } = this;
    const pose = this.askedPose;
    for (let k = 0; k < 6; k++) pose[k] = this.askedValues[k]!;
    let reachable = true;
    if (rig.platform && this.solver) {
      reachable = inverseInto(rig.platform, pose, this.askedLegs);
      const stop = t.unreachable || !reachable ? whatStops(rig, pose) : null;
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
    if (rig.platform && this.solver) score = Math.max(score, this.lookAtPath(t, at_s, pose));
    if (score > this.worstScore) {
      this.worstScore = score;
      this.worst = this.instant(t, at_s, pose, reachable);
    }
  }

  /** Path error at this instant; returns how bad it is, 1 at the tolerance. */
  private lookAtPath(t: Telemetry, at_s: number, pose: Pose): number {
    const { solver, deliveredPose, rig } = this;
    if (!solver || !rig.platform) return 0;
    for (let i = 0; i < 6; i++) this.deliveredLegs[i] = t.position[i]!;
    // A prop that follows is where it was asked to be, all but rounding: the nearer start.
    const start = this.follows ? pose : deliveredPose;
    const found = solver.solve(this.deliveredLegs, start, deliveredPose) && !solver.flipped;
    for (let k = 0; k < 6; k++) this.poseAsked[k]!.add(at_s, k < 3 ? pose[k]! : toDeg(pose[k]!));
    if (!found) {
      this.breaches.assembly(at_s);
      return Infinity;
    }
    this.breaches.rodEnds(at_s, deliveredPose, this.deliveredLegs);
    for (let k = 0; k < 6; k++) {
      const value = deliveredPose[k]!;
      this.poseDelivered[k]!.add(at_s, k < 3 ? value : toDeg(value));
    }
    const { mm, rad } = poseDistance(pose, deliveredPose);
    this.follows = mm < FOLLOWS_MM && rad < FOLLOWS_RAD;
    const deg = toDeg(rad);
    const score = Math.max(mm / this.tolerance.mm, deg / this.tolerance.deg);
    if (mm > this.peak.mm) this.peak.mm = mm;
    if (deg > this.peak.deg) this.peak.deg = deg;
    if (score > this.peak.score) {
      this.peak.score = score;
      this.peak.at_s = at_s;
    }
    return score;
  }

  private count({ joint, cause }: { joint: string; cause: string }): void {
    const key = `${joint} ${cause}`;
    const entry = this.stops.get(key) ?? { joint, cause, frames: 0 };
    entry.frames++;
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
      delivered_pose: this.rig.platform ? [...this.deliveredPose] : null,
      asked: Array.from(this.askedJoints, (wanted) => (Number.isNaN(wanted) ? null : wanted)),
      delivered: this.joints.map((_, i) => t.position[i]!),
      stopped_by: reachable ? null : whatStops(this.rig, asked_pose),
      worst_joint: behind.length ? behind.reduce((a, b) => (b.error > a.error ? b : a)) : null,
    };
  }

  /** The replay is over. */
  finish(talk: Conversation): void {
    if (talk.tripped !== null) this.breaches.tripped(this.last_s, talk.tripped);
    else if (this.halted) this.breaches.gaveUp(this.last_s, this.rig.motion.hold_s);
    if (!this.played && !this.halted) this.breaches.silent(talk.state);
  }

  result(stream: string): Replay {
    const { rig, target, tolerance, peak } = this;
    const within = peak.mm <= tolerance.mm && peak.deg <= tolerance.deg;
    const clean = this.late === 0 && this.starved === 0 && this.unreachable === 0 && this.breaches.count === 0;
    const timed = this.tickTimes.count > 0;
    const metal = this.metal?.answer() ?? null;
    const joints = this.joints.map((joint, i) => joint.answer(this.metal?.joint(i) ?? null));
    const answer: Answer = {
      ok: clean && within && followsOnMetal({ joints, metal }),
      rig: rig.name,
      stream,
      target: target.name,
      proven: target.proven,
      seconds: this.last_s,
      ticks: this.ticks,
      frames: this.frames,
      lost: this.lost,
      late: this.late,
      starved: this.starved,
      unreachable: this.unreachable,
      stopped_by: [...this.stops.values()].sort((a, b) => b.frames - a.frames),
      delay_ms: this.delay_us / 1000,
      wobble_ms: this.wobble_us / 1000,
      latency_ms: this.latency.spread(),
      tick_us: timed ? { ...this.tickTimes.spread(), budget: 1e6 / this.hz, clock: target.clock } : null,
      path: { peak_mm: peak.mm, peak_deg: peak.deg, at_s: peak.at_s },
      tolerance,
      joints,
      breaches: this.breaches.list,
      breach_count: this.breaches.count,
      metal,
    };
    const traces: Traces = {
      pose: POSE_KEYS.map((key, k) => ({
        key,
        asked: this.poseAsked[k]!.data(),
        delivered: this.poseDelivered[k]!.data(),
      })),
      joints: this.joints.map((joint) => joint.trace()),
      latency: this.latency.histogram('ms'),
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

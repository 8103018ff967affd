/**
 * Measures a replay from its telemetry alone: what was asked, what was delivered, where limits were met or broken. Memory
 * does not grow with the stream. Positions in rad or mm inside, shown units in the answer.
 */
import { type Telemetry, STATES } from '../controller/messages.ts';
import { BeyondWatch, withinLimits } from '../physics/dynamics/beyond.ts';
import { lookAhead_us } from '../rig/look-ahead.ts';
import { type Pose, type Rig, HOME, POSE_KEYS, toDeg, toRad, toShown } from '../rig/rig.ts';
import { wobbleDelay_ms } from '../rig/wobble.ts';
import type { Interpolant } from '../stream/interpolate.ts';
import { Arrivals } from './arrivals.ts';
import { Asked } from './asked.ts';
import { Breaches } from './breaches.ts';
import type { Conversation } from './conversation.ts';
import { Distribution } from './histogram.ts';
import { JointMeasure } from './joint-measure.ts';
import { PathMeasure } from './path-measure.ts';
import { PeaksMeasure } from './peaks-measure.ts';
import type { Answer, Instant, Replay, Traces } from './result.ts';
import { PlantWatch } from './plant-watch.ts';
import { type Target, targetWords } from './target.ts';
import type { Tolerance } from './tolerance.ts';
import { followsOnMetal, withinTolerance } from './verdict.ts';

/** Telemetry, and with it a look at path and asked joints: once in the frame of an analogue servo (common practice). */
const LOOKS_HZ = 50;
export const telemetryTicks = (tick_hz: number): number => Math.max(1, Math.round(tick_hz / LOOKS_HZ));

/** After the last frame, so that what lags behind or goes past is still seen. */
export const TAIL_S = 0.5;

/** Hears what came out, at a time of the stream, s: a row as a stream has it (pose mm, rad, then joints, rad), until it returns. */
export type HearDelivered = (t_s: number, row: Float64Array) => void;

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
  /** By column of a stream: those of the pose, on a platform, then joints but the legs. */
  private readonly peaks: PeaksMeasure[];
  private readonly row: Float64Array;
  private readonly stops = new Map<string, { joint: string; cause: string; frames: number }>();
  private readonly beyond = new BeyondWatch();
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
  /** Looks at which the asked pose, or what a joint was asked for, was out of reach. */
  private stopped = 0;
  private last_s = 0;
  private worst: Instant | null = null;
  private worstScore = -1;

  private readonly rig: Rig;
  private readonly asked: Asked;
  private readonly target: Target;
  private readonly tolerance: Tolerance;

  private readonly metal: PlantWatch | null;

  private readonly hear: HearDelivered | null;

  /** metal: whether the plant runs behind the controller. */
  constructor(
    rig: Rig,
    asked: Interpolant,
    target: Target,
    tolerance: Tolerance,
    metal = false,
    hear: HearDelivered | null = null,
  ) {
    this.rig = rig;
    this.metal = metal ? new PlantWatch(rig) : null;
    this.asked = new Asked(rig, asked);
    this.hear = hear;
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
    const lone = rig.joints.slice(this.legs).map(({ name, unit }) => `${name}_${unit}`);
    const columns = [...(rig.platform ? POSE_KEYS : []), ...lone];
    this.peaks = columns.map((column) => new PeaksMeasure(column, column.endsWith('_deg') ? toRad(1) : 1));
    this.row = new Float64Array(asked.size);
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
    const isStopped = shown_us <= this.outOfReach_us;
    if (!playing) {
      if (this.isTail(t, shown_us)) this.tail(t, at_s, stream_s, isStopped);
      return;
    }
    this.ticks += t.ticks;
    this.last_s = at_s;
    if (t.tick_us > 0) this.tickTimes.add(t.tick_us);
    this.look(t, at_s, stream_s, isStopped);
    this.metal?.telemetry(t, at_s);
  }

  /** Whether an instant of the controller's clock, delay taken out, lies within the stream. */
  private plays(at_us: number): boolean {
    return (at_us - this.origin_us) / 1e6 >= this.first_s && at_us <= this.end_us;
  }

  /** Whether the stream is over, and what comes late still comes. */
  private isTail(t: Telemetry, at_us: number): boolean {
    const state = STATES[t.state];
    return at_us > this.end_us && at_us <= this.end_us + TAIL_S * 1e6 && (state === 'live' || state === 'holding');
  }

  /** After the stream a joint may still go past what was asked last. */
  private tail(t: Telemetry, at_s: number, stream_s: number, isStopped: boolean): void {
    const moves = t.lowest.some((lowest, i) => lowest !== t.highest[i]);
    this.asked.look(stream_s, isStopped);
    for (let i = 0; i < this.joints.length; i++) this.joints[i]!.past(at_s, t, i, this.asked);
    if (moves && this.path?.solve(t, this.asked.pose) !== false) this.tell(t, stream_s);
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

  /** Compares asked and delivered. @param isStopped whether the controller found the pose, or one near it, out of reach. */
  private look(t: Telemetry, at_s: number, stream_s: number, isStopped: boolean): void {
    const { joints, asked, path } = this;
    const stop = asked.look(stream_s, isStopped);
    this.looks++;
    if (stop) this.count(stop);
    if (this.lookBeyond(at_s) || stop) this.stopped++;
    let score = 0;
    for (let i = 0; i < joints.length; i++) {
      const joint = joints[i]!;
      const error = joint.compare(at_s, asked.joints[i]!, t.position[i]!);
      joint.past(at_s, t, i, asked);
      const weight = joint.joint.unit === 'deg' ? toDeg(error) : error;
      if (weight > score) score = weight;
    }
    if (path) score = Math.max(score, path.look(t, at_s, asked.pose, this.breaches));
    this.lookAtPeaks(t, at_s);
    if (path?.found !== false) this.tell(t, stream_s);
    if (score > this.worstScore) {
      this.worstScore = score;
      this.worst = this.instant(t, at_s, stop);
      for (const joint of joints) joint.watchInstant(at_s);
    }
  }

  /** Whether a joint after the legs is asked to go beyond its soft limits. */
  private lookBeyond(at_s: number): boolean {
    let some = false;
    for (let i = this.legs; i < this.joints.length; i++) {
      const { joint } = this.joints[i]!;
      if (!this.beyond.look(joint, this.asked.joints[i]!, at_s)) continue;
      this.count({ joint: joint.name, cause: 'limit' });
      some = true;
    }
    return some;
  }

  /** Speeds of what was asked and of what came out, column by column. */
  private lookAtPeaks(t: Telemetry, at_s: number): void {
    const { peaks, path, asked, joints, legs } = this;
    const pose = path ? 6 : 0;
    for (let k = 0; k < pose; k++) peaks[k]!.look(at_s, asked.pose[k]!, path!.found ? path!.delivered[k]! : NaN);
    for (let i = legs; i < joints.length; i++) peaks[pose + i - legs]!.look(at_s, asked.joints[i]!, t.position[i]!);
  }

  private tell(t: Telemetry, stream_s: number): void {
    const { hear, row, legs } = this;
    if (!hear) return;
    row.set(this.path?.delivered ?? HOME);
    for (let i = legs; i < this.joints.length; i++) row[6 + i - legs] = t.position[i]!;
    hear(stream_s, row);
  }

  private count({ joint, cause }: { joint: string; cause: string }): void {
    const key = `${joint} ${cause}`;
    const entry = this.stops.get(key) ?? { joint, cause, frames: 0 };
    entry.frames++;
    this.stops.set(key, entry);
  }

  private instant(t: Telemetry, at_s: number, stop: ReturnType<Asked['look']>): Instant {
    const { asked } = this;
    const errors = this.joints.map(({ joint }, i) => {
      const error = toShown(joint, Math.abs(withinLimits(joint, asked.joints[i]!) - t.position[i]!));
      return { name: joint.name, error, past: 0, unit: joint.unit };
    });
    const off = errors.filter(({ error }) => error > 0);
    const asked_pose: Pose = [...asked.pose];
    return {
      at_s,
      asked_pose,
      delivered_pose: this.path && [...this.path.delivered],
      asked: Array.from(asked.joints, (wanted) => (Number.isNaN(wanted) ? null : wanted)),
      delivered: this.joints.map((_, i) => t.position[i]!),
      stopped_by: stop,
      worst_joint: off.length ? off.reduce((a, b) => (b.error > a.error ? b : a)) : null,
    };
  }

  /** The worst instant, and how far past its worst joint was: known only when all that was asked after it is. */
  private worstInstant(): Instant | null {
    const { worst } = this;
    const joint = this.joints.find((one) => one.joint.name === worst?.worst_joint?.name);
    if (!worst?.worst_joint || !joint) return worst;
    return { ...worst, worst_joint: { ...worst.worst_joint, past: joint.pastAtInstant } };
  }

  /** What is out of reach between two looks alone counts by the ticks that noticed. */
  private outOfReach(): number {
    return this.stopped > 0 ? this.stopped / this.looks : this.unreachable / Math.max(1, this.ticks);
  }

  /** The replay is over. */
  finish(talk: Conversation): void {
    for (const joint of this.joints) joint.endPast();
    if (talk.tripped !== null) this.breaches.tripped(this.last_s, talk.tripped);
    else if (this.halted) this.breaches.gaveUp(this.last_s, this.rig.motion.hold_s);
    if (!this.played && !this.halted) this.breaches.silent(talk.state);
  }

  result(stream: string): Replay {
    const { rig, target, tolerance } = this;
    const { lost, late, latency } = this.arrivals;
    const path = this.path?.answer() ?? { peak_mm: 0, peak_deg: 0, at_s: 0 };
    const beyond = this.beyond.list();
    const reached = this.unreachable === 0 && beyond.length === 0;
    const clean = late === 0 && this.starved === 0 && reached && this.breaches.count === 0;
    const timed = this.tickTimes.count > 0;
    const metal = this.metal?.answer() ?? null;
    const joints = this.joints.map((joint, i) => joint.answer(this.metal?.joint(i) ?? null));
    const answer: Answer = {
      ok: clean && withinTolerance({ path, tolerance }) && followsOnMetal({ joints, metal }),
      rig: rig.name,
      stream,
      target: targetWords(target),
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
      beyond,
      delay_ms: this.delay_us / 1000,
      look_ahead_ms: this.lookAhead_us / 1000,
      wobble_ms: this.wobble_us / 1000,
      latency_ms: latency.spread(),
      tick_us: timed ? { ...this.tickTimes.spread(), budget: 1e6 / this.hz, clock: target.clock } : null,
      path,
      tolerance,
      joints,
      speed_peaks: this.peaks.map((column) => column.answer()),
      breaches: this.breaches.list,
      breach_count: this.breaches.count,
      metal,
    };
    const traces: Traces = {
      pose: this.path?.traces() ?? [],
      joints: this.joints.map((joint) => joint.trace()),
      latency: latency.histogram('ms'),
      tick: timed ? this.tickTimes.histogram('us') : null,
      worst: this.worstInstant() ?? {
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

/**
 * Measures a replay from its telemetry alone: what was asked, what was delivered, where limits were met or broken. Memory
 * does not grow with the stream. Positions in rad or mm inside, shown units in the answer.
 */
import { type Telemetry, STATES } from '../controller/messages.ts';
import { lookAhead_us } from '../rig/look-ahead.ts';
import { type Rig, HOME, POSE_KEYS, toRad } from '../rig/rig.ts';
import { wobbleDelay_ms } from '../rig/wobble.ts';
import type { Interpolant } from '../stream/interpolate.ts';
import { Arrivals } from './arrivals.ts';
import { Asked } from './asked.ts';
import { Breaches } from './breaches.ts';
import type { Conversation } from './conversation.ts';
import { Distribution } from './histogram.ts';
import { JointsMeasure } from './joints-measure.ts';
import { PathMeasure } from './path-measure.ts';
import { PeaksMeasure } from './peaks-measure.ts';
import { PlayTimes } from './play-times.ts';
import { PlantWatch } from './plant-watch.ts';
import { ReachMeasure } from './reach-measure.ts';
import type { Answer, Replay, Traces } from './result.ts';
import { type Target, targetWords } from './target.ts';
import { Responded } from './responded.ts';
import type { Tolerance } from './tolerance.ts';
import { followsOnMetal, withinTolerance } from './verdict.ts';
import { WorstInstant } from './worst-instant.ts';

/** Telemetry, and with it a look at path and asked joints: once in the frame of an analogue servo (common practice). */
const LOOKS_HZ = 50;
export const telemetryTicks = (tick_hz: number): number => Math.max(1, Math.round(tick_hz / LOOKS_HZ));

/** Receives what came out, at a time of the stream, s: a row as a stream has it (pose mm, rad, then joints, rad), until it returns. */
export type DeliveredSink = (t_s: number, row: Float64Array) => void;

/** How it is measured. */
export interface Measured {
  readonly tolerance: Tolerance;
  readonly plant?: boolean;
  readonly responds?: boolean;
  readonly delivered?: DeliveredSink | null;
}

export class Measure {
  readonly legs: number;
  /** From a frame's instant to the joints that show it: playback delay and wobble cure. */
  readonly delay_us: number;
  /** Of that, what the wobble cure takes. */
  readonly wobble_us: number;
  /** Ticks from one telemetry to the next. */
  readonly telemetry_ticks: number;
  readonly times = new PlayTimes();
  frames = 0;
  private readonly rig: Rig;
  private readonly target: Target;
  private readonly tolerance: Tolerance;
  private readonly hz: number;
  private readonly lookAhead_us: number;
  private readonly asked: Asked;
  private readonly joints: JointsMeasure;
  private readonly breaches: Breaches;
  private readonly arrivals: Arrivals;
  private readonly reach: ReachMeasure;
  /** Null: no platform. */
  private readonly path: PathMeasure | null;
  /** By column of a stream: those of the pose, on a platform, then joints but the legs. */
  private readonly peaks: PeaksMeasure[];
  private readonly metal: PlantWatch | null;
  private readonly worst: WorstInstant;
  private readonly delivered: DeliveredSink | null;
  /** What is asked, where the rig's responses change it; null: the stream is. */
  private readonly answered: Responded | null;
  /** As Watcher has it; not there without responses, so that nobody need call it. */
  readonly responded?: Responded['push'];
  private readonly row: Float64Array;
  private readonly tickTimes = new Distribution();
  private played = false;
  private ticks = 0;
  private starved = 0;
  private last_s = 0;

  /** plant: whether it runs behind the controller. responds: whether the target tells what the rig's responses ask. */
  constructor(
    rig: Rig,
    asked: Interpolant,
    target: Target,
    { tolerance, plant = false, responds = false, delivered = null }: Measured,
  ) {
    this.rig = rig;
    this.target = target;
    this.tolerance = tolerance;
    this.legs = rig.platform ? 6 : 0;
    this.hz = rig.motion.tick_hz;
    this.telemetry_ticks = telemetryTicks(this.hz);
    this.wobble_us = wobbleDelay_ms(rig) * 1000;
    this.delay_us = rig.motion.playback_delay_ms * 1000 + this.wobble_us;
    this.lookAhead_us = lookAhead_us(rig.motion);
    this.joints = new JointsMeasure(rig.joints, this.hz);
    this.breaches = new Breaches(rig);
    this.arrivals = new Arrivals(this.hz);
    this.reach = new ReachMeasure(rig.joints, this.legs);
    this.path = rig.platform && new PathMeasure(rig.platform, tolerance);
    this.metal = plant ? new PlantWatch(rig) : null;
    this.worst = new WorstInstant(rig);
    const lone = rig.joints.slice(this.legs).map(({ name, unit }) => `${name}_${unit}`);
    const columns = [...(rig.platform ? POSE_KEYS : []), ...lone];
    const answered = responds
      ? new Responded(asked, columns, rig.joints, this.legs, {
          times: this.times,
          after_us: this.delay_us - this.lookAhead_us - this.wobble_us,
        })
      : null;
    this.asked = new Asked(rig, answered ?? asked);
    this.answered = answered;
    if (answered) this.responded = answered.push.bind(answered);
    this.peaks = columns.map((column) => new PeaksMeasure(column, column.endsWith('_deg') ? toRad(1) : 1));
    this.delivered = delivered;
    this.row = new Float64Array(asked.size);
  }

  /** Where the k-th joint after the legs stands at home. */
  homeOf(k: number): number {
    return this.rig.joints[this.legs + k]?.home ?? 0;
  }

  sent(sequence: number, sent_us: number, arrives: boolean): void {
    this.arrivals.sent(sequence, sent_us, arrives);
  }

  tick(duration_us: number): void {
    this.tickTimes.add(duration_us);
  }

  telemetry(t: Telemetry, now_us: number): void {
    const { times, wobble_us } = this;
    const shown_us = now_us - this.delay_us;
    const stream_s = times.stream_s(shown_us);
    const at_s = times.since_s(stream_s);
    const playing = times.plays(shown_us);
    if (times.hasBegun(shown_us)) this.played = true;
    if (playing) this.joints.add(at_s, t);
    this.watchLimits(t, at_s);
    this.arrivals.telemetry(t, now_us);
    this.countTicks(t, shown_us + wobble_us + this.lookAhead_us);
    const isStopped = this.reach.mayBeStopped(t, shown_us, this.lookAhead_us + wobble_us);
    if (playing) this.look(t, at_s, stream_s, isStopped);
    else if (times.isTail(shown_us) && mayMove(t)) this.lookAtTail(t, at_s, stream_s, isStopped);
  }

  /** Limits hold in every state. */
  private watchLimits(t: Telemetry, at_s: number): void {
    for (let i = 0; i < this.rig.joints.length; i++) if (t.pulse_us[i] !== 0) this.breaches.joint(i, at_s, t, this.hz);
    this.breaches.guard(at_s, t);
  }

  /** What the queue had to play, by the playback clock: look-ahead and wobble cure come behind it. */
  private countTicks(t: Telemetry, play_us: number): void {
    if (!this.times.plays(play_us)) return;
    if (play_us < this.times.end_us) this.starved += t.starvedTicks;
    this.reach.unreachable += t.unreachableTicks;
  }

  /** Compares asked and delivered. @param isStopped whether the controller found the pose, or one near it, out of reach. */
  private look(t: Telemetry, at_s: number, stream_s: number, isStopped: boolean): void {
    const { joints, asked, path, worst } = this;
    this.ticks += t.ticks;
    this.last_s = at_s;
    if (t.tick_us > 0) this.tickTimes.add(t.tick_us);
    const stop = asked.look(stream_s, isStopped);
    this.answered?.compare(stream_s, at_s);
    this.reach.look(at_s, asked, stop);
    let score = joints.compare(at_s, t, asked);
    joints.past(at_s, t, asked);
    if (path) score = Math.max(score, path.look(t, at_s, asked.pose, this.breaches));
    this.lookAtPeaks(t, at_s);
    this.passOn(t, stream_s);
    if (worst.isWorse(score)) {
      worst.keep(at_s, t, asked, path, stop);
      joints.watchInstant(at_s);
    }
    this.metal?.telemetry(t, at_s);
  }

  /** After the stream a joint may still go past what was asked last. */
  private lookAtTail(t: Telemetry, at_s: number, stream_s: number, isStopped: boolean): void {
    this.asked.look(stream_s, isStopped);
    this.joints.past(at_s, t, this.asked);
    if (!t.lowest.some((lowest, i) => lowest !== t.highest[i])) return;
    this.path?.solve(t, this.asked.pose);
    this.passOn(t, stream_s);
  }

  /** Speeds of what was asked and of what came out, column by column. */
  private lookAtPeaks(t: Telemetry, at_s: number): void {
    const { peaks, path, asked, legs } = this;
    const pose = path ? 6 : 0;
    for (let k = 0; k < pose; k++) peaks[k]!.look(at_s, asked.pose[k]!, path!.found ? path!.delivered[k]! : NaN);
    for (let i = legs; i < asked.joints.length; i++)
      peaks[pose + i - legs]!.look(at_s, asked.joints[i]!, t.position[i]!);
  }

  /** Hands on what came out, when it is known. */
  private passOn(t: Telemetry, stream_s: number): void {
    const { delivered, row, legs, path } = this;
    if (!delivered || path?.found === false) return;
    row.set(path?.delivered ?? HOME);
    for (let i = legs; i < this.rig.joints.length; i++) row[6 + i - legs] = t.position[i]!;
    delivered(stream_s, row);
  }

  /** The replay is over. */
  finish(talk: Conversation): void {
    this.joints.endPast();
    const failed = this.answered?.faults()?.failed ?? null;
    if (failed) this.breaches.responseFailed(failed, this.hz);
    else if (talk.tripped !== null) this.breaches.tripped(this.last_s, talk.tripped);
    else if (this.times.halted) this.breaches.gaveUp(this.last_s, this.rig.motion.hold_s);
    if (!this.played && !this.times.halted && !failed) this.breaches.silent(talk.state);
  }

  /** @param stream its name */
  result(stream: string): Replay {
    return { answer: this.answer(stream), traces: this.traces() };
  }

  private answer(stream: string): Answer {
    const { rig, target, tolerance, reach, breaches, starved } = this;
    const { unreachable, beyond } = reach;
    const { lost, late, latency } = this.arrivals;
    const path = this.path?.answer() ?? { peak_mm: 0, peak_deg: 0, at_s: 0 };
    const isClean = late + starved + unreachable + beyond.length + breaches.count === 0;
    const timed = this.tickTimes.count > 0;
    const metal = this.metal?.answer() ?? null;
    const joints = rig.joints.map((_, i) => this.joints.answer(i, this.metal?.joint(i) ?? null));
    return {
      ok: isClean && withinTolerance({ path, tolerance }) && followsOnMetal({ joints, metal }),
      rig: rig.name,
      stream,
      target: targetWords(target),
      proven: target.proven,
      seconds: this.last_s,
      ticks: this.ticks,
      frames: this.frames,
      lost,
      late,
      starved,
      unreachable,
      out_of_reach: reach.share(this.ticks),
      stopped_by: reach.stoppedBy,
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
      breaches: breaches.list,
      breach_count: breaches.count,
      responses: this.answered?.answer() ?? null,
      response_faults: this.answered?.faults() ?? null,
      metal,
    };
  }

  private traces(): Traces {
    return {
      pose: this.path?.traces() ?? [],
      joints: this.rig.joints.map((_, i) => this.joints.trace(i)),
      latency: this.arrivals.latency.histogram('ms'),
      tick: this.tickTimes.count > 0 ? this.tickTimes.histogram('us') : null,
      worst: this.worst.answer(this.joints),
      torques: this.metal?.torques() ?? [],
    };
  }
}

/** Whether what was asked may still be on its way. */
function mayMove(t: Telemetry): boolean {
  const state = STATES[t.state];
  return state === 'live' || state === 'holding';
}

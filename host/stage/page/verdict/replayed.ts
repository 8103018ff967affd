/** What a replay answers of a take, from its trace: measured by the replay's own modules, so that both say the same. */
import { type Telemetry, TRIPS, emptyTelemetry } from '../../../controller/messages.ts';
import type { MutablePose } from '../../../physics/kinematics/forward.ts';
import { poseDistance } from '../../../physics/kinematics/pose-distance.ts';
import { unlikelyFigures } from '../../../physics/dynamics/unlikely.ts';
import { Breaches } from '../../../replay/breaches.ts';
import { JointsMeasure } from '../../../replay/joints-measure.ts';
import { PeaksMeasure } from '../../../replay/peaks-measure.ts';
import { ReachMeasure } from '../../../replay/reach-measure.ts';
import type { Answer, MetalJoint } from '../../../replay/result.ts';
import { TOLERANCE } from '../../../replay/tolerance.ts';
import { followsOnMetal, withinTolerance } from '../../../replay/verdict.ts';
import { lookAhead_us } from '../../../rig/look-ahead.ts';
import { type Rig, HOME, POSE_KEYS, toDeg, toRad } from '../../../rig/rig.ts';
import { wobbleDelay_ms } from '../../../rig/wobble.ts';
import type { Judged } from './judge.ts';
import { TOLD, type Trace } from './trace.ts';

/** A rod end's sine is looked at again when it is so near the largest: a trace is no more exact than f32. */
const NEARLY = 1e-3;
const NOTHING = { p50: 0, p99: 0, max: 0 };

/** The telemetry of frame f again. */
function telemetryOf({ joint, frame, joints: n }: Trace, f: number, t: Telemetry): void {
  t.joints = n;
  t.ticks = frame.ticks[f]!;
  t.unreachableTicks = frame.unreachable[f]!;
  for (const name of TOLD) {
    const [from, to] = [joint[name], t[name]];
    for (let i = 0, at = f * n; i < n; i++, at++) to[i] = from[at]!;
  }
}

/** One pass along a trace. */
class Pass {
  readonly joints: JointsMeasure;
  readonly reach: ReachMeasure;
  readonly breaches: Breaches;
  readonly peaks: PeaksMeasure[];
  readonly path = { peak_mm: 0, peak_deg: 0, at_s: 0, score: 0 };
  ticks = 0;
  starved = 0;
  last_s = 0;
  private readonly rig: Rig;
  private readonly legs: number;
  private readonly legPlaces = new Float64Array(6);
  private readonly t = emptyTelemetry();
  private readonly asked: { readonly joints: Float64Array; readonly between: Float64Array };
  private readonly askedPose: MutablePose = [...HOME];
  private readonly delivered: MutablePose = [...HOME];

  constructor(rig: Rig) {
    this.rig = rig;
    this.legs = rig.platform ? 6 : 0;
    this.asked = { joints: new Float64Array(rig.joints.length), between: new Float64Array(rig.joints.length) };
    this.joints = new JointsMeasure(rig.joints, rig.motion.tick_hz, false);
    this.reach = new ReachMeasure(rig.joints, this.legs);
    this.breaches = new Breaches(rig);
    const lone = rig.joints.slice(this.legs).map(({ name, unit }) => `${name}_${unit}`);
    this.peaks = [...(rig.platform ? POSE_KEYS : []), ...lone].map(
      (column) => new PeaksMeasure(column, column.endsWith('_deg') ? toRad(1) : 1),
    );
  }

  look(trace: Trace, f: number, at_s: number, isPlayed: boolean): void {
    const { t, rig, joints } = this;
    const n = trace.joints;
    telemetryOf(trace, f, t);
    for (let i = 0; i < n; i++) if (t.pulse_us[i] !== 0) this.breaches.joint(i, at_s, t, rig.motion.tick_hz);
    const { asked } = this;
    for (let i = 0, at = f * n; i < n; i++, at++) {
      asked.joints[i] = trace.joint.askedJoints[at]!;
      asked.between[i] = trace.joint.between[at]!;
    }
    if (isPlayed) {
      joints.add(at_s, t);
      this.last_s = at_s;
      this.ticks += t.ticks;
      this.reach.look(at_s, asked, trace.stops[trace.frame.stop[f]! - 1] ?? null);
      joints.compare(at_s, t, asked);
      this.lookAtPath(trace, f, at_s);
      this.lookAtPeaks(trace, f, at_s);
    }
    joints.past(at_s, t, asked);
  }

  private lookAtPath({ pose, frame }: Trace, f: number, at_s: number): void {
    if (this.legs === 0) return;
    const { path, legPlaces, t } = this;
    const { askedPose: asked, delivered } = this;
    for (let k = 0; k < 6; k++) {
      asked[k] = pose.asked[6 * f + k]!;
      delivered[k] = pose.delivered[6 * f + k]!;
    }
    if (Number.isNaN(delivered[0])) return this.breaches.assembly(at_s);
    for (let i = 0; i < 6; i++) legPlaces[i] = t.position[i]!;
    if (!(frame.rodEnd[f]! < this.breaches.mostTiltSine - NEARLY)) this.breaches.rodEnds(at_s, delivered, legPlaces);
    const { mm, rad } = poseDistance(asked, delivered);
    const score = Math.max(mm / TOLERANCE.mm, toDeg(rad) / TOLERANCE.deg);
    path.peak_mm = Math.max(path.peak_mm, mm);
    path.peak_deg = Math.max(path.peak_deg, toDeg(rad));
    if (score > path.score) [path.score, path.at_s] = [score, at_s];
  }

  private lookAtPeaks({ pose, joint, joints: n }: Trace, f: number, at_s: number): void {
    const first = this.legs > 0 ? 6 : 0;
    for (let k = 0; k < first; k++) this.peaks[k]!.look(at_s, pose.asked[6 * f + k]!, pose.delivered[6 * f + k]!);
    for (let i = this.legs; i < n; i++)
      this.peaks[first + i - this.legs]!.look(at_s, joint.askedJoints[f * n + i]!, joint.position[f * n + i]!);
  }
}

/** @param name the take's */
export function replayedAnswer(rig: Rig, { rows, trace, fell, exact }: Judged, name: string): Answer {
  const pass = new Pass(rig);
  const first_s = rows.stream.time(0);
  const [delay_ms, wobble_ms] = [rig.motion.playback_delay_ms, wobbleDelay_ms(rig)];
  // What was to be played then, by the playback clock: what the queue did not have.
  const early = Math.round(((lookAhead_us(rig.motion) / 1000 + wobble_ms) * 50) / 1000);
  for (let f = 0; f < trace.count; f++) pass.look(trace, f, trace.t_s[f]! - first_s, f < trace.played);
  for (let f = 0; f < trace.played - early - 1; f++) pass.starved += trace.frame.starved[f]!;
  for (let f = 0; f < trace.played; f++) pass.reach.unreachable += trace.frame.unreachable[f]!;
  pass.joints.endPast();
  const tripped = trace.frame.tripped.findIndex((why) => why > 0);
  if (tripped >= 0)
    pass.breaches.tripped(trace.t_s[tripped]! - first_s, TRIPS[trace.frame.tripped[tripped]!] ?? 'unknown reason');
  const metal = metalOf(rig, trace, { fell, exact }, first_s);
  const joints = rig.joints.map((_, i) => pass.joints.answer(i, metalJoint(trace, i)));
  const { reach, breaches, starved } = pass;
  const { peak_mm, peak_deg, at_s } = pass.path;
  const path = { peak_mm, peak_deg, at_s };
  const isClean = starved + reach.unreachable + reach.beyond.length + breaches.count === 0;
  return {
    ok: isClean && withinTolerance({ path, tolerance: TOLERANCE }) && followsOnMetal({ joints, metal }),
    rig: rig.name,
    stream: name,
    target: 'sim',
    proven: 'simulation',
    seconds: pass.last_s,
    ticks: pass.ticks,
    frames: rows.stream.count,
    lost: 0,
    late: 0,
    starved,
    unreachable: reach.unreachable,
    out_of_reach: reach.share(pass.ticks),
    stopped_by: reach.stoppedBy,
    beyond: reach.beyond,
    delay_ms: delay_ms + wobble_ms,
    look_ahead_ms: lookAhead_us(rig.motion) / 1000,
    wobble_ms,
    latency_ms: NOTHING,
    tick_us: null,
    path,
    tolerance: TOLERANCE,
    joints,
    speed_peaks: pass.peaks.map((column) => column.answer()),
    breaches: breaches.list,
    breach_count: breaches.count,
    responses: null,
    response_faults: null,
    metal,
  };
}

function metalOf(
  rig: Rig,
  { frame, t_s, played }: Trace,
  { fell, exact }: Pick<Judged, 'fell' | 'exact'>,
  first_s: number,
): Answer['metal'] {
  const at = frame.fallen.subarray(0, played).findIndex((what) => what > 0);
  const what = fell ?? '';
  const at_s = at < 0 ? 0 : t_s[at]! - first_s;
  return {
    falls: at >= 0 && frame.fallen[at] === 1 ? { what, at_s } : null,
    unsure: at >= 0 && frame.fallen[at] === 2 ? { what, at_s, look_at: unlikelyFigures(rig) } : null,
    peak_a: null,
    taken_exact: exact,
    rests_on: [],
  };
}

/** What the four questions ask of the metal; figures that they do not ask for are 0. */
function metalJoint({ joint, joints: n, played }: Trace, i: number): MetalJoint {
  let [saturated_ms, use]: [number, number | null] = [0, 0];
  for (let f = 0; f < played; f++) {
    saturated_ms += joint.saturated_ms[f * n + i]!;
    const used = joint.use[f * n + i]!;
    if (used === Infinity) use = null;
    else if (use !== null && used > use) use = used;
  }
  return {
    falls_at_s: null,
    saturated_ms,
    peak_use: use,
    tracking_error: 0,
    tracking_error_at_s: 0,
    beyond_rest: 0,
    pushes: 1,
    overrun: 0,
    wobble: 0,
  };
}

/**
 * The list of limits broken, with the small excess that f32 and whole microseconds allow. A broken
 * limit is counted at every telemetry and listed once a second; motion state is judged, not pulses, but a pulse has its range.
 */
import type { Telemetry } from '../controller/messages.ts';
import { tiltSinesInto } from '../physics/kinematics/inverse.ts';
import { type Joint, type Pose, type Rig, toDeg, toRad, toShown } from '../rig/rig.ts';
import { failureWords } from '../rig/response-limits.ts';
import type { Breach, When } from './result.ts';
import { whenWords } from './words.ts';

/** What rounding may add: a share of a rate limit (of a fading one as it is at rest), and shown units past a soft limit (deg or mm). */
const RATE_EXCESS = 0.002;
const LIMIT_EXCESS = 1e-4;
const ROD_END_EXCESS_RAD = toRad(0.05);
const LISTED = 100;

export class Breaches {
  readonly list: Breach[] = [];
  count = 0;
  private readonly tiltSines = new Float64Array(12);
  /** Sine of the tilt that no rod end may pass. */
  readonly mostTiltSine: number;
  private readonly allowed: { lo: number; hi: number; speed: number }[];

  private readonly rig: Rig;

  constructor(rig: Rig) {
    this.rig = rig;
    const most_rad = (rig.platform?.rod_end_rad ?? Infinity) + ROD_END_EXCESS_RAD;
    // Beyond square there is no tilt.
    this.mostTiltSine = most_rad < Math.PI / 2 ? Math.sin(most_rad) : 1;
    this.allowed = rig.joints.map((joint) => {
      const slack = joint.unit === 'deg' ? toRad(LIMIT_EXCESS) : LIMIT_EXCESS;
      return { lo: joint.lo - slack, hi: joint.hi + slack, speed: joint.speed * (1 + RATE_EXCESS) };
    });
  }

  /** What joint i did since the last telemetry, at hz ticks a second. */
  joint(i: number, at_s: number, t: Telemetry, hz: number): void {
    const allowed = this.allowed[i]!;
    const joint = this.rig.joints[i]!;
    const [least_us, most_us] = joint.range_us;
    const pulse_us = t.pulse_us[i]!;
    const rise = t.rise[i]! * hz;
    const fall = t.fall[i]! * hz;
    const plus = t.plus[i]! * hz * hz;
    const minus = -t.minus[i]! * hz * hz;
    // Which tick had the greatest plus is not known; none was slower upward than `fall`, and none downward than `rise`.
    const most = joint.plus * (1 - Math.max(0, fall) / joint.plus_gone);
    const least = joint.minus * (1 - Math.max(0, -rise) / joint.minus_gone);
    if (!(t.lowest[i]! >= allowed.lo)) this.add(at_s, joint, 'soft_limit', t.lowest[i]!);
    if (!(t.highest[i]! <= allowed.hi)) this.add(at_s, joint, 'soft_limit', t.highest[i]!);
    if (!(rise <= allowed.speed)) this.add(at_s, joint, 'speed', rise);
    if (!(-fall <= allowed.speed)) this.add(at_s, joint, 'speed', fall);
    if (!(plus <= most + joint.plus * RATE_EXCESS)) this.add(at_s, joint, 'plus', plus, most);
    if (!(minus <= least + joint.minus * RATE_EXCESS)) this.add(at_s, joint, 'minus', minus, least);
    if (!(pulse_us >= least_us && pulse_us <= most_us)) this.add(at_s, joint, 'pulse', pulse_us);
  }

  guard(at_s: number, t: Telemetry): void {
    if (t.joints !== this.rig.joints.length && t.joints !== 0)
      this.note(
        at_s,
        'guard',
        'silence',
        `telemetry reports ${String(t.joints)} joints, the rig has ${String(this.rig.joints.length)}`,
      );
  }

  /** Delivered cranks: their rod ends. */
  rodEnds(at_s: number, pose: Pose, cranks: Float64Array): void {
    const { platform } = this.rig;
    if (!platform || platform.rod_end_rad === null) return;
    tiltSinesInto(platform, cranks, pose, this.tiltSines);
    for (let k = 0; k < this.tiltSines.length; k++) {
      const sine = this.tiltSines[k]!;
      if (sine <= this.mostTiltSine) continue;
      const leg = `leg${String((k >> 1) + 1)}`;
      const deg = (rad: number): string => toDeg(rad).toFixed(2);
      this.note(
        at_s,
        leg,
        'rod_end',
        () =>
          `a rod end of ${leg} tilts ${deg(Math.asin(sine))} deg, its limit is ${deg(platform.rod_end_rad ?? 0)} deg`,
      );
    }
  }

  assembly(at_s: number): void {
    this.note(at_s, 'path', 'assembly', 'no pose of the plate fits the six delivered legs');
  }

  tripped(at_s: number, reason: string): void {
    this.note(at_s, 'guard', 'tripped', `the controller tripped: ${reason}`);
  }

  responseFailed({ cause, at_s, up_s }: When & { readonly cause: 'fuel' | 'trap' }, tick_hz: number): void {
    const before = at_s === null ? ` ${whenWords({ at_s, up_s })}` : '';
    const message = `a response failed${before}: ${failureWords(cause, tick_hz)}; responses are switched off, and the prop settles`;
    this.note(at_s ?? 0, 'guard', 'tripped', message);
  }

  gaveUp(at_s: number, hold_s: number): void {
    this.note(
      at_s,
      'guard',
      'silence',
      `no frame arrived in time for ${String(hold_s)} s: the controller settled the prop`,
    );
  }

  silent(state: string): void {
    this.note(0, 'link', 'silence', `the stream never played: the controller is ${state}`);
  }

  /** accel: what is left of a limit that fades, at that speed. */
  private add(
    at_s: number,
    joint: Joint,
    what: 'soft_limit' | 'speed' | 'plus' | 'minus' | 'pulse',
    value: number,
    accel = 0,
  ): void {
    const unit = joint.unit;
    const shown = (v: number): string => toShown(joint, v).toFixed(3);
    const texts = {
      soft_limit: () =>
        `${joint.name} is at ${shown(value)} ${unit}, its soft limits are ${shown(joint.lo)} to ${shown(joint.hi)} ${unit}`,
      speed: () => `${joint.name} moves at ${shown(value)} ${unit}/s, its limit is ${shown(joint.speed)} ${unit}/s`,
      plus: () => `${joint.name} accelerates by +${shown(value)} ${unit}/s², its limit is ${shown(accel)} ${unit}/s²`,
      minus: () => `${joint.name} accelerates by -${shown(value)} ${unit}/s², its limit is ${shown(accel)} ${unit}/s²`,
      pulse: () => `${joint.name} has a pulse of ${String(value)} µs, its range is ${joint.range_us.join(' to ')} µs`,
    };
    this.note(at_s, joint.name, what, texts[what]);
  }

  private note(at_s: number, where: string, what: Breach['what'], message: string | (() => string)): void {
    this.count++;
    if (
      this.list.length >= LISTED ||
      this.list.some((breach) => breach.where === where && breach.what === what && at_s - breach.at_s < 1)
    )
      return;
    this.list.push({ at_s, where, what, message: typeof message === 'string' ? message : message() });
  }
}

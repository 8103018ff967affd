/**
 * The rig with which a joint is moved alone: that joint on its pin, with its own pulses, slow, within the span that it may be moved
 * through now. The controller's protections hold as for any rig; a leg's servo is a plain axis here.
 */
import { slowSpeed } from '../controller/slowed.ts';
import type { Joint, Rig } from '../rig/rig.ts';
import { positionAt } from '../rig/pulse.ts';
import { toRad } from '../rig/rig.ts';

/** Gentle, and yet stopped within 0.7 deg or 0.5 mm where it binds (ours), rad/s² and mm/s². */
const GENTLE = { deg: toRad(300), mm: 100 } as const;
/** Fewer ticks a second than the controller takes make no sense. */
const LEAST_HZ = 50;
/** Frames come every 20 ms: two of them. */
const DELAY_MS = 40;

export interface Span {
  readonly lo: number;
  readonly hi: number;
}

/** What the servo's pulses allow, rad or mm. */
export function pulseSpan(joint: Joint): Span {
  const [a, b] = joint.range_us.map((us) => positionAt(joint, us)) as [number, number];
  return { lo: Math.min(a, b), hi: Math.max(a, b) };
}

/** Of the controller's bounds, so much is asked: it then follows without lag, and goes past nothing. */
const ASKED = { speed: 0.95, accel: 0.5 } as const;

/** Speed and acceleration that a joint on the bench is asked for, rad or mm. */
export const paceOf = ({ speed, plus, minus }: Joint): { readonly speed: number; readonly accel: number } => ({
  speed: ASKED.speed * speed,
  accel: ASKED.accel * Math.min(plus, minus),
});

/** @param wake_at where the joint is at its first pulse, and where it settles; within the span. Rad or mm. */
export function benchRig(rig: Rig, joint: Joint, { lo, hi }: Span, wake_at: number): Rig {
  const gentle = GENTLE[joint.unit];
  const alone: Joint = {
    ...joint,
    kind: 'axis',
    lo,
    hi,
    rest: wake_at,
    home: wake_at,
    speed: Math.min(joint.speed, slowSpeed(joint)),
    plus: Math.min(joint.plus, gentle),
    minus: Math.min(joint.minus, gentle),
    plus_gone: Infinity,
    minus_gone: Infinity,
    axis: null,
    at_mm: null,
    load: null,
  };
  const frame_hz = joint.servo.frame_hz;
  return {
    ...rig,
    name: `${rig.name}, ${joint.name} alone`,
    platform: null,
    parts: [],
    joints: [alone],
    motion: {
      tick_hz: frame_hz * Math.ceil(LEAST_HZ / frame_hz),
      playback_delay_ms: DELAY_MS,
      look_ahead_ms: 0,
      pose_speed: [null, null, null, null, null, null],
      hold_s: rig.motion.hold_s,
      wobble: { cure: 'none', hz: null, damping: null },
    },
    rest: 'on_stop',
  };
}

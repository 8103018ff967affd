/**
 * Makes a joint follow its target's position and velocity within speed, plus, minus and soft limits. A target that moves
 * inside the limits comes out unchanged; only the excess is held back. Bounds hold at every tick, whatever the target does.
 */
import { JointState, joint } from './layout';
import { clamp, magnitude, nearest } from './kernels';

/** Braking is planned with a little less than the limit, so that f32 rounding does not exceed it. */
const PLANNED: f32 = 0.998;
/** Least share of the limit that is left for catching up while the target itself accelerates. */
const LEAST_BUDGET: f32 = 0.02;
/** Further from its target than this after a tick (rad or mm): the limits changed the motion. */
const FOLLOWED: f32 = 2e-5;

/**
 * Largest next step that can still stop within distance s, braking by at most D a tick: with m = the braking ticks needed,
 * the exact stopping distance of a step u is m·u - D·m(m-1)/2. Continuous where m changes, so a misrounded m is harmless.
 */
function stoppingStep(s: f32, D: f32, twoOverD: f32): f32 {
  if (s <= D) return s;
  const m = nearest(sqrt<f32>(s * twoOverD + <f32>0.25));
  return s / m + <f32>0.5 * D * (m - <f32>1.0);
}

/** Sets the per-tick limits from per-second ones. Coordinate units; hz ticks a second; plus_gone, minus_gone: 0 for never. */
export function setLimits(
  j: JointState,
  lo: f32,
  hi: f32,
  speed: f32,
  slow: f32,
  plus: f32,
  minus: f32,
  plus_gone: f32,
  minus_gone: f32,
  hz: f32,
): void {
  j.lo = lo;
  j.hi = hi;
  j.fast = speed / hz;
  j.slow = (slow < speed ? slow : speed) / hz;
  j.speed = j.slow;
  j.plus = plus / (hz * hz);
  j.minus = minus / (hz * hz);
  j.half_over_plus = <f32>0.5 / (j.plus * PLANNED);
  j.half_over_minus = <f32>0.5 / (j.minus * PLANNED);
  j.fades = u32(plus_gone > 0 || minus_gone > 0);
  j.plus_fade = plus_gone > 0 ? plus / (plus_gone * hz) : 0;
  j.minus_fade = minus_gone > 0 ? minus / (minus_gone * hz) : 0;
  j.plus_keep = <f32>1.0 / (<f32>1.0 + j.plus_fade);
  j.minus_keep = <f32>1.0 / (<f32>1.0 + j.minus_fade);
}

/**
 * The most and the least that the next step may be after a step, by acceleration alone. Where plus fades with speed it is
 * plus - fade·u at the next step u itself, so that the bound holds at the end of the tick too; braking does not fade.
 */
// @ts-ignore: decorator
@inline function mostAfter(j: JointState, step: f32): f32 {
  const u = step + j.plus;
  return j.fades && u > 0 ? u * j.plus_keep : u;
}
// @ts-ignore: decorator
@inline function leastAfter(j: JointState, step: f32): f32 {
  const u = step - j.minus;
  return j.fades && u < 0 ? u * j.minus_keep : u;
}

/** Puts a joint at rest somewhere inside its limits. */
export function place(j: JointState, pos: f32): void {
  j.pos = pos;
  j.step = 0;
  j.target = pos;
  j.target_before = pos;
  j.target_step = 0;
  j.target_trust = 0;
  j.out = pos;
  j.out_step = 0;
}

/** Whether it certainly can stop before its soft limit after a step u: u + u²/2D is never less than the stopping distance. */
// @ts-ignore: decorator
@inline function stops(j: JointState, u: f32): bool {
  if (u > 0) return j.hi - j.pos >= u + j.half_over_minus * (u * u);
  if (u < 0) return j.pos - j.lo >= j.half_over_plus * (u * u) - u;
  return true;
}

/** Equal to the last bit: cheaper than to compare them as floats, where a chip has none. */
// @ts-ignore: decorator
@inline function same(a: f32, b: f32): bool {
  return reinterpret<u32>(a) == reinterpret<u32>(b);
}

/** One tick of one joint: moves pos toward target. The target lies within the soft limits. */
export function track(j: JointState): void {
  const target = j.target;
  const was = j.target_before;
  let wish = target - was;
  const wished = j.target_step;
  const before = j.step;
  const followed = same(was, j.pos) && same(before, wished);
  j.target_step = wish;
  j.target_before = target;
  const minus = j.minus;
  const plus = j.plus;
  // Most joints' limits do not fade: written out, it costs them nothing.
  let most = before + plus;
  let least = before - minus;
  if (j.fades) {
    most = mostAfter(j, before);
    least = leastAfter(j, before);
  }

  // On its target, with the target's speed, which changes within the limits: the usual case, and it goes on so.
  if (followed && wish <= most && wish >= least && magnitude(wish) <= j.speed && stops(j, wish)) {
    j.target_trust = wish;
    j.pos = target;
    j.step = wish;
    return;
  }
  let gain = wish - wished;
  let behind = was - j.pos;

  // A change of speed beyond the limits may be a jump: distance to make good rather than a velocity to follow. It is
  // believed as fast as the joint could follow it, and standing still at once.
  const trusted = j.target_trust;
  j.target_trust = wish;
  if (wish > mostAfter(j, wished) || wish < leastAfter(j, wished)) {
    gain = 0;
    if (wish != 0) {
      behind += wish - trusted;
      j.target_trust = clamp(wish, leastAfter(j, trusted), mostAfter(j, trusted));
      wish = trusted;
    }
  }

  // Relative to the moving target: the step that closes the gap and can still stop there. What the target's own
  // acceleration takes of the limit, and what fades of it at the target's speed, is not there for braking.
  let u = wish;
  if (behind > 0) {
    let spare = gain < 0 ? minus + gain : minus;
    if (j.fades && wish < 0) spare += j.minus_fade * wish;
    if (behind <= spare * PLANNED) u += behind;
    else {
      const D = PLANNED * (spare > minus * LEAST_BUDGET ? spare : minus * LEAST_BUDGET);
      u += stoppingStep(behind, D, <f32>2.0 / D);
    }
  } else if (behind < 0) {
    let spare = gain > 0 ? plus - gain : plus;
    if (j.fades && wish > 0) spare -= j.plus_fade * wish;
    if (-behind <= spare * PLANNED) u += behind;
    else {
      const D = PLANNED * (spare > plus * LEAST_BUDGET ? spare : plus * LEAST_BUDGET);
      u -= stoppingStep(-behind, D, <f32>2.0 / D);
    }
  }

  // Speed; where the limit was lowered in motion, braking down to it.
  const top = j.speed;
  let fastest = top,
    slowest = -top;
  if (before > top) fastest = before - minus > top ? before - minus : top;
  if (before < -top) slowest = before + plus < -top ? before + plus : -top;
  if (u > fastest) u = fastest;
  if (u < slowest) u = slowest;

  // Soft limits, by braking in time.
  if (!stops(j, u)) {
    if (u > 0) {
      const end = stoppingStep(j.hi - j.pos, minus * PLANNED, <f32>4.0 * j.half_over_minus);
      if (u > end) u = end;
    } else {
      const end = -stoppingStep(j.pos - j.lo, plus * PLANNED, <f32>4.0 * j.half_over_plus);
      if (u < end) u = end;
    }
  }

  // Acceleration last: it is what breaks gears.
  if (u > most) u = most;
  if (u < least) u = least;

  // Where nothing held it back it is there exactly, not within a rounding.
  j.pos = u == wish + behind ? target : j.pos + u;
  j.step = u;
}

/** True when the last tick left the joint somewhere else than asked. */
// @ts-ignore: decorator
@inline export function heldBack(j: JointState): bool {
  return !same(j.target, j.pos) && magnitude(j.target - j.pos) > FOLLOWED;
}

/** True when the joint stands still at its target, and the wobble filter has nothing more to bring. */
// @ts-ignore: decorator
@inline export function arrived(j: JointState): bool {
  return j.step == 0 && !heldBack(j) && j.out_step == 0 && j.out == j.pos;
}

/** Tracks every joint of the rig. */
export function trackAll(count: i32): void {
  for (let i = 0; i < count; i++) track(joint(i));
}

/**
 * Makes a joint follow its target's position and velocity within speed, plus, minus and soft limits. A target that moves
 * inside the limits comes out unchanged; only the excess is held back. Bounds hold at every tick, whatever the target does.
 */
import { JointImage, JointState } from './layout';
import { cellAt, cellAfter, waiting } from './ring';
import { clamp, magnitude, nearest, ordered } from './kernels';

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

/** Sets the per-tick limits from the image's, which are per second. hz: ticks a second. */
export function setLimits(j: JointState, its: JointImage, hz: f32): void {
  j.lo = its.lo;
  j.hi = its.hi;
  j.fast = its.speed / hz;
  j.slow = (its.slow < its.speed ? its.slow : its.speed) / hz;
  j.speed = j.slow;
  j.plus = its.plus / (hz * hz);
  j.minus = its.minus / (hz * hz);
  j.half_over_plus = <f32>0.5 / (j.plus * PLANNED);
  j.half_over_minus = <f32>0.5 / (j.minus * PLANNED);
  j.fades = u32(its.plus_gone > 0 || its.minus_gone > 0);
  j.plus_fade = its.plus_gone > 0 ? its.plus / (its.plus_gone * hz) : 0;
  j.minus_fade = its.minus_gone > 0 ? its.minus / (its.minus_gone * hz) : 0;
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

/** Whether it certainly can stop before its soft limit after a step u from pos: u + u²/2D is never less than the stopping distance. */
// @ts-ignore: decorator
@inline function stops(j: JointState, pos: f32, u: f32): bool {
  if (u > 0) return j.hi - pos >= u + j.half_over_minus * (u * u);
  if (u < 0) return pos - j.lo >= j.half_over_plus * (u * u) - u;
  return true;
}

/** Equal to the last bit: cheaper than to compare them as floats, where a chip has none. */
// @ts-ignore: decorator
@inline function same(a: f32, b: f32): bool {
  return reinterpret<u32>(a) == reinterpret<u32>(b);
}

/** Goes on with its target where it is on it, with its speed, and its step is known to be one that it can follow. */
// @ts-ignore: decorator
@inline export function goesOn(j: JointState): bool {
  const was = j.target_before;
  const wished = j.target_step;
  if (!same(was, j.pos) || !same(j.step, wished)) return false;
  const target = j.target;
  const wish = target - was;
  j.target_before = target;
  j.target_step = wish;
  j.target_trust = wish;
  j.pos = target;
  j.step = wish;
  return true;
}

/** Whether a target at rest or in motion can be followed on to the next: its step changes within the limits, and it can still stop. */
// @ts-ignore: decorator
@inline export function followable(j: JointState, from: f32, before: f32, step: f32): bool {
  let most = before + j.plus;
  let least = before - j.minus;
  if (j.fades) {
    most = mostAfter(j, before);
    least = leastAfter(j, before);
  }
  return step <= most && step >= least && magnitude(step) <= j.speed && stops(j, from, step);
}

/** The highest of the target that is due and the n after it, or the first that is `enough`; flip: sign bit, where down is up. */
function furthest(j: JointState, newest: usize, n: u32, enough: f32, flip: u32): f32 {
  const stop = ordered(enough);
  let best = reinterpret<u32>(j.target) ^ flip;
  let most = ordered(reinterpret<f32>(best));
  let cell = newest;
  for (let i: u32 = 0; i < n && most < stop; i++) {
    cell = cellAfter(cell);
    const next = load<u32>(cell) ^ flip;
    if (ordered(reinterpret<f32>(next)) < most) continue;
    best = next;
    most = ordered(reinterpret<f32>(next));
  }
  return reinterpret<f32>(best);
}

/**
 * The step u, or as much of it as can still stop at the furthest target within the braking time. Where the look-ahead is
 * shorter than that and the furthest target is the last that is known, it is taken to go on as fast. newest: where it stands.
 */
function stoppable(j: JointState, newest: usize, u: f32, most: f32, least: f32): f32 {
  const up = u > 0;
  const flip: u32 = up ? 0 : 0x80000000;
  let v: f32 = up ? (u < most ? u : most) : -(u > least ? u : least);
  if (v > j.speed) v = j.speed;
  if (!(v > 0)) return u;
  const pos = up ? j.pos : -j.pos;
  const half = up ? j.half_over_minus : j.half_over_plus;
  const braking = <f32>2.0 * half * v;
  const short = !(braking < f32(waiting()));
  const n = short ? waiting() : u32(braking) + 1;
  const enough = pos + (v + half * v * v);
  const last = reinterpret<f32>(load<u32>(cellAt(newest, n)) ^ flip);
  if (last >= enough) return u;
  const goal = furthest(j, newest, n, enough, flip);
  if (goal >= enough) return u;
  const s = goal - pos;
  let end: f32;
  if (s > 0) end = stoppingStep(s, PLANNED * (up ? j.minus : j.plus), <f32>4.0 * half);
  else
    end = -stoppingStep(-s, PLANNED * (up ? j.plus : j.minus), <f32>4.0 * (up ? j.half_over_plus : j.half_over_minus));
  if (short && goal == last) {
    const before = n > 1 ? load<u32>(cellAt(newest, n - 1)) : reinterpret<u32>(j.target);
    const going = last - reinterpret<f32>(before ^ flip);
    if (going > 0) end += going;
  }
  if (up) return u < end ? u : end;
  return u > -end ? u : -end;
}

/** The step that keeps up with the moving target, and closes what is left to it, `behind`, so that it can stop there. */
// @ts-ignore: decorator
@inline function chase(j: JointState, wish: f32, gain: f32, behind: f32): f32 {
  // What the target's own acceleration takes of the limit, and what fades of it at the target's speed, is not there for braking.
  const plus = j.plus,
    minus = j.minus;
  if (behind > 0) {
    let spare = gain < 0 ? minus + gain : minus;
    if (j.fades && wish < 0) spare += j.minus_fade * wish;
    if (behind <= spare * PLANNED) return wish + behind;
    const D = PLANNED * (spare > minus * LEAST_BUDGET ? spare : minus * LEAST_BUDGET);
    return wish + stoppingStep(behind, D, <f32>2.0 / D);
  }
  if (behind < 0) {
    let spare = gain > 0 ? plus - gain : plus;
    if (j.fades && wish > 0) spare -= j.plus_fade * wish;
    if (-behind <= spare * PLANNED) return wish + behind;
    const D = PLANNED * (spare > plus * LEAST_BUDGET ? spare : plus * LEAST_BUDGET);
    return wish - stoppingStep(-behind, D, <f32>2.0 / D);
  }
  return wish;
}

/** One tick of one joint: moves pos toward target. The target lies within the soft limits. newest: its place in the row of the newest targets, 0 without look-ahead. */
export function track(j: JointState, newest: usize): void {
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

  let behind = was - j.pos;
  let u = wish;
  // On its target, with the target's speed, which changes within the limits: it goes on so, if nothing ahead speaks against it.
  const follows = followed && wish <= most && wish >= least && magnitude(wish) <= j.speed && stops(j, was, wish);
  if (follows) j.target_trust = wish;
  else {
    let gain = wish - wished;
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
    u = chase(j, wish, gain, behind);
  }
  if (newest) u = stoppable(j, newest, u, most, least);
  if (follows && same(u, wish)) {
    j.pos = target;
    j.step = wish;
    return;
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
  if (!stops(j, j.pos, u)) {
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

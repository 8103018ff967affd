/**
 * The playback clock: turns the queued frames into what is asked at this tick. Between frames a cubic Hermite whose slopes
 * are limited so that it never leaves the range of its two frames (Fritsch & Carlson, SIAM J. Numer. Anal. 17(2), 1980);
 * the slope is 0 at the ends of what is known, so a starved joint comes to rest by itself.
 */
import { FRAME_VALUES_AT, Frame, GOAL, SLOPE_A, SLOPE_B, VALUES, at, put } from './layout';
import { magnitude } from './kernels';
import { dropFrames, queued, queuedFrame, since } from './queue';


@unmanaged
class Segment {
  /** Instant of the frame that it ends with, and whether SLOPE_A and SLOPE_B belong to it. */
  to_us: u32;
  ready: bool;
}
const SEGMENT: usize = memory.data(i32(offsetof<Segment>()));
// @ts-ignore: decorator
@inline function segment(): Segment {
  return changetype<Segment>(SEGMENT);
}

export function restartPlayback(): void {
  segment().ready = false;
}

// @ts-ignore: decorator
@inline function valuesOf(frame: Frame): usize {
  return changetype<usize>(frame) + FRAME_VALUES_AT;
}

// @ts-ignore: decorator
@inline function apart_us(later: Frame, earlier: Frame): f32 {
  return f32(since(later.at_us, earlier.at_us));
}

/** Slope per us at frame b between its neighbours: the three-point derivative, limited. count values. */
function slopesAt(a: Frame, b: Frame, c: Frame, count: i32, out: usize): void {
  const h0 = apart_us(b, a);
  const h1 = apart_us(c, b);
  const per0 = <f32>1.0 / h0;
  const per1 = <f32>1.0 / h1;
  const per01 = <f32>1.0 / (h0 + h1);
  const va = valuesOf(a),
    vb = valuesOf(b),
    vc = valuesOf(c);
  for (let i = 0; i < count; i++) {
    const middle = at(vb, i);
    const s0 = (middle - at(va, i)) * per0;
    const s1 = (at(vc, i) - middle) * per1;
    let m: f32 = 0;
    if (s0 * s1 > 0) {
      m = (h1 * s0 + h0 * s1) * per01;
      const a0 = magnitude(s0),
        a1 = magnitude(s1);
      const most = <f32>3.0 * (a0 < a1 ? a0 : a1);
      if (magnitude(m) > most) m = m < 0 ? -most : most;
    }
    put(out, i, m);
  }
}

/** Brings the segment up to the instant: frames already passed are dropped, the slopes of the new ends found. */
function advance(play_us: u32, count: i32): void {
  let passed: u32 = 0;
  const n = queued();
  while (passed + 1 < n && since(queuedFrame(passed + 1).at_us, play_us) <= 0) passed++;
  const s = segment();
  if (passed == 0 && s.ready && queuedFrame(1).at_us == s.to_us) return;
  if (passed + 1 >= n) {
    // Nothing newer: stand on the last frame. Whatever follows it starts from rest.
    dropFrames(passed);
    s.ready = false;
    return;
  }
  // A late frame may have come in between: its segments have slopes of their own, or they would overshoot.
  if (s.ready && passed == 1 && queuedFrame(1).at_us == s.to_us) memory.copy(SLOPE_A, SLOPE_B, usize(VALUES) * 4);
  else if (passed > 0) slopesAt(queuedFrame(passed - 1), queuedFrame(passed), queuedFrame(passed + 1), count, SLOPE_A);
  else memory.fill(SLOPE_A, 0, usize(VALUES) * 4);
  if (passed + 2 < n) slopesAt(queuedFrame(passed), queuedFrame(passed + 1), queuedFrame(passed + 2), count, SLOPE_B);
  else memory.fill(SLOPE_B, 0, usize(VALUES) * 4);
  dropFrames(passed);
  s.to_us = queuedFrame(1).at_us;
  s.ready = true;
}

/**
 * Sets GOAL to what is asked at play_us, for the pose and the joints up to count values. Values that no frame names stay.
 * Returns whether there is a newer frame to play toward.
 */
export function play(play_us: u32, count: i32): bool {
  if (queued() == 0) return false;
  // Not before the first frame's instant: until then more frames may come that shape its segment.
  if (since(play_us, queuedFrame(0).at_us) < 0) return true;
  advance(play_us, count);
  const a = queuedFrame(0);
  const since_a = since(play_us, a.at_us);
  const va = valuesOf(a);
  if (queued() == 1) {
    setGoal(a.mask, va, count);
    return false;
  }
  const b = queuedFrame(1);
  const vb = valuesOf(b);
  const h = apart_us(b, a);
  const u = f32(since_a) / h;
  const v = u * u * (<f32>3.0 - <f32>2.0 * u);
  const ma = u * (<f32>1.0 - u) * (<f32>1.0 - u) * h;
  const mb = u * u * (u - <f32>1.0) * h;
  for (let i = 0; i < 6; i++) hermite(va, vb, i, v, ma, mb);
  for (let i = 6; i < count; i++) {
    const bit = u32(1) << u32(i - 6);
    if (a.mask & b.mask & bit) hermite(va, vb, i, v, ma, mb);
    // Named by the first frame only: it stays there.
    else if (a.mask & bit) put(GOAL, i, at(va, i));
  }
  return true;
}

/** GOAL's i-th value between two frames: v is the share of the way, ma and mb weigh the slopes at both ends. */
// @ts-ignore: decorator
@inline function hermite(va: usize, vb: usize, i: i32, v: f32, ma: f32, mb: f32): void {
  const from = at(va, i);
  put(GOAL, i, from + (at(vb, i) - from) * v + ma * at(SLOPE_A, i) + mb * at(SLOPE_B, i));
}

function setGoal(mask: u16, values: usize, count: i32): void {
  for (let i = 0; i < count; i++) if (i < 6 || mask & (u32(1) << u32(i - 6))) put(GOAL, i, at(values, i));
}

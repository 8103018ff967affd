/**
 * Idle life between shows: small looks about home, blinks, breath, frame by frame. Seeded: the same seed gives the same life, to the bit.
 *
 * Sources, as in host/stage/take/idle.ts. Blinks: 17 a minute at rest (A. R. Bentivoglio and others, Movement Disorders 12(6), 1997,
 * 1028-1034), a Poisson process with a shortest pause: here a trial in every frame, whose gaps are the exponential ones in whole frames.
 * Lid: 90 ms down and 190 ms up (near F. VanderWerf and others, J Neurophysiol 89, 2003, 2784; from memory), longer where the lid's own
 * speed asks for it. Breath: 12 to 20 a minute (common knowledge of medicine), in for two fifths of it.
 */
import { VALUES, at, image, joint, jointCount, put } from '../layout';
import { magnitude } from '../kernels';
import { FRAME_US, PLAN, PLAN_BREATH_AT, PLAN_HOME_AT, PLAN_LOOK_AT, PLAN_SHUT_AT, plan } from './plan';
import { WAY_BYTES, beginQuickWay, beginWay, nextOnWay, wayFrom, wayGone, wayTo } from './way';

/** Chances in a frame, of 2^32: per minute / 3000, less the shortest pause. */
const BLINK_CHANCE: u32 = 27415230; // 1 / (50 * (60 / 17 - 0.4))
const BLINK_PAUSE: u32 = 20;
const LOOK_CHANCE: u32 = 31814573; // 1 / (50 * (60 / 20 - 0.3))
/** Frames. A look is slower than an eye's, as heads are. */
const LOOK: u32 = 15;
const CLOSING: u32 = 5;
const OPENING: u32 = 10;
/** A breath in and out, 14 a minute, each a tenth longer or shorter at most. */
const IN: u32 = 86;
const OUT: u32 = 129;


@unmanaged
class Idle {
  random: u32;
  /** Frames for which no blink begins; 0: a blink may. */
  pause: u32;
  closing: bool;
  opening: bool;
  breathing_in: bool;
}
const IDLE: usize = memory.data(i32(offsetof<Idle>()));
/** Ways of the looks (all values), of the lids' and of the breath's shares (value 0). */
const LOOKS: usize = memory.data(WAY_BYTES);
const LIDS: usize = memory.data(WAY_BYTES);
const BREATH: usize = memory.data(WAY_BYTES);
const SHARES: usize = memory.data(4 * VALUES);

// @ts-ignore: decorator
@inline function idle(): Idle {
  return changetype<Idle>(IDLE);
}

/** Power-up, or a new plan: the chances begin anew. */
export function seedIdle(): void {
  idle().random = plan().seed ? plan().seed : 1;
  for (let i = 0; i < 16; i++) random();
}

/** Begins at home, lids open, breathed out. */
export function beginIdle(): void {
  const s = idle();
  s.pause = BLINK_PAUSE;
  s.closing = s.opening = s.breathing_in = false;
  memory.fill(LOOKS, 0, WAY_BYTES);
  memory.fill(LIDS, 0, WAY_BYTES);
  memory.fill(BREATH, 0, WAY_BYTES);
  memory.copy(wayTo(LOOKS), PLAN + PLAN_HOME_AT, 4 * usize(VALUES));
}

/** G. Marsaglia, Xorshift RNGs, J. Stat. Softw. 8(14), 2003: shifts 13, 17, 5. */
function random(): u32 {
  let x = idle().random;
  x ^= x << 13;
  x ^= x >> 17;
  x ^= x << 5;
  idle().random = x;
  return x;
}

/** Even between -1 and 1. */
function either(): f32 {
  return f32(i32(random()) >> 8) * (1 / 8388608);
}

/** The next frame's values at `out`. */
export function nextIdle(out: usize): void {
  if (random() < LOOK_CHANCE && wayGone(LOOKS)) look();
  nextOnWay(LOOKS, out);
  breathe(out);
  blink(out);
}

function look(): void {
  memory.copy(wayFrom(LOOKS), wayTo(LOOKS), 4 * usize(VALUES));
  for (let i = 0; i < VALUES; i++)
    put(wayTo(LOOKS), i, at(PLAN + PLAN_HOME_AT, i) + at(PLAN + PLAN_LOOK_AT, i) * either());
  beginWay(LOOKS, LOOK);
}

function breathe(out: usize): void {
  const s = idle();
  if (wayGone(BREATH)) {
    s.breathing_in = !s.breathing_in;
    const long = s.breathing_in ? IN : OUT;
    turn(BREATH, s.breathing_in, long - long / 10 + ((random() & 0xffff) * (long / 5)) / 0x10000);
  }
  nextOnWay(BREATH, SHARES);
  const full = at(SHARES, 0);
  for (let i = 0; i < 6 + jointCount(); i++)
    if (i < 6 || u32(plan().breath_joints) & (u32(1) << u32(i - 6)))
      put(out, i, at(out, i) + full * at(PLAN + PLAN_BREATH_AT, i));
}

/** A share goes to 1, or back to 0. */
function turn(way: usize, up: bool, frames: u32): void {
  put(wayFrom(way), 0, up ? 0 : 1);
  put(wayTo(way), 0, up ? 1 : 0);
  beginQuickWay(way, frames);
}

function blink(out: usize): void {
  if (!plan().lids) return;
  const s = idle();
  if (s.pause) s.pause -= 1;
  else if (!s.closing && !s.opening && random() < BLINK_CHANCE) {
    s.closing = true;
    turn(LIDS, true, lidFrames(CLOSING));
  } else if (wayGone(LIDS) && s.closing) {
    s.closing = false;
    s.opening = true;
    turn(LIDS, false, lidFrames(OPENING));
  } else if (wayGone(LIDS) && s.opening) {
    s.opening = false;
    s.pause = BLINK_PAUSE;
  }
  nextOnWay(LIDS, SHARES);
  const down = at(SHARES, 0);
  for (let j = 0; j < jointCount(); j++)
    if (u32(plan().lids) & (u32(1) << u32(j)))
      put(out, 6 + j, at(out, 6 + j) + down * (at(PLAN + PLAN_SHUT_AT, j) - at(out, 6 + j)));
}

/** So many frames, or as many as the slowest lid needs at its own speed. */
function lidFrames(least: u32): u32 {
  let frames: f32 = f32(least);
  for (let j = 0; j < jointCount(); j++) {
    if (!(u32(plan().lids) & (u32(1) << u32(j)))) continue;
    const far = magnitude(at(PLAN + PLAN_SHUT_AT, j) - at(PLAN + PLAN_HOME_AT, 6 + j));
    // Per tick; a frame has so many ticks. 15/8: the way's greatest speed.
    const per_frame = joint(j).fast * f32(image().tick_hz) * (f32(FRAME_US) / 1000000);
    const needs = (<f32>1.875 * far) / per_frame + 1;
    if (needs > frames) frames = needs;
  }
  return u32(frames < 500 ? frames : <f32>500);
}

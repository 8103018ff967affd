/**
 * A show out of its data, frame by frame, in static memory: values anew at every segment, second differences in between
 * (DEVELOPERS.md, "Nights"). Any bytes give frames whose values a link could send, and come to an end: what they say is checked
 * by the show's CRC-32, not here.
 */
import { JOINTS, VALUES, image, jointImage } from '../layout';
import { halfPage } from './archive';
import { bitsReady, bytesTaken, openBits, takeBits, takeRice, toByte } from './bits';
import { BLOCK, HEAT, SEGMENT, SHOW_STEP_MM, SHOW_STEP_RAD, entry } from './plan';

/** A k that says: nothing but zeros. */
const STILL: u32 = 15;
/** So many steps to either side, as the link has it: 10 m of a place and 10000 deg of a joint, 458 deg of the pose. */
const MOST: i32 = 500000;
const MOST_TURN: i32 = 22900;

/** One value of the show. */
@unmanaged
class Value {
  value: i32;
  /** Its last difference. */
  step: i32;
  k: u32;
  /** It goes so far, to either side. */
  most: i32;
  /** The value in mm or rad, kept while it stands: the product is the dearest of it on a core without f32. */
  shown: f32;
  /** Its place in a frame's values. */
  place: u32;
}
const VALUE_BYTES: usize = offsetof<Value>();
const SHOWN: usize = memory.data(VALUES * i32(offsetof<Value>()), 4);
const HEATS: usize = memory.data(JOINTS);

/** How far the show is. */
@unmanaged
class Decoder {
  /** Values that it names. */
  count: u32;
  frames: u32;
  bytes: u32;
  joints: u32;
  /** Number of the next frame, in the show and in its segment; and until the next block of the segment. */
  frame: u32;
  in_segment: u32;
  to_block: u32;
  spoilt: bool;
}
const DECODER: usize = memory.data(i32(offsetof<Decoder>()));
// @ts-ignore: decorator
@inline function decoder(): Decoder {
  return changetype<Decoder>(DECODER);
}
// @ts-ignore: decorator
@inline function shown(i: u32): Value {
  return changetype<Value>(SHOWN + usize(i) * VALUE_BYTES);
}

/** The show of the entry, from its beginning, for the rig in force. */
export function openShow(): void {
  const show = entry();
  memory.fill(DECODER, 0, offsetof<Decoder>());
  const d = decoder();
  d.joints = min(u32(image().joint_count), u32(JOINTS));
  for (let left = show.values & ((u32(1) << (6 + d.joints)) - 1); left; left &= left - 1) {
    const v = shown(d.count);
    d.count += 1;
    v.place = ctz(left);
    v.most = v.place >= 3 && v.place < 6 ? MOST_TURN : MOST;
  }
  d.frames = show.frames;
  d.bytes = show.bytes;
  memory.fill(HEATS, 0, JOINTS);
  openBits(halfPage() + show.page, show.bytes);
}

/** Whether the last frame has been given, or the data said more than it holds. */
export function ended(): bool {
  return decoder().frame >= decoder().frames || decoder().spoilt;
}

/** Whether the data ended before its frames did: it is not what was packed. */
export function isSpoilt(): bool {
  return decoder().spoilt;
}

/** What joint j takes in the segment of the last frame: shares of what it bears for ever, squared. */
export function heatNow(j: i32): f32 {
  return f32(load<u8>(HEATS + usize(j))) * (1 / HEAT);
}

/**
 * The next frame into VALUES f32 at `to`: mm and rad; what the show does not name stands at home.
 * False: a page has not come yet, or the show has ended.
 */
export function nextFrame(to: usize): bool {
  if (ended() || !bitsReady()) return false;
  const d = decoder();
  if (d.in_segment == 0) beginSegment(d);
  else if (d.in_segment == 1) secondFrame(d);
  else nextDifferences(d);
  if (bytesTaken() > d.bytes) {
    d.spoilt = true;
    return false;
  }
  d.frame += 1;
  d.in_segment += 1;
  if (d.in_segment == SEGMENT || d.frame == d.frames) {
    d.in_segment = 0;
    toByte();
  }
  putValues(d, to);
  return true;
}

function beginSegment(d: Decoder): void {
  for (let i: u32 = 0; i < d.count; i++) {
    const v = shown(i);
    v.value = i32(takeBits(24) << 8) >> 8;
    place(v);
    v.step = i32(takeBits(16) << 16) >> 16;
  }
  for (let j: u32 = 0; j < d.joints; j++) store<u8>(HEATS + usize(j), takeBits(8));
  d.to_block = BLOCK - 2;
}

function secondFrame(d: Decoder): void {
  for (let i: u32 = 0; i < d.count; i++) move(shown(i));
}

function nextDifferences(d: Decoder): void {
  const count = d.count;
  if (d.in_segment == 2 || d.to_block == 0) {
    for (let i: u32 = 0; i < count; i++) shown(i).k = takeBits(4);
    if (d.in_segment != 2) d.to_block = BLOCK;
  }
  d.to_block -= 1;
  for (let i: u32 = 0; i < count; i++) {
    const v = shown(i);
    if (v.k != STILL) v.step += takeRice(v.k);
    move(v);
  }
}

// @ts-ignore: decorator
@inline function move(v: Value): void {
  if (v.step == 0) return;
  v.value += v.step;
  place(v);
}

// @ts-ignore: decorator
@inline function place(v: Value): void {
  if (v.value > v.most) v.value = v.most;
  else if (v.value < -v.most) v.value = -v.most;
  v.shown = f32(v.value) * (v.place < 3 ? SHOW_STEP_MM : SHOW_STEP_RAD);
}

function putValues(d: Decoder, to: usize): void {
  memory.fill(to, 0, usize(VALUES) << 2);
  for (let j: u32 = 0; j < d.joints; j++) store<f32>(to + usize((6 + j) << 2), jointImage(j).home);
  for (let i: u32 = 0; i < d.count; i++) store<f32>(to + usize(shown(i).place << 2), shown(i).shown);
}

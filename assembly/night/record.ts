/**
 * The running record: ten a second while pulses are on, in a ring that holds the last two minutes of sixteen joints, and longer of
 * fewer. While none are, nothing moves: one when the state changes, and every ten minutes. DEVELOPERS.md has the bytes.
 *
 * A record is two words, then seven bytes for every two joints: four figures each (asked lowest and highest, delivered lowest
 * and highest) in 1/127 of the soft range, the eighth in the top bits of the bytes. So each is right to 1/254 of the range.
 */
import { JOINTS, image, joint, jointCount } from '../layout';
import { period_us } from '../clock';
import { pulsing, state, trip } from '../guard';
import { clamp, nearestBits } from '../kernels';
import { answerEvents } from './log-answer';
import { PART_BYTES, partAt, sendPart } from './part';
import { HEAT, NOBODY } from './plan';
import { see, seen, spanBefore, startSeeing, turn, unordered } from './seen';
import { warmest } from './warmth';

/** Two minutes of sixteen joints: 1200 records of 64 bytes. */
const RING_BYTES: u32 = 76800;
const RECORD_HEAD: u32 = 8;
const STILL_DS: u32 = 6000;
const STEPS: f32 = 127;

const RING: usize = memory.data(i32(RING_BYTES));
const DRAFT: usize = memory.data(64);


@unmanaged
class Recorder {
  /** Which rig it is of. */
  fingerprint: u32;
  joints: i32;
  /** Of a record; how many the ring holds; the next one's place; how many there were in all. */
  bytes: u32;
  room: u32;
  next: u32;
  count: u32;
  /** The joint whose turn it is to be packed: joints and above when the draft is whole and in the ring. */
  packing: i32;
  /** Joints a tick, so that a draft is whole before the next. */
  share: i32;
  /** A tick's length in 1/128 of its period, by us, in 1/65536. */
  per_us: u32;
  /** State, trip and night of the last one, and when. */
  was: u32;
  at_ds: u32;
}
const RECORDER: usize = memory.data(i32(offsetof<Recorder>()));
/** STEPS over the soft range, by joint. */
const PER_RANGE: usize = memory.data(JOINTS * 4);
// @ts-ignore: decorator
@inline function recorder(): Recorder {
  return changetype<Recorder>(RECORDER);
}

/** Power-up. */
export function startRecord(): void {
  startSeeing();
  begin();
}

/** Anew: another rig has other joints. */
function begin(): void {
  const r = recorder();
  memory.fill(RECORDER, 0, offsetof<Recorder>());
  r.fingerprint = image().fingerprint;
  r.joints = jointCount();
  r.bytes = (RECORD_HEAD + 7 * u32((r.joints + 1) >> 1) + 3) & ~3;
  r.room = RING_BYTES / r.bytes;
  r.packing = r.joints;
  const hz = u32(image().tick_hz);
  const least = hz / 10;
  r.share = i32((u32(r.joints) + least - 1) / least);
  r.per_us = (128 << 16) / period_us();
  r.was = 0xffffffff;
  for (let i = 0; i < r.joints; i++) store<f32>(PER_RANGE + (usize(i) << 2), STEPS / (joint(i).hi - joint(i).lo));
}

/** Once a tick, last. */
export function recordTick(): void {
  const r = recorder();
  if (r.fingerprint != image().fingerprint || r.joints != jointCount()) begin();
  for (let k = 0; k < r.share && r.packing < r.joints; k++) packJoint();
  if (see() && isDue()) close();
}

function isDue(): bool {
  const r = recorder();
  const is = u32(state()) | (u32(trip()) << 8) | (u32(seen().night) << 16);
  if (!pulsing() && is == r.was && seen().at_ds - r.at_ds < STILL_DS) return false;
  r.was = is;
  return true;
}

/** A record's words, from what was seen; its joints are packed on the ticks that follow. */
function close(): void {
  const r = recorder();
  const s = seen();
  r.at_ds = s.at_ds;
  turn();
  const second = s.second < 2047 ? u32(s.second) : 2047;
  store<u32>(DRAFT, (s.at_ds & 0x3fff) | (u32(state()) << 14) | (u32(trip()) << 17) | (second << 21));
  const show: u32 = s.show == NOBODY ? 0 : u32(s.show) & 31;
  const supply = atMost((u32(s.supply_before_mv) * 1311 + 32768) >> 16, 255);
  const warmth = atMost(nearestBits(clamp(warmest() * HEAT, 0, 127)) & 0xff, 127);
  const late = atMost((u32(s.longest_before_us) * r.per_us) >> 16, 255);
  store<u32>(DRAFT, u32(s.night) | (show << 4) | (supply << 9) | (warmth << 17) | (late << 24), 4);
  r.packing = 0;
  if (!r.joints) keep();
}

// @ts-ignore: decorator
@inline function atMost(x: u32, most: u32): u32 {
  return x < most ? x : most;
}

function packJoint(): void {
  const r = recorder();
  const i = r.packing++;
  const it = spanBefore(i);
  const to = DRAFT + usize(RECORD_HEAD) + 7 * usize(i >> 1);
  const asked_lowest = share(i, it.asked_lowest);
  const asked_highest = it.asked_highest == it.asked_lowest ? asked_lowest : share(i, it.asked_highest);
  const lowest = it.lowest == it.asked_lowest ? asked_lowest : share(i, it.lowest);
  const highest = it.highest == it.asked_highest ? asked_highest : share(i, it.highest);
  if (!(i & 1)) {
    store<u8>(to, asked_lowest);
    store<u8>(to, asked_highest, 1);
    store<u8>(to, lowest, 2);
    store<u8>(to, highest, 3);
    memory.fill(to + 4, 0, 3);
  } else {
    store<u8>(to, asked_lowest, 4);
    store<u8>(to, asked_highest, 5);
    store<u8>(to, lowest, 6);
    for (let k: u32 = 0; k < 7; k++) {
      const byte = to + usize(k);
      store<u8>(byte, load<u8>(byte) | u8(((highest >> k) & 1) << 7));
    }
  }
  if (r.packing == r.joints) keep();
}

/** A place in 1/127 of joint i's soft range. */
function share(i: i32, place: i32): u32 {
  const x = (unordered(place) - joint(i).lo) * load<f32>(PER_RANGE + (usize(i) << 2));
  return nearestBits(clamp(x, 0, STEPS)) & 127;
}

/** The draft is whole: into the ring. */
function keep(): void {
  const r = recorder();
  memory.copy(RING + usize(r.next * r.bytes), DRAFT, usize(r.bytes));
  r.count += 1;
  r.next = r.next + 1 < r.room ? r.next + 1 : 0;
}

/**
 * Answers readLog: records from number n on, or from the oldest there is; or events (events.ts), as soon as their page is read.
 * A part without bytes: there is no more.
 */
export function sendLog(which: u32, n: u32): void {
  if (which) {
    answerEvents(n);
    return;
  }
  const r = recorder();
  const oldest = r.count > r.room ? r.count - r.room : 0;
  const from = n > oldest ? n : oldest;
  const left = r.count > from ? r.count - from : 0;
  const k = atMost(left, PART_BYTES / r.bytes);
  // Counted back from the next one's place, so that nothing is divided.
  let slot = left ? (r.next >= left ? r.next - left : r.next + r.room - left) : 0;
  let to = partAt();
  for (let i: u32 = 0; i < k; i++) {
    memory.copy(to, RING + usize(slot * r.bytes), usize(r.bytes));
    to += usize(r.bytes);
    slot = slot + 1 < r.room ? slot + 1 : 0;
  }
  sendPart(0, k * r.bytes, from, r.count);
}

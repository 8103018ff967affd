/**
 * The link: bytes in the receive ring become commands and queued frames, answers become bytes in the transmit ring, as telemetry
 * does (telemetry.ts). A frame is type, sequence, payload, CRC-16, little-endian, COBS-encoded, ended by a zero byte.
 * Whatever the bytes are, nothing here moves a joint: it only fills the queue and asks the guard.
 */
import {
  FRAME_BYTES,
  FRAME_VALUES_AT,
  Frame,
  IMAGE_MAX,
  QUEUE_FRAMES,
  RING_DATA_AT,
  RX,
  RX_BYTES,
  Ring,
  STAGED,
  STORE_DONE,
  VALUES,
  image,
  inputs,
  outputs,
} from './layout';
import { now_us, period_us, play_us, tickNumber } from './clock';
import { CRC_BYTES, HEAD_BYTES, OUT, Result, Type, answerTo, send, startAnswers } from './answer';
import { BROKEN, Decoder, WHOLE, feed, feedBlock, restart } from './cobs';
import { crc16 } from './crc';
import { countBadFrame, listening, raise, settleAndRest, state, stop, wake } from './guard';
import { lookAhead } from './ahead';
import { Event, State } from './states';
import { forgetExtremes } from './extremes';
import { boundedBy } from './kernels';
import { clearNight, endByLink, playsAlone, rouseWarned } from './night/night';
import { DOUBLED, FULL, offer, queued, queuedFrame, since } from './queue';
import { acceptImage } from './rig';
import { nightCommand } from './night/commands';

export const PROTOCOL: u8 = 1;

/** A byte on a line of 500,000 baud, ten bits, us. */
const BYTE_US: u32 = 20;
/** What a late tick has left is caught up with so: one in so many bytes more than the line brings in a tick. */
const CATCH_UP: u32 = 32;
const FRAME_MAX: u32 = 252;
const HALF_HOUR_US: i32 = 1800000000;
const FLAGS_AT: usize = 6;
/** Of a pose's flags: a hand asks for it, and it does not wait to be looked ahead to. */
const AT_ONCE: u32 = 1;
const POSE_AT: u32 = 8;
const POSE_BYTES: u32 = POSE_AT + 24;
/** Larger values than these are no pose of any rig: mm, rad. */
const SANE_MM: f32 = 10000;
const SANE_RAD: f32 = 8;

/** Counters of frames that were not used, in the order of the telemetry. */
@unmanaged
export class Counters {
  checksum: u16;
  framing: u16;
  unknown: u16;
  value: u16;
  late: u16;
  doubled: u16;
  full: u16;
  refused: u16;
}
export const COUNTERS: usize = memory.data(i32(offsetof<Counters>()));


@unmanaged
export class Link {
  /** Bytes of the image received so far, and its announced length; 0: none announced. */
  received: u32;
  announced: u32;
  /** Telemetry every so many ticks; 0: none. */
  every: u32;
  due: u32;
  /** Since the last telemetry: ticks in all, without a newer frame, with a pose out of reach; the longest one. */
  ticks: u16;
  starved: u16;
  unreachable: u16;
  longest_us: u16;
  /** The last pose frame taken: the tick, and its sequence number. */
  last_pose_tick: u32;
  last_pose: u8;
  /** The image in force waits for the board to store it, and the commit of this sequence number for its answer. */
  storing: bool;
  commit: u8;
  /** The image in force is in the board's flash. */
  stored: bool;
}
const LINK: usize = memory.data(i32(offsetof<Link>()));
const DECODER: usize = memory.data(i32(offsetof<Decoder>()));
/** As OUT: its payload is aligned. */
const IN: usize = memory.data(260) + 2;
const FRAME: usize = memory.data(i32(FRAME_BYTES));

// @ts-ignore: decorator
@inline function counters(): Counters {
  return changetype<Counters>(COUNTERS);
}
// @ts-ignore: decorator
@inline export function link(): Link {
  return changetype<Link>(LINK);
}
// @ts-ignore: decorator
@inline function decoder(): Decoder {
  return changetype<Decoder>(DECODER);
}

export function startLink(): void {
  startAnswers();
  memory.fill(LINK, 0, offsetof<Link>());
  memory.fill(COUNTERS, 0, offsetof<Counters>());
  restart(decoder());
  decoder().out = IN;
  decoder().capacity = FRAME_MAX;
}

/** An image that came from the board's flash is in force. */
export function startStored(): void {
  link().stored = true;
}

/** Bytes read in one tick at most, so that its length is bounded: what a full line brings in one, and a little more. */
// @ts-ignore: decorator
@inline function mostBytes(): u32 {
  const line = period_us() / BYTE_US;
  return line + line / CATCH_UP + 1;
}

/** Reads what has arrived, as much as a tick may. */
export function receive(): void {
  if (inputs().store) tellStored();
  const ring = changetype<Ring>(RX);
  let tail = ring.tail;
  let n = ring.head - tail;
  if (n > RX_BYTES) {
    // The board overran the ring: what is left of it cannot be trusted.
    tail = ring.head;
    n = 0;
    decoder().broken = true;
  }
  const most = mostBytes();
  if (n > most) n = most;
  while (n > 0) {
    const straight = feedBlock(decoder(), RX + RING_DATA_AT, RX_BYTES - 1, tail, n);
    tail += straight;
    n -= straight;
    if (n == 0) break;
    take(load<u8>(RX + RING_DATA_AT + usize(tail++ & (RX_BYTES - 1))));
    n--;
  }
  ring.tail = tail;
}

function take(byte: u8): void {
  const result = feed(decoder(), byte);
  if (byte != 0) return;
  if (result == WHOLE) open(decoder().length);
  else if (result == BROKEN) {
    counters().framing += 1;
    countBadFrame();
  }
  restart(decoder());
}

/** Checks a frame of n bytes at IN and acts on it. */
function open(n: u32): void {
  if (n < HEAD_BYTES + CRC_BYTES) {
    counters().framing += 1;
    countBadFrame();
    return;
  }
  const body = n - CRC_BYTES;
  const end = IN + usize(body);
  if (crc16(IN, body) != (u32(load<u8>(end)) | (u32(load<u8>(end, 1)) << 8))) {
    counters().checksum += 1;
    countBadFrame();
    return;
  }
  const type = <Type>load<u8>(IN);
  if (type == Type.pose) takePose(body - HEAD_BYTES);
  else command(type, body - HEAD_BYTES);
}

/** Payload: u32 instant in us, u16 joints named, u16 flags, 6 f32 pose, then an f32 for each joint named, lowest first. */
function takePose(n: u32): void {
  const c = counters();
  if (!listening() || playsAlone()) {
    c.refused += 1;
    return;
  }
  const frame = changetype<Frame>(FRAME);
  if (n < POSE_BYTES || !unpackPose(frame, n)) {
    c.value += 1;
    return;
  }
  const played = queued() > 0 && since(play_us(), queuedFrame(0).at_us) >= 0;
  if (since(frame.at_us, play_us()) < 0) c.late += 1;
  // Older than what is being played: of no use. Late, but newer than that: the truth, as soon as may be.
  if (played && since(frame.at_us, queuedFrame(0).at_us) <= 0) {
    if (frame.at_us == queuedFrame(0).at_us) c.doubled += 1;
    return;
  }
  const fate = offer(frame);
  if (fate == FULL) c.full += 1;
  else if (fate == DOUBLED) c.doubled += 1;
  else {
    link().last_pose = load<u8>(IN, 1);
    link().last_pose_tick = tickNumber();
    lookAhead(!(u32(load<u16>(IN + HEAD_BYTES, FLAGS_AT)) & AT_ONCE));
  }
}

/** Reads the payload into the frame; false when anything in it cannot be meant. */
function unpackPose(frame: Frame, n: u32): bool {
  const from = IN + HEAD_BYTES;
  frame.at_us = load<u32>(from);
  const ahead_us = since(frame.at_us, now_us());
  if (ahead_us > HALF_HOUR_US || ahead_us < -HALF_HOUR_US) return false;
  const mask = u32(load<u16>(from, 4));
  const legs = u32(image().leg_count);
  if (mask >> u32(image().joint_count) || mask & ((u32(1) << legs) - 1)) return false;
  if (n != POSE_BYTES + 4 * popcnt(mask)) return false;
  frame.mask = u16(mask);
  const to = FRAME + FRAME_VALUES_AT;
  memory.fill(to, 0, usize(VALUES) * 4);
  for (let i: usize = 0; i < 6; i++) {
    const value = load<f32>(from + (i << 2), POSE_AT);
    if (!boundedBy(value, i < 3 ? SANE_MM : SANE_RAD)) return false;
    store<f32>(to + (i << 2), value);
  }
  let next = from + POSE_BYTES;
  for (let left = mask; left; left &= left - 1) {
    const value = load<f32>(next);
    if (!boundedBy(value, SANE_MM)) return false;
    store<f32>(to + usize((6 + ctz(left)) << 2), value);
    next += 4;
  }
  return true;
}

function command(type: Type, n: u32): void {
  let result: Result;
  switch (type) {
    case Type.who:
      tellWho();
      return;
    case Type.imageBegin:
      result = beginImage(n);
      break;
    case Type.imageChunk:
      result = addChunk(n);
      break;
    case Type.imageCommit:
      commitImage();
      return;
    case Type.rouse:
      result = rouse();
      break;
    case Type.settle:
      result = doneIf(either(endByLink(), settleAndRest()));
      break;
    case Type.stop:
      result = doneIf(either(endByLink(), stop()));
      break;
    case Type.pause:
      result = doneIf(either(endByLink(), raise(Event.pause)));
      break;
    case Type.clear:
      result = doneIf(clearNight());
      break;
    case Type.report:
      result = setReport(n);
      break;
    case Type.boot:
      result = boot();
      break;
    default:
      if (type < Type.nightBegin || type > Type.nightTime) {
        counters().unknown += 1;
        countBadFrame();
        return;
      }
      result = nightCommand(type, load<u8>(IN, 1), IN + HEAD_BYTES, n);
      if (result == Result.later) return;
  }
  answer(result);
}

/** Both have been done: whether one was of any use. */
// @ts-ignore: decorator
@inline function either(a: bool, b: bool): bool {
  return a || b;
}

// @ts-ignore: decorator
@inline function doneIf(ok: bool): Result {
  return ok ? Result.done : Result.notNow;
}

function rouse(): Result {
  if (!image().joint_count) return Result.noRig;
  return doneIf(!link().storing && !inputs().stop_open && rouseWarned());
}

/** The board enters its boot loader when this has been answered. */
function boot(): Result {
  if (!inputs().boots || state() != State.limp || link().storing) return Result.notNow;
  outputs().boot = 1;
  // Nothing rouses, and no image begins, until it has gone.
  link().storing = true;
  return Result.done;
}

/** Payload: u16 length of the image to come. */
function beginImage(n: u32): Result {
  const l = link();
  l.announced = 0;
  // The board reads the image in force where the next one is received.
  if (state() != State.limp || l.storing) return Result.notNow;
  if (n != 2) return Result.malformed;
  const length = u32(load<u16>(IN + HEAD_BYTES));
  if (length > u32(IMAGE_MAX)) return Result.malformed;
  l.announced = length;
  l.received = 0;
  return Result.done;
}

/** Payload: u16 offset, then bytes. Chunks come in order; a repeated one is taken once. */
function addChunk(n: u32): Result {
  const l = link();
  if (!l.announced || n < 3) return Result.malformed;
  const offset = u32(load<u16>(IN + HEAD_BYTES));
  const bytes = n - 2;
  if (offset + bytes <= l.received) return Result.done;
  if (offset != l.received || offset + bytes > l.announced) return Result.malformed;
  memory.copy(STAGED + usize(offset), IN + HEAD_BYTES + 2, usize(bytes));
  l.received += bytes;
  return Result.done;
}

/** Refused at once; an image that is accepted is answered when the board has stored it. */
function commitImage(): void {
  const l = link();
  const refusal = judgeImage(l.announced);
  l.announced = 0;
  if (refusal) {
    answer(refusal);
    return;
  }
  l.storing = true;
  l.stored = false;
  l.commit = load<u8>(IN, 1);
}

function judgeImage(length: u32): Result {
  if (!length || link().received != length) return Result.malformed;
  if (state() != State.limp) return Result.notNow;
  const refusal = acceptImage(length);
  if (refusal) return <Result>(Result.badImage + refusal);
  wakeWith(length);
  return Result.done;
}

/** The board has stored the image, or could not: the commit gets its answer. */
function tellStored(): void {
  const l = link();
  const done = inputs().store == STORE_DONE;
  inputs().store = 0;
  if (!l.storing) return;
  l.storing = false;
  l.stored = done;
  answerTo(u8(Type.imageCommit), l.commit, done ? Result.done : Result.notStored);
}

/** An image is in force: the joints are at its rest as far as anyone knows. */
function wakeWith(length: u32): void {
  inputs().places_valid = 0;
  wake();
  outputs().image_bytes = length;
  outputs().image_count += 1;
}

/** Payload: u16 ticks between two telemetry frames, 0 for none. */
function setReport(n: u32): Result {
  if (n != 2) return Result.malformed;
  const l = link();
  l.every = load<u16>(IN + HEAD_BYTES);
  l.due = 0;
  l.ticks = 0;
  l.starved = 0;
  l.unreachable = 0;
  forgetExtremes();
  return Result.done;
}

/** Answers the command at IN: its type, its sequence, the result. */
function answer(result: Result): void {
  answerTo(load<u8>(IN), load<u8>(IN, 1), result);
}

function tellWho(): void {
  const rig = image();
  store<u8>(OUT, Type.iAm);
  store<u8>(OUT, PROTOCOL, 2);
  store<u8>(OUT, inputs().board, 3);
  store<u8>(OUT, inputs().pins, 4);
  store<u8>(OUT, state(), 5);
  store<u32>(OUT, rig.joint_count ? rig.fingerprint : 0, 6);
  store<u32>(OUT, now_us(), 10);
  store<u16>(OUT, rig.tick_hz, 14);
  store<u16>(OUT, u16(RX_BYTES), 16);
  store<u16>(OUT, u16(IMAGE_MAX), 18);
  store<u8>(OUT, u8(QUEUE_FRAMES), 20);
  store<u8>(OUT, rig.joint_count, 21);
  store<u8>(OUT, load<u8>(IN, 1), 22);
  store<u8>(OUT, u8(rig.joint_count != 0 && link().stored), 23);
  send(24);
}

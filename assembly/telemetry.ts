/** What the controller tells of itself, tick by tick counted and now and then sent: telemetry. It changes nothing but its counts. */
import { image, inputs, joint, jointCount } from './layout';
import { now_us, tickNumber } from './clock';
import { extremes, forgetExtremes } from './extremes';
import { resting, starved, state, trip } from './guard';
import { HEAD_BYTES, OUT, Type, send } from './answer';
import { COUNTERS, Counters, link } from './link';
import { queued } from './queue';
import { poseReached } from './reach';

/** Bytes before the joints' records, behind type and sequence; and of one record. */
const TELEMETRY_HEAD: u32 = 40;
const JOINT_BYTES: usize = 32;

const enum Flag {
  starved = 1,
  unreachable = 2,
  resting = 4,
  stopOpen = 8,
}

/**
 * Telemetry, when it is due: head, counters, then a record for each joint: position, lowest, highest, fastest rise and fall,
 * greatest plus and minus (f32), pulse width and ticks held back (u16). What is greatest counts since the last one.
 */
export function report(pulses: usize): void {
  const l = link();
  if (!l.every) return;
  countTick();
  if (l.due > 1) {
    l.due -= 1;
    return;
  }
  l.due = l.every;
  const count = jointCount();
  const flags =
    (starved() ? Flag.starved : 0) |
    (unreachable() ? Flag.unreachable : 0) |
    (resting() ? Flag.resting : 0) |
    (inputs().stop_open ? Flag.stopOpen : 0);
  store<u8>(OUT, Type.telemetry);
  const to = OUT + HEAD_BYTES;
  store<u32>(to, tickNumber());
  store<u32>(to, now_us(), 4);
  store<u8>(to, state(), 8);
  store<u8>(to, trip(), 9);
  store<u8>(to, flags, 10);
  store<u8>(to, count, 11);
  store<u16>(to, l.longest_us, 12);
  store<u8>(to, queued(), 14);
  store<u8>(to, l.last_pose, 15);
  store<u16>(to, l.ticks, 16);
  store<u16>(to, l.starved, 18);
  store<u16>(to, l.unreachable, 20);
  const lag = tickNumber() - l.last_pose_tick;
  store<u16>(to, lag < 0xffff ? lag : 0xffff, 22);
  memory.copy(to + 24, COUNTERS, offsetof<Counters>());
  let record = to + TELEMETRY_HEAD;
  for (let i = 0; i < count; i++) {
    const e = extremes(i);
    store<f32>(record, joint(i).out);
    store<f32>(record, e.lowest, 4);
    store<f32>(record, e.highest, 8);
    store<f32>(record, e.rise, 12);
    store<f32>(record, e.fall, 16);
    store<f32>(record, e.plus, 20);
    store<f32>(record, e.minus, 24);
    store<u16>(record, load<u16>(pulses + (usize(i) << 1)), 28);
    store<u16>(record, e.held, 30);
    record += JOINT_BYTES;
  }
  send(HEAD_BYTES + TELEMETRY_HEAD + u32(count) * u32(JOINT_BYTES));
  l.ticks = 0;
  l.starved = 0;
  l.unreachable = 0;
  l.longest_us = 0;
  forgetExtremes();
}

// @ts-ignore: decorator
@inline
function unreachable(): bool {
  return image().leg_count != 0 && !poseReached();
}

/** What happened on this tick, for the next telemetry. */
function countTick(): void {
  const l = link();
  l.ticks += 1;
  if (starved()) l.starved += 1;
  if (unreachable()) l.unreachable += 1;
  const us = inputs().tick_us < 0xffff ? u16(inputs().tick_us) : 0xffff;
  if (us > l.longest_us) l.longest_us = us;
}

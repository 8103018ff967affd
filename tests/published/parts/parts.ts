/** Pieces of the controller, exported one by one so that published values can be put to them. Compiled by the tests. */
import { Decoder, MORE, encode, feed, restart } from '../../../assembly/cobs';
import { crc16, crc32 } from '../../../assembly/crc';
import { joint, jointImage } from '../../../assembly/layout';
import { place, setLimits, track } from '../../../assembly/track';

const IN: usize = memory.data(2048);
const OUT: usize = memory.data(2048);
const DECODER: usize = memory.data(i32(offsetof<Decoder>()));

/** Where the caller writes bytes, and reads them. */
export function input(): usize {
  return IN;
}
export function output(): usize {
  return OUT;
}

export function crc16Of(n: u32): u32 {
  return crc16(IN, n);
}
export function crc32Of(n: u32): u32 {
  return crc32(IN, n);
}

/** Encoded length of the n bytes at the input. */
export function stuff(n: u32): u32 {
  return encode(IN, n, OUT, 2047, 0);
}

/** What the delimiter after the n bytes at the input finds (cobs.ts); the decoded bytes stand at the output. */
export function unstuff(n: u32): u32 {
  const d = changetype<Decoder>(DECODER);
  restart(d);
  d.out = OUT;
  d.capacity = 2048;
  for (let i: u32 = 0; i < n; i++) {
    const result = feed(d, load<u8>(IN + usize(i)));
    if (result != MORE) return result;
  }
  return feed(d, 0);
}
export function unstuffed(): u32 {
  return changetype<Decoder>(DECODER).length;
}

/** Ticks that a step over L takes from rest to rest, at most v, speeding up by a, braking by d. */
export function stepTicks(L: f32, v: f32, a: f32, d: f32, hz: f32): u32 {
  const j = joint(0);
  const its = jointImage(0);
  its.lo = -1000;
  its.hi = 1000;
  its.speed = v;
  its.slow = v;
  its.plus = a;
  its.minus = d;
  setLimits(j, its, hz);
  j.speed = j.fast;
  place(j, 0);
  j.target = L;
  for (let n: u32 = 1; n < 1000000; n++) {
    track(j, 0);
    if (j.pos == L) return n;
  }
  return 0;
}

/**
 * The wobble filter (input shaping), behind the limits: a joint's steps are shared out over a few ticks, in positive shares that
 * sum to 1, so that the vibrations they start cancel. What comes out is an average of what went in: range, speed and acceleration
 * stay within what tracking kept. Joints that it does not shape are as late as the shaped ones are on average.
 *
 * Steps are counted in integers, fine enough not to be felt (2^-29 of the range), and summed without end: a place some ticks ago is
 * the present one less a difference of sums, exact whatever has gone before. A joint that stands still is where tracking has it, to
 * the bit, and without a filter nothing is computed at all.
 */
import {
  ACTIVE,
  HISTORY,
  JOINTS,
  SHARES,
  TOTALS,
  WOBBLE_BACK_AT,
  WOBBLE_SHARES_AT,
  WOBBLE_TAPS,
  filter,
  image,
  joint,
  jointCount,
} from './layout';
import { clamp } from './kernels';

/** A share of the motion (all of it: SHARES), and how many ticks later it comes. */
@unmanaged
class Tap {
  share: u32;
  back: u32;
}
const TAP_BYTES: usize = offsetof<Tap>();

/** Joints that are treated alike: their taps, as many as the filter has at most, and how far back the last one looks. */
@unmanaged
class Group {
  /** Where in the joints' rings of totals the oldest stands. */
  oldest: u32;
  span: u32;
  taps: u32;
  first: u32;
}
const TAPS_AT: usize = offsetof<Group>('first');
const SHAPED: usize = memory.data(i32(TAPS_AT) + i32(WOBBLE_TAPS) * i32(TAP_BYTES));
const WAITING: usize = memory.data(i32(TAPS_AT) + 2 * i32(TAP_BYTES));

// @ts-ignore: decorator
@inline function groupAt(at: usize): Group {
  return changetype<Group>(at);
}
// @ts-ignore: decorator
@inline function tap(group: usize, k: u32): Tap {
  return changetype<Tap>(group + TAPS_AT + usize(k) * TAP_BYTES);
}

/** Taps and units for the rig in force, and no motion before now. */
export function startFilters(): void {
  const rig = image();
  const taps = u32(rig.wobble_taps);
  groupAt(SHAPED).taps = taps;
  for (let k: u32 = 0; k < taps; k++) {
    const t = tap(SHAPED, k);
    t.share = load<u32>(ACTIVE + WOBBLE_SHARES_AT + usize(k << 2));
    t.back = u32(load<u16>(ACTIVE + WOBBLE_BACK_AT + usize(k << 1)));
    groupAt(SHAPED).span = t.back;
  }
  const wait = u32(rig.wobble_wait);
  groupAt(WAITING).span = wait + 1;
  groupAt(WAITING).taps = wait ? 2 : 1;
  tap(WAITING, 0).share = rig.wobble_wait_share;
  tap(WAITING, 0).back = wait + 1;
  tap(WAITING, 1).share = SHARES - rig.wobble_wait_share;
  tap(WAITING, 1).back = wait;
  for (let i = 0; i < jointCount(); i++) {
    const f = filter(i);
    // 2^-29 of the largest power of two in the range: twice the range fits an i32.
    const range = reinterpret<u32>(joint(i).hi - joint(i).lo) & 0x7f800000;
    f.unit = reinterpret<f32>(range > 31 << 23 ? range - (29 << 23) : 2 << 23);
    f.per_unit = <f32>1.0 / f.unit;
  }
  forgetMotion();
}

/** As if every joint had always stood where it is now. */
export function forgetMotion(): void {
  for (let i = 0; i < JOINTS; i++) {
    filter(i).total = 0;
    filter(i).lag = 0;
  }
  memory.fill(TOTALS, 0, HISTORY * 4);
  groupAt(SHAPED).oldest = 0;
  groupAt(WAITING).oldest = 0;
}

/** Moves joint i: its tracked place and step, less what the filter holds back. Rounding may not carry it past a soft limit. */
function shape(i: i32, ring: usize, group: usize): void {
  const f = filter(i);
  const j = joint(i);
  const total = f.total + i32(j.step * f.per_unit);
  const oldest = groupAt(group).oldest;
  const taps = groupAt(group).taps;
  let sum: i64 = 0;
  for (let k: u32 = 0; k < taps; k++) {
    const back = tap(group, k).back;
    const at = oldest >= back ? oldest - back : oldest + groupAt(group).span - back;
    sum += i64(tap(group, k).share) * i64(total - load<i32>(ring + usize(at << 2)));
  }
  const lag = i32(sum >> 30);
  store<i32>(ring + usize(oldest << 2), total);
  j.out = clamp(j.pos - f.unit * f32(lag), j.lo, j.hi);
  j.out_step = j.step - f.unit * f32(lag - f.lag);
  f.total = total;
  f.lag = lag;
}

/** Puts every joint where the filter lets it be now. */
export function filterAll(count: i32): void {
  if (!image().wobble_taps) {
    for (let i = 0; i < count; i++) {
      const j = joint(i);
      j.out = j.pos;
      j.out_step = j.step;
    }
    return;
  }
  const mask = u32(image().wobble_joints);
  let ring = TOTALS;
  for (let i = 0; i < count; i++) {
    const group = (mask >> u32(i)) & 1 ? SHAPED : WAITING;
    shape(i, ring, group);
    ring += usize(groupAt(group).span << 2);
  }
  turn(SHAPED);
  turn(WAITING);
}

// @ts-ignore: decorator
@inline function turn(group: usize): void {
  const k = groupAt(group);
  k.oldest = k.oldest + 1 < k.span ? k.oldest + 1 : 0;
}

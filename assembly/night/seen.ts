/**
 * What the prop watches of itself, tick by tick: for every joint the lowest and highest that was asked and delivered over the last
 * tenth of a second, the lowest supply, the longest tick. The running record and the events are made of it. It changes nothing else.
 *
 * Asked is the target that came due, within the soft limits; delivered is what is commanded: no servo tells where it is.
 */
import { JOINTS, image, inputs, joint, jointCount } from '../layout';
import { pulsing } from '../guard';
import { magnitude, ordered } from '../kernels';
import { NOBODY, Night } from './plan';

/** Of a joint, as ordered integers (kernels.ts). */
@unmanaged
export class Span {
  asked_lowest: i32;
  asked_highest: i32;
  lowest: i32;
  highest: i32;
}
const SPAN_BYTES: usize = offsetof<Span>();
const SPANS: usize = memory.data(2 * JOINTS * i32(offsetof<Span>()));
const BANK: usize = usize(JOINTS) * SPAN_BYTES;


@unmanaged
export class Seen {
  /** Tenths of a second since power. */
  at_ds: u32;
  /** Tenths that are owed, in 1 / tick_hz. */
  owed: u32;
  /** What the player tells (tell): a Night, the show or NOBODY, the second in it. */
  night: u8;
  show: u8;
  second: u16;
  /** Since the last turn: lowest supply, mV (0: not measured), longest tick, us. And of the tenth before. */
  supply_mv: u16;
  longest_us: u16;
  supply_before_mv: u16;
  longest_before_us: u16;
  /** The spans that are being widened begin here; the others are the tenth before. */
  bank: usize;
  /** 1: nothing seen yet in this tenth. */
  fresh: bool;
}
const SEEN: usize = memory.data(i32(offsetof<Seen>()));
// @ts-ignore: decorator
@inline export function seen(): Seen {
  return changetype<Seen>(SEEN);
}

// @ts-ignore: decorator
@inline function span(bank: usize, i: i32): Span {
  return changetype<Span>(bank + usize(i) * SPAN_BYTES);
}
/** Joint i over the tenth that ended last. */
export function spanBefore(i: i32): Span {
  return span(otherBank(), i);
}
// @ts-ignore: decorator
@inline function otherBank(): usize {
  return SPANS + BANK - (seen().bank - SPANS);
}
/** The float that `ordered` made an integer of. */
// @ts-ignore: decorator
@inline export function unordered(x: i32): f32 {
  return reinterpret<f32>(x ^ ((x >> 31) & 0x7fffffff));
}

/** Power-up. */
export function startSeeing(): void {
  memory.fill(SEEN, 0, offsetof<Seen>());
  memory.fill(SPANS, 0, 2 * BANK);
  const s = seen();
  s.bank = SPANS;
  s.fresh = true;
  s.show = NOBODY;
}

/** The player says, whenever one changes, what it is doing: the record and the events carry it. */
export function tell(night: Night, show: u8, second: u16): void {
  const s = seen();
  s.night = u8(night);
  s.show = show;
  s.second = second;
}

/** A tick has passed. Returns whether a tenth of a second has. */
export function see(): bool {
  const s = seen();
  const us = inputs().tick_us < 0xffff ? u16(inputs().tick_us) : 0xffff;
  if (us > s.longest_us) s.longest_us = us;
  const mv = inputs().supply_mv;
  if (mv && (mv < s.supply_mv || !s.supply_mv)) s.supply_mv = mv;
  if (pulsing()) widen();
  const hz = u32(image().tick_hz);
  s.owed += 10;
  if (s.owed < hz) return false;
  s.owed -= hz;
  s.at_ds += 1;
  return true;
}

/** Compared as integers: a chip without floats does a joint in some thirty cycles. */
function widen(): void {
  const s = seen();
  const count = jointCount();
  if (s.fresh) {
    standAll(count);
    return;
  }
  let at = s.bank;
  for (let i = 0; i < count; i++) {
    const it = changetype<Span>(at);
    const j = joint(i);
    const asked = ordered(j.target);
    const out = ordered(j.out);
    if (asked < it.asked_lowest) it.asked_lowest = asked;
    if (asked > it.asked_highest) it.asked_highest = asked;
    if (out < it.lowest) it.lowest = out;
    if (out > it.highest) it.highest = out;
    at += SPAN_BYTES;
  }
}

/** The first of a tenth. */
function standAll(count: i32): void {
  const s = seen();
  s.fresh = false;
  for (let i = 0; i < count; i++) {
    const it = span(s.bank, i);
    const j = joint(i);
    it.asked_lowest = it.asked_highest = ordered(j.target);
    it.lowest = it.highest = ordered(j.out);
  }
}

/** A tenth is over: what it saw stands still in spanBefore until the next. */
export function turn(): void {
  const s = seen();
  if (s.fresh) standAll(jointCount());
  s.bank = otherBank();
  s.fresh = true;
  s.supply_before_mv = s.supply_mv;
  s.longest_before_us = s.longest_us;
  s.supply_mv = 0;
  s.longest_us = 0;
}

// @ts-ignore: decorator
@inline function least(a: i32, b: i32): i32 {
  return a < b ? a : b;
}
// @ts-ignore: decorator
@inline function most(a: i32, b: i32): i32 {
  return a > b ? a : b;
}

/** The lowest supply of the last one to two tenths, mV; 0: not measured. */
export function supplyLowest(): u16 {
  const s = seen();
  if (!s.supply_mv) return s.supply_before_mv;
  if (!s.supply_before_mv) return s.supply_mv;
  return s.supply_mv < s.supply_before_mv ? s.supply_mv : s.supply_before_mv;
}
export function tickLongest(): u16 {
  const s = seen();
  return s.longest_us > s.longest_before_us ? s.longest_us : s.longest_before_us;
}

/**
 * The joint that was asked for most of its speed over the last one to two tenths; NOBODY: all stood still. It is what was asked of the
 * supply, as far as the controller can know: it sees no current.
 */
export function hardest(): u8 {
  const s = seen();
  let which = NOBODY;
  let best: f32 = 0;
  for (let i = 0; i < jointCount(); i++) {
    const old = spanBefore(i);
    const now = s.fresh ? old : span(s.bank, i);
    const way = unordered(most(old.highest, now.highest)) - unordered(least(old.lowest, now.lowest));
    const share = way / joint(i).fast;
    if (share > best) {
      best = share;
      which = u8(i);
    }
  }
  return which;
}

/**
 * The joint that was furthest behind what was asked over the tenth that ended last, in shares of its range; NOBODY: none by as much as
 * the record can tell. Not of this tenth: a trip's own settling is in it.
 */
export function furthestBehind(): u8 {
  let which = NOBODY;
  let best: f32 = 1.0 / 127;
  for (let i = 0; i < jointCount(); i++) {
    const it = spanBefore(i);
    const above = magnitude(unordered(it.asked_highest) - unordered(it.highest));
    const below = magnitude(unordered(it.asked_lowest) - unordered(it.lowest));
    const share = (above > below ? above : below) / (joint(i).hi - joint(i).lo);
    if (share > best) {
      best = share;
      which = u8(i);
    }
  }
  return which;
}

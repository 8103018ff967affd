/**
 * Feeds the queue while the board plays by itself: the way from where it stands to a show's first frame, the show, idle life. One frame a
 * tick at most. What the frames do is limited as a link's are: nothing here moves a joint.
 */
import {
  FRAME_BYTES,
  FRAME_VALUES_AT,
  Frame,
  GOAL,
  QUEUE_FRAMES,
  VALUES,
  image,
  jointCount,
  jointImage,
  put,
} from '../layout';
import { lookAhead } from '../ahead';
import { period_us, play_us } from '../clock';
import { offer, queued, since } from '../queue';
import { entryOf } from './archive';
import { ended, isSpoilt, nextFrame, openShow } from './decode';
import { beginIdle, nextIdle } from './idle';
import { Entry, FRAME_US, NOBODY, PLAN, PLAN_HOME_AT, entry, plan } from './plan';
import { WAY_BYTES, Way, beginWay, nextOnWay, wayFrom, wayGone, wayTo } from './way';

/** Room that a show leaves in the queue; and so many frames of idle life wait, so that a start need not wait for them. */
const ROOM: u32 = 8;
const IDLE_FRAMES: u32 = 10;

const enum Source {
  nothing = 0,
  way = 1,
  show = 2,
  idle = 3,
}
/** How far a show is on its way out of flash. */
const enum Opening {
  none = 0,
  entry = 1,
  frame = 2,
  ready = 3,
}


@unmanaged
class Player {
  source: Source;
  /** What follows the way. */
  then: Source;
  opening: Opening;
  show: u8;
  still: u16;
  /** Instant of the next frame; of the show's first and last. */
  next_us: u32;
  first_us: u32;
  last_us: u32;
  /** Ticks since the show's first frame came out; below 0: until. Seconds of the show, and ticks of the next one. */
  tick: i32;
  second: u32;
  part: u32;
  /** Ticks at which the sound's line goes on and off; the line, or NOBODY. */
  sound_on: i32;
  sound_off: i32;
  sound: u8;
  /** Ticks for which a frame was wanted and flash had none. */
  hungry: u32;
  sound_at_ms: i32;
  sound_ms: u32;
}
const PLAYER: usize = memory.data(i32(offsetof<Player>()));
const FRAME: usize = memory.data(i32(FRAME_BYTES));
const FIRST: usize = memory.data(4 * VALUES);
const WAY: usize = memory.data(WAY_BYTES);
const NOW: usize = FRAME + FRAME_VALUES_AT;

// @ts-ignore: decorator
@inline function player(): Player {
  return changetype<Player>(PLAYER);
}

export function startPlayer(): void {
  memory.fill(PLAYER, 0, offsetof<Player>());
  dropShow();
}

/** Nothing is fed any more. */
export function dropShow(): void {
  const p = player();
  p.source = Source.nothing;
  p.opening = Opening.none;
  p.sound = NOBODY;
  p.second = 0;
}

/** Show k is asked for, with so many joints held still at home. */
export function askShow(k: u8, still: u16): void {
  const p = player();
  p.show = k;
  p.still = still;
  p.opening = Opening.entry;
}

/** Whether a show has been asked for. */
export function showAsked(): bool {
  return player().opening != Opening.none;
}

/** One tick on the way out of flash: whether the first frame is there. */
export function showReady(): bool {
  const p = player();
  if (p.opening == Opening.entry && entryOf(p.show)) {
    copySound(entry());
    openShow();
    p.opening = Opening.frame;
  } else if (p.opening == Opening.frame && nextFrame(FIRST)) {
    holdStill(FIRST);
    p.opening = Opening.ready;
  }
  return p.opening == Opening.ready;
}

/** ENTRY may hold another show while this one plays. */
function copySound(its: Entry): void {
  const p = player();
  p.sound = its.sound_ms ? its.sound : NOBODY;
  p.sound_at_ms = its.sound_at_ms;
  p.sound_ms = its.sound_ms;
}

function holdStill(values: usize): void {
  for (let left = u32(player().still); left; left &= left - 1)
    put(values, 6 + i32(ctz(left)), jointImage(i32(ctz(left))).home);
}

/** Frames begin where the prop is now asked to stand. The queue is empty. */
export function beginHere(): void {
  const p = player();
  memory.copy(NOW, GOAL, 4 * usize(VALUES));
  p.next_us = p.last_us = play_us();
  lookAhead(true);
  give();
}

/** The show that is ready begins behind what has been fed: first the way to it. */
export function beginShow(): void {
  const p = player();
  memory.copy(wayTo(WAY), FIRST, 4 * usize(VALUES));
  // A sound that begins before the show has its time on the way.
  const lead_ms = p.sound != NOBODY && p.sound_at_ms < 0 ? u32(-p.sound_at_ms) : 0;
  const least_ms = lead_ms > u32(plan().cross_ms) ? lead_ms : u32(plan().cross_ms);
  go(least_ms, Source.show);
  p.opening = Opening.none;
  p.first_us = p.next_us + (changetype<Way>(WAY).count - 1) * FRAME_US;
  p.hungry = p.second = p.part = 0;
  p.tick = -since(p.first_us, play_us()) / i32(period_us()) - i32(image().look_ahead);
  const on = (p.sound_at_ms / 1000) * i32(image().tick_hz) + ((p.sound_at_ms % 1000) * i32(image().tick_hz)) / 1000;
  p.sound_on = on > p.tick ? on : p.tick;
  p.sound_off = p.sound_on + i32((p.sound_ms * u32(image().tick_hz)) / 1000);
}

/** Idle life begins behind what has been fed: first the way home. */
export function idleOn(): void {
  memory.copy(wayTo(WAY), PLAN + PLAN_HOME_AT, 4 * usize(VALUES));
  go(plan().cross_ms, Source.idle);
  beginIdle();
}

function go(least_ms: u32, then: Source): void {
  const p = player();
  memory.copy(wayFrom(WAY), NOW, 4 * usize(VALUES));
  beginWay(WAY, (least_ms * 1000) / FRAME_US);
  p.source = Source.way;
  p.then = then;
  // Where nothing was fed for a while, the way is not late.
  if (since(play_us(), p.next_us) > 0) p.next_us = play_us();
}

/** One tick: feeds a frame where there is room. */
export function feedQueue(): void {
  const p = player();
  countTick(p);
  if (p.source == Source.nothing || queued() >= (p.source == Source.idle ? IDLE_FRAMES : QUEUE_FRAMES - ROOM)) return;
  if (p.source == Source.way) {
    nextOnWay(WAY, NOW);
    if (wayGone(WAY)) p.source = p.then;
  } else if (p.source == Source.idle) nextIdle(NOW);
  else if (nextFrame(NOW)) {
    p.hungry = 0;
    holdStill(NOW);
  } else {
    if (ended()) {
      p.source = Source.nothing;
      p.last_us = p.next_us - FRAME_US;
    } else p.hungry += 1;
    return;
  }
  give();
}

function give(): void {
  const frame = changetype<Frame>(FRAME);
  frame.at_us = player().next_us;
  frame.mask = u16(((u32(1) << u32(jointCount())) - 1) & ~((u32(1) << u32(image().leg_count)) - 1));
  offer(frame);
  player().next_us += FRAME_US;
}

function countTick(p: Player): void {
  p.tick += 1;
  if (p.tick <= 0) return;
  p.part += 1;
  if (p.part < u32(image().tick_hz)) return;
  p.part = 0;
  p.second += 1;
}

/** Whether anything is fed. */
export function feeding(): bool {
  return player().source != Source.nothing;
}
/** The show's first frame is being played. */
export function crossed(): bool {
  return since(play_us(), player().first_us) >= 0;
}
/** The show's last frame has been played. */
export function showOver(): bool {
  return player().source == Source.nothing && since(play_us(), player().last_us) >= 0;
}
/** So has its last change: what is played comes out a look-ahead later. */
export function allOut(): bool {
  return since(play_us(), player().last_us) >= i32(u32(image().look_ahead) * period_us());
}
/** The data was not what had been packed, or flash has kept it waiting for a second. */
export function showBroken(): bool {
  const p = player();
  return (p.source == Source.nothing && isSpoilt()) || p.hungry > u32(image().tick_hz);
}
/** Since the show's first frame came out, s. */
export function secondNow(): u32 {
  return player().second;
}

/** Line of the sound while it is on, as a bit. */
export function soundLine(): u32 {
  const p = player();
  return p.sound != NOBODY && p.tick >= p.sound_on && p.tick < p.sound_off ? u32(1) << u32(p.sound) : 0;
}

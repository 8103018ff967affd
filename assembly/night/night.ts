/**
 * A night: the board plays its shows alone, and an attendant sees by one light what to do. What starts and what ends a show is decided
 * here; whether and how the joints move is the guard's, which is asked as the link asks it.
 */
import { image, inputs } from '../layout';
import { breaks, listening, pulsing, raise, resting, settleAndRest, state, trip } from '../guard';
import { Event, State, Trip } from '../states';
import { isChecked, isDamaged, isRemoved, nightsOpened, showCount } from './archive';
import { Press, press, startButton } from './button';
import { Kind, allWritten, lastStopDirty, note } from './events';
import { seedIdle } from './idle';
import { Sign, shine, startLight } from './light';
import { closedPins, setLines } from './pins';
import { NOBODY, Night, PLAN_IDLE, plan } from './plan';
import * as player from './player';
import { tell } from './seen';
import * as triggers from './triggers';
import { Why } from './triggers';
import { bearable, startWarmth, warmSecond, warmest } from './warmth';

/** What is asked of the flash while it warns has come by so long after the warning, or does not come. */
const PATIENCE_S: u32 = 3;

/** Who stopped it: the detail of Kind.stop. */
const enum By {
  loop = 0,
  link = 1,
  button = 2,
}


@unmanaged
class Now {
  phase: Night;
  /** The night's plan and starts are known. */
  loaded: bool;
  /** As the archive counts nights, and its shows. */
  opened: u32;
  count: u32;
  /** Ticks of this second, and in this phase. */
  tick: u32;
  since: u32;
  /** Ticks that the warning lasts. */
  warning: u32;
  /** The show that moves it, or NOBODY: idle life, or the link. */
  show: u8;
  /** The show that waits for its start, or NOBODY; joints it holds still; nobody looks at it. */
  asked: u8;
  still: u16;
  alone: bool;
  /** Someone must look: why. And they have looked, since power. */
  barred: Sign;
  cleared: bool;
  /** Someone has ended it: nothing starts by itself until someone goes on. */
  halted: bool;
  /** It has moved since it last came to rest. */
  afoot: bool;
  tripped: bool;
  stop_open: bool;
  /** The guard's state, and its breaks, on the last tick. */
  before: State;
  breaks: u32;
  /** The show asked for last is damaged. The last refusal, noted once. */
  damaged: bool;
  refused: Why;
}
const NOW: usize = memory.data(i32(offsetof<Now>()));
// @ts-ignore: decorator
@inline function now(): Now {
  return changetype<Now>(NOW);
}

/** Power-up: nothing is known of a night yet. */
export function startNight(): void {
  memory.fill(NOW, 0, offsetof<Now>());
  startWarmth();
  startButton();
  renewNight();
}

/** Another night has come into force, or none, while the prop was limp. What was to be looked at still is. */
export function renewNight(): void {
  const n = now();
  n.loaded = false;
  n.count = showCount();
  n.opened = nightsOpened();
  n.asked = n.show = NOBODY;
  n.phase = Night.ready;
  n.damaged = false;
  n.refused = Why.none;
  setLines(0);
  triggers.startTriggers();
  player.startPlayer();
  startLight();
}

function load(): void {
  const n = now();
  if (!triggers.learnStarts()) return;
  n.loaded = true;
  n.warning = (u32(plan().warn_ms) * u32(image().tick_hz)) / 1000;
  n.before = state();
  n.breaks = breaks();
  startLight();
  seedIdle();
}

/** What the night is doing. */
export function nightState(): Night {
  const n = now();
  if (!n.loaded) return Night.none;
  if (n.phase != Night.ready) return n.phase;
  if (mustLook()) return Night.barred;
  return n.asked != NOBODY && !bearable(triggers.warmestOf(n.asked)) ? Night.cooling : Night.ready;
}

/** The link's pose frames are refused: the board plays by itself. */
export function playsAlone(): bool {
  return now().phase >= Night.warning;
}

/** One tick, after the link has been read and before the guard. */
export function nightTick(): void {
  const n = now();
  if (n.count != showCount() || n.opened != nightsOpened()) renewNight();
  if (!n.loaded) load();
  if (n.loaded) {
    triggers.watchPins(closedPins());
    watchGuard();
    watchButton();
    advance();
    look();
  }
  countSecond();
  n.before = state();
}

function countSecond(): void {
  const n = now();
  n.tick += 1;
  if (n.tick < u32(image().tick_hz)) return;
  n.tick = 0;
  warmSecond(n.phase == Night.playing);
  if (n.loaded) triggers.triggersSecond(betweenShows());
}

/** Nothing moves. */
function atRest(): bool {
  return state() == State.limp || resting() || (state() == State.tripped && !pulsing());
}
/** It may be asked for a show: it rests, or lives between shows. */
function betweenShows(): bool {
  return now().phase == Night.idle || (now().phase == Night.ready && atRest());
}

// @ts-ignore: decorator
@inline function mustLook(): bool {
  return now().barred != Sign.dark || state() == State.tripped || (!now().cleared && lastStopDirty());
}

function watchGuard(): void {
  const n = now();
  const s = state();
  if (s == State.tripped && !n.tripped) {
    bar(signOf(trip()));
    if (n.phase > Night.warning) n.phase = Night.ending;
    halt();
  }
  n.tripped = s == State.tripped;
  if (inputs().stop_open) stopOpened();
  else n.stop_open = false;
  if (pulsing() && !atRest()) n.afoot = true;
  else if (n.afoot && atRest()) {
    n.afoot = false;
    if (s == State.limp && n.before != State.settling && n.before != State.tripped) cutOff();
    if (n.barred == Sign.dark) note(Kind.stopped, 0, 0);
  }
}

/** The stop loop is open: nothing starts, and what moves is stopped by the guard on this tick. */
function stopOpened(): void {
  const n = now();
  if (!n.stop_open && pulsing() && !atRest()) {
    note(Kind.stop, u8(By.loop), 0);
    bar(Sign.look);
  }
  n.stop_open = true;
  halt();
  if (n.phase == Night.warning) n.phase = Night.ready;
  else if (n.phase > Night.warning) n.phase = Night.ending;
}

/** Its pulses went off at once, on its way: a stop of category 0. */
function cutOff(): void {
  if (!inputs().stop_open && now().barred == Sign.dark) note(Kind.stop, u8(By.link), 0);
  bar(Sign.look);
}

/** Someone must look; the first reason stays. */
function bar(why: Sign): void {
  if (now().barred == Sign.dark) now().barred = why;
}

function signOf(reason: Trip): Sign {
  return reason == Trip.supply ? Sign.supply : Sign.maker;
}

/** Someone, or a fault, has ended it: nothing goes on by itself, and what is pressed now starts nothing. */
function halt(): void {
  const n = now();
  n.halted = true;
  n.asked = NOBODY;
  player.dropShow();
  triggers.spendPins();
}

function watchButton(): void {
  const n = now();
  const quiet = n.phase == Night.ready && atRest() && n.asked == NOBODY;
  const p = press(triggers.pinClosed(plan().button), quiet);
  if (p == Press.goOn) clearNight();
  else if (p == Press.settle) {
    if (n.phase != Night.ready || !atRest()) note(Kind.stop, u8(By.button), 0);
    settle();
  }
}

/** Ends what the night does, or the link: to the rest, and nothing goes on by itself. False: it rests. */
function settle(): bool {
  const n = now();
  const quiet = n.phase == Night.ready && n.asked == NOBODY;
  halt();
  if (n.phase == Night.warning) n.phase = Night.ready;
  const settling = settleAndRest();
  if (settling) enter(Night.ending);
  return settling || !quiet;
}

/** The show ends, and the prop settles. False: there is nothing to end. */
export function stopShow(): Why {
  if (!now().loaded) return Why.noNight;
  return settle() ? Why.none : Why.notNow;
}

/** Someone has looked: at rest, with the stop loop closed, what was to be looked at is cleared, and the night goes on. */
export function clearNight(): bool {
  const n = now();
  if (inputs().stop_open || !atRest()) return false;
  const tripped = state() == State.tripped;
  if (tripped && !raise(Event.clear)) return false;
  const had = tripped || (n.loaded && (mustLook() || n.halted || n.damaged));
  if (n.loaded && (tripped || mustLook())) note(Kind.cleared, 0, 0);
  n.barred = Sign.dark;
  n.cleared = true;
  n.halted = n.damaged = n.tripped = false;
  n.refused = Why.none;
  return had;
}

/** The link asks to rouse. With a night in force the first motion from rest is warned of, whoever asks. */
export function rouseWarned(): bool {
  const n = now();
  if (!n.loaded || !atRest() || state() == State.tripped) return raise(Event.rouse);
  if (n.phase != Night.ready) return false;
  warn(NOBODY);
  return true;
}

/**
 * Starts show k now, with so many joints (bits) held still at home: someone looks at it. Returns a Why. While another plays it crosses over.
 */
export function runShow(k: u32, still: u32): Why {
  const n = now();
  if (!n.loaded || k >= n.count || isRemoved(k)) return Why.noNight;
  const rig = image();
  if (still >> u32(rig.joint_count) || still & ((u32(1) << u32(rig.leg_count)) - 1)) return Why.malformed;
  const why = n.phase == Night.ready && atRest() ? whyNot(k, false) : whyNotFrom(k);
  if (why) return refuse(why);
  if (n.phase == Night.warning || n.phase == Night.rousing) {
    n.show = u8(k);
    player.askShow(u8(k), u16(still));
    return Why.none;
  }
  if (n.phase != Night.idle && listening()) {
    // Out of another show, or of what the link plays.
    raise(Event.pause);
    player.dropShow();
    player.beginHere();
    enter(Night.idle);
  }
  ask(u8(k), u16(still), false);
  return Why.none;
}

/** The same while it moves: it can come from what plays, not from a settling. */
function whyNotFrom(k: u32): Why {
  const n = now();
  if (mustLook()) return Why.barred;
  if (n.phase == Night.ending || (n.phase == Night.ready && !listening()) || !isChecked(k)) return Why.notNow;
  return whyNot(k, false);
}

/** Why show k does not start, if so. Warmth that passes is a reason too. */
function whyNot(k: u32, alone: bool): Why {
  const n = now();
  if (inputs().stop_open) return Why.notNow;
  if (mustLook()) return Why.barred;
  if (alone && triggers.whyNotAlone()) return triggers.whyNotAlone();
  if (isDamaged(k)) {
    n.damaged = true;
    note(Kind.damaged, u8(k), 0);
    return Why.damaged;
  }
  return bearable(triggers.warmestOf(k)) ? Why.none : Why.tooWarm;
}

function refuse(why: Why): Why {
  const n = now();
  if (n.refused != why) note(Kind.refused, u8(why), 0);
  n.refused = why;
  return why;
}

function ask(k: u8, still: u16, alone: bool): void {
  const n = now();
  n.asked = k;
  n.still = still;
  n.alone = alone;
  n.halted = n.damaged = false;
  n.refused = Why.none;
}

function enter(phase: Night): void {
  const n = now();
  n.phase = phase;
  n.since = 0;
  n.breaks = breaks();
}

/** The warning before the first motion from rest: of a show, or of the link (NOBODY). What is about to happen is noted while the flash may be written. */
function warn(k: u8): void {
  const n = now();
  if (n.phase != Night.warning) enter(Night.warning);
  n.show = k;
  note(Kind.started, k, 0);
}

/** What happens next, by what it is doing. */
function advance(): void {
  const n = now();
  n.since += 1;
  if (betweenShows() && n.asked == NOBODY) nextStart();
  switch (n.phase) {
    case Night.ready:
      if (n.asked != NOBODY && atRest()) leaveRest();
      break;
    case Night.warning:
      if (warned()) moveOff();
      break;
    case Night.rousing:
      if (state() == State.live) arrive();
      else if (state() != State.rousing) ended();
      break;
    case Night.ending:
      if (atRest() || state() == State.rousing || listening()) n.phase = Night.ready;
      break;
    default:
      if (!listening() || breaks() != n.breaks) ended();
      else play();
  }
}

/** Pins, then what starts by itself. */
function nextStart(): void {
  const n = now();
  let k = triggers.startedByPin();
  const pin = k != NOBODY;
  if (!pin) k = n.halted ? NOBODY : triggers.startedByItself();
  if (k == NOBODY) return;
  const alone = !pin || triggers.unattended(k);
  let why = whyNot(k, alone);
  if (alone && n.halted) why = Why.barred;
  if (why && why != Why.tooWarm) refuse(why);
  else {
    if (why) refuse(why);
    ask(k, 0, alone);
  }
  if (!pin) triggers.turnTaken();
}

/** A show is asked for while it rests: it waits until it can be borne and its bytes are known to be whole, then warns. */
function leaveRest(): void {
  const n = now();
  const k = n.asked;
  const why = whyNot(k, n.alone);
  if (why == Why.tooWarm || (!why && !isChecked(k))) return;
  n.asked = NOBODY;
  if (why) {
    refuse(why);
    return;
  }
  player.askShow(k, n.still);
  warn(k);
}

/** Whether it has warned for long enough, and all that is wanted of flash is there; gives up where that does not come. */
function warned(): bool {
  const n = now();
  const ready = (n.show == NOBODY || player.showReady()) && allWritten();
  if (n.since <= n.warning) return false;
  if (ready) return true;
  if (n.since > n.warning + PATIENCE_S * u32(image().tick_hz)) {
    n.phase = Night.ready;
    player.dropShow();
    refuse(Why.notWritten);
  }
  return false;
}

function moveOff(): void {
  if (!raise(Event.rouse)) {
    now().phase = Night.ready;
    player.dropShow();
    refuse(Why.notNow);
  } else if (now().show == NOBODY) now().phase = Night.ready;
  else enter(Night.rousing);
}

/** Roused, at home: the show begins. */
function arrive(): void {
  if (!player.showReady()) return;
  player.beginHere();
  player.beginShow();
  enter(Night.crossing);
}

/** Live: feeds the queue, and goes from one show to the next. */
function play(): void {
  const n = now();
  if (n.phase == Night.idle) liveOn();
  else if (player.showBroken()) {
    note(Kind.damaged, n.show, 0);
    settle();
    n.damaged = true;
    return;
  } else if (n.phase == Night.crossing && player.crossed()) enter(Night.playing);
  else if (n.phase == Night.playing && player.showOver()) {
    player.dropShow();
    n.show = NOBODY;
    enter(Night.idle);
    if (plan().flags & PLAN_IDLE) player.idleOn();
  }
  player.feedQueue();
}

/** Between shows: the next one, where one is asked for; else idle life, where the plan has it and the joints bear it; else it settles. */
function liveOn(): void {
  const n = now();
  if (n.asked != NOBODY) {
    if (!isChecked(n.asked) || whyNot(n.asked, n.alone)) rest();
    else if (!player.showAsked()) player.askShow(n.asked, n.still);
    else if (player.showReady()) {
      n.show = n.asked;
      n.asked = NOBODY;
      note(Kind.started, n.show, 0);
      player.beginShow();
      enter(Night.crossing);
    }
  } else if (!player.feeding() || warmest() >= 1) rest();
}

/** It settles by itself: what waits goes on waiting. */
function rest(): void {
  player.dropShow();
  if (settleAndRest()) enter(Night.ending);
}

/** The guard, or the link through it, has ended it: it settles, stands where it was paused, or is off. */
function ended(): void {
  halt();
  now().show = NOBODY;
  enter(state() == State.settling ? Night.ending : Night.ready);
}

/** The lines, and what the record is told. */
function look(): void {
  const n = now();
  const warning = n.phase == Night.warning;
  let on: u32 = n.phase >= Night.crossing ? player.soundLine() : 0;
  if (shine(sign())) on |= line(plan().light);
  if (warning) on |= line(plan().warn);
  setLines(on);
  tell(nightState(), n.phase >= Night.crossing && n.phase <= Night.playing ? n.show : NOBODY, u16(player.secondNow()));
}

// @ts-ignore: decorator
@inline function line(k: u8): u32 {
  return k < 8 ? u32(1) << u32(k) : 0;
}

function sign(): Sign {
  const n = now();
  if (n.phase == Night.warning) return Sign.lit;
  if (!atRest()) return Sign.dark;
  if (inputs().stop_open) return Sign.stopLoop;
  if (n.barred != Sign.dark) return n.barred;
  if (state() == State.tripped) return signOf(trip());
  if (mustLook()) return Sign.powerLost;
  if (n.damaged) return Sign.damaged;
  if (n.halted) return Sign.look;
  return nightState() == Night.cooling ? Sign.cooling : Sign.ready;
}

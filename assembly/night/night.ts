/**
 * A night: the board plays its shows alone, and an attendant sees by one light what to do. What starts and what ends a show is decided
 * here; whether and how the joints move is the guard's, which is asked as the link asks it.
 */
import { image, inputs } from '../layout';
import { breaks, listening, settleAndRest, state } from '../guard';
import { State } from '../states';
import { nightsOpened, showCount } from './archive';
import { isChecked } from './checking';
import { startButton } from './button';
import { Kind, note } from './events';
import { seedIdle } from './idle';
import { startLight } from './light';
import { showNight } from './lines';
import { closedPins, setLines } from './pins';
import { NOBODY, Night, PLAN_IDLE, plan } from './plan';
import * as player from './player';
import { Now, abandon, atRest, betweenShows, enter, halt, now } from './standing';
import { leaveRest, moveOff, nextStart, warned, whyNot } from './starting';
import { By, settle, waits, watchButton, watchGuard } from './stopping';
import * as triggers from './triggers';
import { Why } from './triggers';
import { startWarmth, warmSecond, warmest } from './warmth';

// What the link asks for.
export { awaits, nightState, playsAlone } from './standing';
export { rouseWarned, runShow } from './starting';
export { clearNight, endByLink, stopShow } from './stopping';

/** Power-up: nothing is known of a night yet. */
export function startNight(): void {
  memory.fill(changetype<usize>(now()), 0, offsetof<Now>());
  startWarmth();
  startButton();
  renewNight();
}

/** Another night has come into force, or none, while the prop was limp. What was to be looked at still is. */
function renewNight(): void {
  const n = now();
  if (n.loaded && waits()) note(Kind.stop, u8(By.link), 0);
  if (n.phase == Night.warning) abandon();
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
    showNight();
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
      if (atRest() || (!inputs().stop_open && (state() == State.rousing || listening()))) n.phase = Night.ready;
      break;
    default:
      if (!listening() || breaks() != n.breaks) ended();
      else play();
  }
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
  } else if (warmest() >= 1 || (!player.feeding() && player.allOut())) rest();
}

/** It settles by itself: what waits goes on waiting. */
function rest(): void {
  player.dropShow();
  if (settleAndRest()) enter(Night.ending);
}

/** The link has ended it through the guard: it settles, stands where it was paused, or is off, which has been noted (cutOff). */
function ended(): void {
  if (state() != State.limp) note(Kind.stop, u8(By.link), 0);
  halt();
  now().show = NOBODY;
  enter(state() == State.settling ? Night.ending : Night.ready);
}

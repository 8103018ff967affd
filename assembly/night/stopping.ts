/** What ends a show, and who goes on: the guard's trips, the stop loop, the button, the link. */
import { inputs } from '../layout';
import { pulsing, raise, settleAndRest, state, trip } from '../guard';
import { Event, State } from '../states';
import { Press, press } from './button';
import { Kind, note } from './events';
import { Sign } from './light';
import { NOBODY, Night, plan } from './plan';
import { abandon, atRest, bar, enter, halt, mustLook, now, signOf } from './standing';
import * as triggers from './triggers';
import { Why } from './triggers';

/** Who stopped it: the detail of Kind.stop. */
export const enum By {
  loop = 0,
  link = 1,
  button = 2,
  /** The loop, while nothing moved: nobody has to look, and nothing starts by itself. */
  loopAtRest = 3,
}

export function watchGuard(): void {
  const n = now();
  const s = state();
  if (s == State.tripped && !n.tripped) {
    bar(signOf(trip()));
    if (n.phase == Night.warning) abandon();
    else if (n.phase > Night.warning) n.phase = Night.ending;
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
  if (!n.stop_open) {
    const moves = pulsing() && !atRest();
    if (moves || waits() || (triggers.startsAlone() && !n.halted))
      note(Kind.stop, u8(moves ? By.loop : By.loopAtRest), 0);
    if (moves) bar(Sign.look);
  }
  n.stop_open = true;
  halt();
  if (n.phase == Night.warning) abandon();
  else if (n.phase > Night.warning) n.phase = Night.ending;
}

/** A show is asked for, and nothing moves for it yet. */
export function waits(): bool {
  return now().phase == Night.warning || now().asked != NOBODY;
}

/** Its pulses went off at once, on its way: a stop of category 0. */
export function cutOff(): void {
  if (!inputs().stop_open && now().barred == Sign.dark) note(Kind.stop, u8(By.link), 0);
  bar(Sign.look);
}

export function watchButton(): void {
  const n = now();
  const quiet = n.phase == Night.ready && atRest() && n.asked == NOBODY;
  const p = press(triggers.pinClosed(plan().button), quiet);
  if (p == Press.goOn) clearNight();
  else if (p == Press.settle) {
    if (n.phase != Night.ready || !atRest() || waits()) note(Kind.stop, u8(By.button), 0);
    settle();
  }
}

/** Ends what the night does, or the link: to the rest, and nothing goes on by itself. False: it rests. */
export function settle(): bool {
  const n = now();
  const quiet = n.phase == Night.ready && n.asked == NOBODY;
  halt();
  if (n.phase == Night.warning) abandon();
  const settling = settleAndRest();
  if (settling) enter(Night.ending);
  return settling || !quiet;
}

/** The show ends, and the prop settles. False: there is nothing to end. */
export function stopShow(): Why {
  if (!now().loaded) return Why.noNight;
  if (!settle()) return Why.notNow;
  note(Kind.stop, u8(By.link), 0);
  return Why.none;
}

/** The link asks to settle, stop or pause: what is about to move does not. The guard sees to what moves. Whether there was anything. */
export function endByLink(): bool {
  const n = now();
  if (!waits() && n.phase != Night.rousing) return false;
  note(Kind.stop, u8(By.link), 0);
  halt();
  if (n.phase == Night.warning) abandon();
  else if (n.phase == Night.rousing) {
    // Roused all the same where the guard is not asked to settle, and then it is the link's.
    n.show = NOBODY;
    n.phase = Night.ready;
  }
  return true;
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

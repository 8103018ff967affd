/** What starts a show, and what speaks against it; from the asking to the first motion. */
import { image, inputs } from '../layout';
import { listening, raise, state } from '../guard';
import { Event, State } from '../states';
import { isRemoved } from './archive';
import { isChecked, isDamaged } from './checking';
import { Kind, allWritten, note } from './events';
import { NOBODY, Night, plan } from './plan';
import * as player from './player';
import { abandon, ask, atRest, enter, mustLook, now, refuse } from './standing';
import * as triggers from './triggers';
import { Why } from './triggers';
import { bearable } from './warmth';

/** What is asked of the flash while it warns has come by so long after the warning, or does not come. */
const PATIENCE_S: u32 = 3;

/** The link asks to rouse. With a night in force the first motion from rest is warned of, whoever asks. */
export function rouseWarned(): bool {
  const n = now();
  if (!n.loaded || !atRest() || state() == State.tripped) return raise(Event.rouse);
  if (n.phase != Night.ready) return false;
  n.asked = NOBODY;
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
  // It would be settled on this very tick, or could not be settled at all.
  if (triggers.pinClosed(plan().button)) return refuse(Why.heldButton);
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
export function whyNot(k: u32, alone: bool): Why {
  const n = now();
  if (inputs().stop_open) return Why.stopOpen;
  if (mustLook()) return Why.barred;
  if (alone && triggers.whyNotAlone()) return triggers.whyNotAlone();
  if (isDamaged(k)) {
    n.damaged = true;
    if (!((n.told >> k) & 1)) note(Kind.damaged, u8(k), 0);
    n.told |= u32(1) << k;
    return Why.damaged;
  }
  return bearable(triggers.warmestOf(k)) ? Why.none : Why.tooWarm;
}

/**
 * The warning before the first motion from rest: of a show, or of the link (NOBODY). What is about to happen is noted while the flash
 * may be written.
 */
export function warn(k: u8): void {
  const n = now();
  if (n.phase != Night.warning) enter(Night.warning);
  n.show = k;
  note(Kind.started, k, 0);
}

/** Pins, then what starts by itself. */
export function nextStart(): void {
  const n = now();
  let k = triggers.startedByPin();
  const pin = k != NOBODY;
  if (!pin) k = n.halted ? NOBODY : triggers.startedByItself();
  if (k == NOBODY) return;
  const alone = !pin || triggers.unattended(k);
  let why = whyNot(k, alone);
  if (alone && n.halted) why = Why.barred;
  if (why) refuse(why);
  // What is too warm waits.
  if (!why || why == Why.tooWarm) ask(k, 0, alone);
  if (!pin) triggers.turnTaken();
}

/** A show is asked for while it rests: it waits until it can be borne and its bytes are known to be whole, then warns. */
export function leaveRest(): void {
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
export function warned(): bool {
  const n = now();
  const ready = (n.show == NOBODY || player.showReady()) && allWritten();
  if (n.since <= n.warning) return false;
  if (ready) return true;
  if (n.since > n.warning + PATIENCE_S * u32(image().tick_hz)) {
    abandon();
    refuse(Why.notWritten);
  }
  return false;
}

export function moveOff(): void {
  if (!raise(Event.rouse)) {
    abandon();
    refuse(Why.notNow);
  } else if (now().show == NOBODY) now().phase = Night.ready;
  else enter(Night.rousing);
}

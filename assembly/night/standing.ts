/** How the night stands: what it is doing, what it waits for, and whether someone must look first. */
import { breaks, pulsing, resting, state } from '../guard';
import { State, Trip } from '../states';
import { Kind, lastStopDirty, note } from './events';
import { Sign } from './light';
import { NOBODY, Night } from './plan';
import * as player from './player';
import * as triggers from './triggers';
import { Why } from './triggers';
import { bearable } from './warmth';


@unmanaged
export class Now {
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
  /** Damaged shows that have been noted since power. */
  told: u32;
}
const NOW: usize = memory.data(i32(offsetof<Now>()));
// @ts-ignore: decorator
@inline export function now(): Now {
  return changetype<Now>(NOW);
}

/** What the night is doing. */
export function nightState(): Night {
  const n = now();
  if (!n.loaded) return Night.none;
  if (n.phase != Night.ready) return n.phase;
  if (mustLook()) return Night.barred;
  return n.asked != NOBODY && !bearable(triggers.warmestOf(n.asked)) ? Night.cooling : Night.ready;
}

/** Show k has been asked for, and waits: until it rests, can be borne, and its bytes are known to be whole. */
export function awaits(k: u32): bool {
  return now().loaded && u32(now().asked) == k;
}

/** The link's pose frames are refused: the board plays by itself. */
export function playsAlone(): bool {
  return now().phase >= Night.warning;
}

/** Nothing moves. */
export function atRest(): bool {
  return state() == State.limp || resting() || (state() == State.tripped && !pulsing());
}

/** It may be asked for a show: it rests, or lives between shows. */
export function betweenShows(): bool {
  return now().phase == Night.idle || (now().phase == Night.ready && atRest());
}

// @ts-ignore: decorator
@inline export function mustLook(): bool {
  return now().barred != Sign.dark || state() == State.tripped || (!now().cleared && lastStopDirty());
}

/** Someone must look; the first reason stays. */
export function bar(why: Sign): void {
  if (now().barred == Sign.dark) now().barred = why;
}

export function signOf(reason: Trip): Sign {
  return reason == Trip.supply ? Sign.supply : Sign.maker;
}

/** Someone, or a fault, has ended it: nothing goes on by itself, and what is pressed now starts nothing. */
export function halt(): void {
  const n = now();
  n.halted = true;
  n.asked = NOBODY;
  player.dropShow();
  triggers.spendPins();
}

/** It warned, and does not move after all. */
export function abandon(): void {
  now().phase = Night.ready;
  player.dropShow();
  note(Kind.stopped, 0, 0);
}

export function enter(phase: Night): void {
  const n = now();
  n.phase = phase;
  n.since = 0;
  n.breaks = breaks();
}

export function refuse(why: Why): Why {
  const n = now();
  if (n.refused != why && why != Why.damaged) note(Kind.refused, u8(why), 0);
  n.refused = why;
  return why;
}

export function ask(k: u8, still: u16, alone: bool): void {
  const n = now();
  n.asked = k;
  n.still = still;
  n.alone = alone;
  n.halted = n.damaged = false;
  n.refused = Why.none;
}

/**
 * One show played by the board at once, watched until it is over. The board plays it alone: a lost answer loses a look, and no motion.
 */
import { RESULT, TYPE } from '../controller/messages.ts';
import type { NightEntry, NightState } from '../controller/night-messages.ts';
import { type Conversation, TargetError } from '../replay/conversation.ts';
import { type Result, entryOf } from './send.ts';

/** How often it is asked what it does, us. */
const LOOK_US = 200_000;
/** A show whose bytes are not known to be whole waits; the largest room is read in less, us. What waits for longer is given up. */
const CHECKED_US = 90e6;
/** From the stop to the rest at most, us. */
const REST_US = 120e6;

/** What a run became. */
export interface Ran {
  /** What the board did, in turn, s since it was asked. */
  readonly phases: readonly { readonly state: NightState; readonly at_s: number }[];
  /** It played to its last frame. */
  readonly whole: boolean;
  /** It was stopped from here. */
  readonly stopped: boolean;
}

export interface Watched {
  /** Told whenever the board does something else. */
  readonly phase: (state: NightState, at_s: number) => void;
  /** Once it is aborted the show is stopped, and the prop settles. */
  readonly signal: AbortSignal;
}

/** Shorter than this by as much as looks may be apart, it still was whole, s. */
const SLACK_S = 1;
const AFOOT: readonly NightState[] = ['warning', 'rousing', 'crossing', 'playing', 'ending'];

/**
 * Starts show `entry`, and returns when it is over and the prop rests or lives on; a show that is refused is a result.
 * @param still joints held at home, bit j for joint j
 * @throws TargetError when the board no longer answers
 */
export async function runShow(
  talk: Conversation,
  entry: NightEntry,
  still: number,
  { phase, signal }: Watched,
): Promise<Ran | Result> {
  const result = await talk.ask(talk.send.showRun(entry.k, still));
  if (result !== RESULT.done) return result;
  const began_us = talk.session.now_us;
  const since_s = (): number => (talk.session.now_us - began_us) / 1e6;
  const phases: { state: NightState; at_s: number }[] = [];
  let stopped = false;
  for (;;) {
    if (signal.aborted && !stopped) {
      stopped = true;
      await stopShow(talk);
    }
    const seen = await entryOf(talk, entry.k);
    if (typeof seen === 'number') return seen;
    const state = seen.night;
    if (phases.at(-1)?.state !== state) {
      phases.push({ state, at_s: since_s() });
      phase(state, since_s());
    }
    if (seen.awaited && state === 'ready' && !stopped && talk.session.now_us - began_us > CHECKED_US)
      await stopShow(talk);
    const did = phases.map((one) => one.state);
    if (!seen.awaited && isDone(did)) return { phases, whole: isWhole(phases, entry), stopped };
    await talk.until(() => signal.aborted && !stopped, LOOK_US);
  }
}

/** Of a show that does not wait for its start: it has started and is over, or never will. */
function isDone(did: readonly NightState[]): boolean {
  const state = did.at(-1) ?? 'none';
  return isOver(did) ? state !== 'ending' : !AFOOT.includes(state);
}

/** It has played, or was on its way to, and does so no longer. */
function isOver(did: readonly NightState[]): boolean {
  const last = did.at(-1);
  if (last === 'playing') return false;
  return did.includes('playing') || (did.includes('crossing') && last !== 'crossing');
}

function isWhole(phases: Ran['phases'], { frames }: NightEntry): boolean {
  const at = phases.findIndex(({ state }) => state === 'playing');
  if (at < 0) return false;
  const lasted_s = (phases[at + 1]?.at_s ?? 0) - (phases[at]?.at_s ?? 0);
  return lasted_s >= frames / 50 - SLACK_S;
}

/** Ends the show that plays, or is about to. The prop settles; nothing starts by itself until someone goes on. */
export async function stopShow(talk: Conversation): Promise<Result> {
  return talk.ask(talk.send.command(TYPE.showStop));
}

/** Waits until what the board does has ended. Resolves its state; throws TargetError when it does not come to rest. */
export async function untilRest(talk: Conversation): Promise<NightState | Result> {
  const end_us = talk.session.now_us + REST_US;
  for (;;) {
    const seen = await entryOf(talk, 0);
    if (typeof seen === 'number') return seen;
    if (!AFOOT.includes(seen.night)) return seen.night;
    if (talk.session.now_us > end_us) throw new TargetError('the prop did NOT settle: cut its power');
    await talk.until(() => false, LOOK_US);
  }
}

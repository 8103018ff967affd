/** What `shows run` says while a board plays a show, and when it is over. */
import type { NightEntry, NightState } from '../../controller/night-messages.ts';
import { type Conversation, TargetError } from '../../replay/conversation.ts';
import type { Proven } from '../../replay/target.ts';
import type { LogEvent } from '../../shows/log-frames.ts';
import { kindWords } from '../../shows/log-words.ts';
import { type LogMark, eventsSince, markLog } from '../../shows/log.ts';
import type { Ran } from '../../shows/run.ts';

export interface RunReport extends Ran {
  readonly target: string;
  readonly proven: Proven;
  readonly show: string;
  readonly held: readonly string[];
  /** What the board has noted that ended it. */
  readonly reasons: readonly string[];
}

const DOES: Readonly<Record<NightState, string>> = {
  none: 'the board no longer has a night',
  barred: 'someone must look: see that nobody is near and nothing is caught, then hold the button for three seconds',
  ready: 'the prop rests',
  cooling: 'it waits until it is cool enough for this show, by its model of each servo',
  warning: 'it warns before it moves: hands clear',
  rousing: 'it rouses slowly',
  crossing: 'it goes to where the show begins',
  playing: 'it plays',
  idle: 'between shows',
  ending: 'it goes to its rest',
};

/** A line a phase, with its time since the show was asked for. */
export function phaseWords(state: NightState, at_s: number, { frames }: NightEntry): string {
  const what = state === 'playing' ? `it plays for ${(frames / 50).toFixed(1)} s` : DOES[state];
  const words = state === 'ready' && at_s < 1 ? 'it waits until the show’s bytes are checked' : what;
  return `${at_s.toFixed(1).padStart(6)} s  ${words}\n`;
}

/** Where the board's log stands; null: it keeps none. */
export async function noteStart(talk: Conversation): Promise<LogMark | null> {
  try {
    return await markLog(talk);
  } catch (error) {
    if (error instanceof TargetError) return null;
    throw error;
  }
}

const ENDS: readonly LogEvent['kind'][] = ['trip', 'stop', 'refused', 'response', 'damaged', 'power'];

/** What the board has noted since that ends a show, in words. */
export async function reasonsOf(talk: Conversation, mark: LogMark | null): Promise<readonly string[]> {
  if (!mark) return [];
  const events = await eventsSince(talk, mark);
  return events.filter(({ kind }) => ENDS.includes(kind)).map(kindWords);
}

/** How it ended, in a sentence with its line end. */
export function runWords({ show, whole, stopped, phases, reasons }: RunReport): string {
  const moved = phases.some(({ state }) => ['rousing', 'crossing', 'playing'].includes(state));
  const why = reasons.length > 0 ? `: ${reasons.join('; ')}` : '';
  const last = phases.at(-1)?.state ?? 'none';
  const then = last === 'idle' ? 'The prop lives on until its next show.' : 'The prop has settled.';
  if (whole) return `${show} has played to its end${why}. ${then}\n`;
  if (stopped) return `${show} was stopped by you. ${moved ? then : 'Nothing has moved.'}\n`;
  if (moved) return `${show} ended early${why}. ${then}\n`;
  return `${show} did not start${why === '' ? ', and the board has not noted why' : why}. Nothing has moved.\n`;
}

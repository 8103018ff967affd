/**
 * A night onto a board, and what is asked of the one it has: over a Conversation. A part that is lost is sent again; what the controller
 * refuses comes back as the result it gave. What is in a night file is another's business, but for its head.
 */
import { RESULT, TYPE } from '../controller/messages.ts';
import { type NightEntry, parseNightEntry } from '../controller/night-messages.ts';
import { type Conversation, TargetError } from '../replay/conversation.ts';

const PAGE_BYTES = 256;
const PART_BYTES = 128;
/** One try; together longer than any sector takes to be erased: 2 s for the f405's (DS8626, flash memory). */
const TRY_US = 1_500_000;
const TRIES = 5;

/** What the controller said; RESULT.done is not a refusal. */
export type Result = number;

/**
 * Sends frames whose last is answered, and all again when there is no answer, or when one of them was lost. Frames must bear being
 * repeated. Throws TargetError when nothing answers.
 */
async function insist(talk: Conversation, frames: readonly (() => Uint8Array)[]): Promise<Result> {
  for (let left = TRIES; ; left--) {
    try {
      for (const frame of frames.slice(0, -1)) talk.session.write(frame(), talk.session.now_us);
      const result = await talk.ask(frames.at(-1)!(), TRY_US);
      // Out of order: the frame before was lost.
      if (result !== RESULT.malformed || frames.length === 1 || left === 1) return result;
    } catch (error) {
      if (!(error instanceof TargetError) || left === 1) throw error;
    }
  }
}

/**
 * Sends a night. Until it returns RESULT.done the night before is in force, and from then on this one.
 * @param night bytes of a night file
 * @param progress called with the share that the board has stored, 0 to 1
 */
export async function sendNight(
  talk: Conversation,
  night: Uint8Array,
  progress: (share: number) => void = () => undefined,
): Promise<Result> {
  const pages = night.length / PAGE_BYTES;
  const begun = await insist(talk, [() => talk.send.nightBegin(pages)]);
  if (begun !== RESULT.done) return begun;
  for (let page = 0; page < pages; page++) {
    const part = (offset: number) => (): Uint8Array =>
      talk.send.nightPart(offset, night.subarray(offset, offset + PART_BYTES));
    const taken = await insist(talk, [part(page * PAGE_BYTES), part(page * PAGE_BYTES + PART_BYTES)]);
    if (taken !== RESULT.done) return taken;
    progress((page + 1) / pages);
  }
  return insist(talk, [() => talk.send.command(TYPE.nightCommit)]);
}

/** The shows of the night in force, in its order; or why there are none to tell. Throws TargetError when nothing answers. */
export async function listNight(talk: Conversation): Promise<readonly NightEntry[] | Result> {
  const entries: NightEntry[] = [];
  for (let k = 0, count = 1; k < count; k++) {
    const answer = await entryOf(talk, k);
    if (typeof answer === 'number') return answer;
    count = answer.count;
    if (k < count) entries.push(answer);
  }
  return entries;
}

/** Show k of the night in force, and what the night does; or why there is none. Throws TargetError when nothing answers. */
export async function entryOf(talk: Conversation, k: number): Promise<NightEntry | Result> {
  for (let left = TRIES; ; left--) {
    try {
      const answer = await talk.askFor(talk.send.nightList(k), TYPE.nightEntry, TRY_US);
      if (typeof answer === 'number') return answer;
      const entry = parseNightEntry(answer);
      if (entry?.k === k) return entry;
      if (left === 1) return RESULT.malformed;
    } catch (error) {
      if (!(error instanceof TargetError) || left === 1) throw error;
    }
  }
}

/** Tells the board what time it is, so that what it notes until its power goes has a time of day; undefined: not known, and nothing is sent. */
export async function tellTime(talk: Conversation, unix_s: number | undefined): Promise<void> {
  if (unix_s !== undefined) await talk.ask(talk.send.nightTime(unix_s));
}

/** Removes show k: it is never played again. The others stay as they are. */
export const removeShow = (talk: Conversation, k: number): Promise<Result> =>
  insist(talk, [() => talk.send.showRemove(k)]);

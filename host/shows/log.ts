/** Reads what a board has noted of itself: the running record and the events. */
import { RESULT, TYPE } from '../controller/messages.ts';
import { type Conversation, TargetError } from '../replay/conversation.ts';
import {
  EVENT_BYTES,
  type LogEvent,
  type LogPart,
  type LogRecord,
  WHICH,
  joined,
  nextAfter,
  parseEvents,
  parseLogPart,
  parseRecords,
  recordBytes,
} from './log-frames.ts';
import { tellTime } from './send.ts';

export interface Log {
  /** Since power, s, and which power-on it is, as the board counts. */
  readonly uptime_s: number;
  readonly boots: number;
  /** Erasures of the log's two sectors in its life. */
  readonly wear: number;
  /** Places in it that hold something that cannot be read. */
  readonly torn: number;
  /** The oldest first. */
  readonly records: readonly LogRecord[];
  readonly events: readonly LogEvent[];
  /** Of the rig that the board runs; 0: none. */
  readonly fingerprint: number;
  readonly joints: number;
}

/** A board of a large sector reads it page by page before it answers. */
const PART_US = 10_000_000;
/** No log has more parts: two sectors of 2047 events on the largest flash. */
const MOST_PARTS = 10_000;

/** Behind the last of any log. */
const END = 0xffffffff;

/** All parts of one kind, from the oldest there is, or from number `from` on. */
async function readAll(talk: Conversation, which: number, size: number, from = 0): Promise<LogPart[]> {
  const all: LogPart[] = [];
  for (let n: number | null = from; n !== null && all.length < MOST_PARTS;) {
    const part = await partFrom(talk, which, n);
    all.push(part);
    n = nextAfter(part, size);
  }
  return all;
}

async function partFrom(talk: Conversation, which: number, n: number): Promise<LogPart> {
  let answer: DataView | number = RESULT.malformed;
  try {
    answer = await talk.askFor(talk.send.readLog(which, n), TYPE.logPart, PART_US);
  } catch (error) {
    if (!(error instanceof TargetError)) throw error;
  }
  const part = typeof answer === 'number' ? null : parseLogPart(answer);
  if (part) return part;
  throw new TargetError(
    'the firmware there keeps no log: "posewright build" makes one that does, and "flash" puts it on the board',
  );
}

/** How far a log went at some instant. */
export interface LogMark {
  readonly n: number;
  readonly uptime_s: number;
  readonly boots: number;
}

/** How far it goes now. Throws TargetError when the board keeps none. */
export async function markLog(talk: Conversation): Promise<LogMark> {
  const { count, uptime_s, boots } = await partFrom(talk, WHICH.events, END);
  return { n: count, uptime_s, boots };
}

/** What has been noted since, the oldest first. */
export async function eventsSince(talk: Conversation, { n, uptime_s, boots }: LogMark): Promise<readonly LogEvent[]> {
  const { count } = await partFrom(talk, WHICH.events, END);
  // Fewer than there were: it has changed sectors.
  const parts = await readAll(talk, WHICH.events, EVENT_BYTES, count < n ? 0 : n);
  const { events } = parseEvents(joined(parts));
  return events.filter((event) => event.boots === boots && event.at_s >= uptime_s);
}

/**
 * Reads both, and tells the board what time it is, so that what it notes from now on has a time of day. Nothing moves, and nothing is
 * taken out of the log.
 * @param unix_s seconds since 1970; undefined: not known
 * @throws TargetError when the board does not answer, or keeps no log
 */
export async function readLog(talk: Conversation, unix_s: number | undefined): Promise<Log> {
  const { joints, fingerprint } = await talk.who();
  const records = await readAll(talk, WHICH.record, recordBytes(joints));
  const events = await readAll(talk, WHICH.events, EVENT_BYTES);
  const { uptime_s, boots, wear } = events.at(-1) ?? { uptime_s: 0, boots: 0, wear: 0 };
  await tellTime(talk, unix_s);
  const then_s = records.at(-1)?.uptime_s ?? 0;
  return {
    uptime_s,
    boots,
    wear,
    fingerprint,
    joints,
    records: parseRecords(joined(records), joints, then_s),
    ...parseEvents(joined(events)),
  };
}

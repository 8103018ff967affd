/** Reads what a board has noted of itself: the running record and the events. */
import { encodeFrame } from '../controller/frames.ts';
import { type Conversation, TargetError } from '../replay/conversation.ts';
import {
  EVENT_BYTES,
  LOG_PART,
  type LogEvent,
  type LogPart,
  type LogRecord,
  NIGHT_TIME,
  READ_LOG,
  WHICH,
  nightTimePayload,
  parseEvents,
  parseLogPart,
  parseRecords,
  readLogPayload,
  recordBytes,
} from './log-frames.ts';

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

/** Takes the parts out of what a conversation hears. */
export function partListener(): { frame(type: number, payload: DataView): void; take(): LogPart | null } {
  let last: LogPart | null = null;
  return {
    frame(type, payload) {
      if (type === LOG_PART) last = parseLogPart(payload);
    },
    take() {
      const part = last;
      last = null;
      return part;
    },
  };
}

type Parts = ReturnType<typeof partListener>;

/** All parts of one kind, from the oldest there is. */
async function readAll(talk: Conversation, parts: Parts, which: number, size: number): Promise<LogPart[]> {
  const all: LogPart[] = [];
  for (let n = 0; all.length < MOST_PARTS;) {
    parts.take();
    talk.session.write(encodeFrame(READ_LOG, 0, readLogPayload(which, n)), talk.session.now_us);
    let part: LogPart | null = null;
    const came = await talk.until(() => (part ??= parts.take()) !== null, PART_US);
    const got = part as LogPart | null;
    if (!came || !got)
      throw new TargetError(
        'the firmware there keeps no log: "posewright build" makes one that does, and "flash" puts it on the board',
      );
    all.push(got);
    const records = Math.floor(got.bytes.length / size);
    if (records === 0) break;
    n = got.n + records;
  }
  return all;
}

function joined(parts: readonly LogPart[]): Uint8Array {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.bytes.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part.bytes, at);
    at += part.bytes.length;
  }
  return bytes;
}

/**
 * Reads both, and tells the board what time it is, so that what it notes from now on has a time of day. Nothing moves, and nothing is
 * taken out of the log.
 * @param parts what `talk` was opened with
 * @param unix_s seconds since 1970; undefined: not known
 * @throws TargetError when the board does not answer, or keeps no log
 */
export async function readLog(talk: Conversation, parts: Parts, unix_s: number | undefined): Promise<Log> {
  const { joints, fingerprint } = await talk.who();
  const records = await readAll(talk, parts, WHICH.record, recordBytes(joints));
  const events = await readAll(talk, parts, WHICH.events, EVENT_BYTES);
  const { uptime_s, boots, wear } = events.at(-1) ?? { uptime_s: 0, boots: 0, wear: 0 };
  if (unix_s !== undefined) await talk.ask(encodeFrame(NIGHT_TIME, talk.send.sequence, nightTimePayload(unix_s)));
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

/**
 * The log on the link: what asks for it, and its bytes as plain data, as assembly/night/{part,record,events}.ts write them.
 * Little-endian, units as the names say.
 */
import crc32 from 'crc/calculators/crc32';

/** What readLog asks for. */
export const WHICH = { record: 0, events: 1 } as const;

export interface LogPart {
  readonly which: number;
  /** Number of the first record in `bytes`, and how many there are in all. */
  readonly n: number;
  readonly count: number;
  /** Since power, s. */
  readonly uptime_s: number;
  readonly boots: number;
  /** Erasures of the log's two sectors in its life. */
  readonly wear: number;
  readonly bytes: Uint8Array;
}

const PART_HEAD = 20;

/** Null when it cannot be one. */
export function parseLogPart(p: DataView): LogPart | null {
  if (p.byteLength < PART_HEAD || p.byteLength !== PART_HEAD + p.getUint16(2, true)) return null;
  return {
    which: p.getUint8(0),
    n: p.getUint32(4, true),
    count: p.getUint32(8, true),
    uptime_s: p.getUint32(12, true) / 10,
    boots: p.getUint16(16, true),
    wear: p.getUint16(18, true),
    bytes: new Uint8Array(p.buffer, p.byteOffset + PART_HEAD, p.byteLength - PART_HEAD).slice(),
  };
}

/** Number of the first record behind a part's, of `size` bytes each; null: the part has none, and there are no more. */
export function nextAfter({ n, bytes }: LogPart, size: number): number | null {
  const records = Math.floor(bytes.length / size);
  return records > 0 ? n + records : null;
}

/** The bytes of parts, one behind the other. */
export function joined(parts: readonly LogPart[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, { bytes }) => sum + bytes.length, 0));
  let at = 0;
  for (const { bytes } of parts) {
    all.set(bytes, at);
    at += bytes.length;
  }
  return all;
}

/** Four figures of a joint over a tenth of a second, in shares of its soft range from its lower end; each within 1/254. */
export interface JointSpan {
  readonly asked: readonly [lowest: number, highest: number];
  readonly delivered: readonly [lowest: number, highest: number];
}

/** A record of the running record. */
export interface LogRecord {
  /** Since power, s; and the low bits of it that stand in the record, 0.1 s, until `placed` finds the rest. */
  readonly at_s: number;
  readonly state: number;
  readonly trip: number;
  /** What the night was doing, the number of the show (0 too where there is none) and the second in it, 2047 at most. */
  readonly night: number;
  readonly show: number;
  readonly second: number;
  /** Lowest since the record before, V, to 0.05, 12.75 at most; null: not measured. */
  readonly supply_v: number | null;
  /** Of the warmest joint, in what it may bear for ever, by a model; 3.97 at most. */
  readonly warmth: number;
  /** Longest since the record before, in shares of a tick's time; 1.99 at most. */
  readonly tick_share: number;
  readonly joints: readonly JointSpan[];
}

export const recordBytes = (joints: number): number => (8 + 7 * Math.ceil(joints / 2) + 3) & ~3;

/** The times of records have 14 bits, 0.1 s. */
const TIME_MASK = 0x3fff;
const STEPS = 127;

/**
 * Records as they stand in parts, the newest last.
 * @param uptime_s when they were read: none is older than half an hour before the one after it
 */
export function parseRecords(bytes: Uint8Array, joints: number, uptime_s: number): LogRecord[] {
  const size = recordBytes(joints);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const records: LogRecord[] = [];
  let at_ds = Math.round(uptime_s * 10);
  for (let from = bytes.length - size; from >= 0; from -= size) {
    const low = view.getUint32(from, true) & TIME_MASK;
    at_ds -= (at_ds - low) & TIME_MASK;
    records.push(parseRecord(view, from, joints, at_ds / 10));
  }
  return records.reverse();
}

function parseRecord(view: DataView, from: number, joints: number, at_s: number): LogRecord {
  const first = view.getUint32(from, true);
  const next = view.getUint32(from + 4, true);
  const supply = (next >>> 9) & 255;
  return {
    at_s,
    state: (first >>> 14) & 7,
    trip: (first >>> 17) & 15,
    second: first >>> 21,
    night: next & 15,
    show: (next >>> 4) & 31,
    supply_v: supply === 0 ? null : supply / 20,
    warmth: ((next >>> 17) & 127) / 32,
    tick_share: (next >>> 24) / 128,
    joints: Array.from({ length: joints }, (_, i) => spanOf(view, from + 8 + 7 * (i >> 1), i % 2 === 1)),
  };
}

/** Eight figures of seven bits in seven bytes: the eighth in their top bits. */
function spanOf(view: DataView, from: number, isSecond: boolean): JointSpan {
  const figure = (k: number): number => {
    if (k < 7) return (view.getUint8(from + k) & 127) / STEPS;
    let bits = 0;
    for (let bit = 0; bit < 7; bit++) bits |= (view.getUint8(from + bit) >> 7) << bit;
    return bits / STEPS;
  };
  const first = isSecond ? 4 : 0;
  return { asked: [figure(first), figure(first + 1)], delivered: [figure(first + 2), figure(first + 3)] };
}

/** What an event is, by its number. */
export const KINDS = [
  '',
  'power',
  'started',
  'stopped',
  'trip',
  'stop',
  'cleared',
  'refused',
  'response',
  'damaged',
] as const;

/** How the joint of an event was found; bits of Noted.how. */
export const HOW = { hardest: 1, behind: 2, reset: 4 } as const;

export interface LogEvent {
  /** In the life of the log. */
  readonly n: number;
  /** Since power, s. */
  readonly at_s: number;
  /** Seconds since 1970; null: nobody had told the board. */
  readonly unix_s: number | null;
  readonly boots: number;
  /** How many of its kind there were since power, with this one. */
  readonly same: number;
  readonly kind: (typeof KINDS)[number];
  readonly detail: number;
  /** Number of a joint; null: none is meant. */
  readonly joint: number | null;
  readonly how: number;
  readonly value: number;
  /** null: in no show. */
  readonly second: number | null;
  readonly show: number | null;
  /** At most 20 bytes of it. */
  readonly name: string;
  readonly night: number;
  readonly state: number;
  readonly lost: number;
  readonly warmth: number;
  readonly supply_v: number | null;
  readonly longest_us: number;
}

export const EVENT_BYTES = 64;
const NAME_AT = 44;
const NOBODY = 255;

/** Events of parts, each once, the oldest first, and how many places hold something that cannot be read. */
export function parseEvents(bytes: Uint8Array): { readonly events: readonly LogEvent[]; readonly torn: number } {
  const events = new Map<number, LogEvent>();
  let torn = 0;
  for (let from = 0; from + EVENT_BYTES <= bytes.length; from += EVENT_BYTES) {
    const it = bytes.subarray(from, from + EVENT_BYTES);
    if (it.every((byte) => byte === 0xff)) continue;
    const event = parseEvent(it);
    if (event) events.set(event.n, event);
    else torn++;
  }
  return { events: [...events.values()].sort((a, b) => a.n - b.n), torn };
}

function parseEvent(bytes: Uint8Array): LogEvent | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (crc32(bytes.subarray(4)) >>> 0 !== view.getUint32(0, true)) return null;
  const show = view.getUint8(30);
  const unix = view.getUint32(12, true);
  const supply_mv = view.getUint16(36, true);
  return {
    n: view.getUint32(4, true),
    at_s: view.getUint32(8, true) / 10,
    unix_s: unix === 0 ? null : unix,
    boots: view.getUint16(16, true),
    same: view.getUint16(18, true),
    kind: KINDS[view.getUint8(20)] ?? '',
    detail: view.getUint8(21),
    joint: view.getUint8(22) === NOBODY ? null : view.getUint8(22),
    how: view.getUint8(23),
    value: view.getInt32(24, true),
    second: view.getUint16(28, true) === 0xffff ? null : view.getUint16(28, true),
    show: show === NOBODY ? null : show,
    night: view.getUint8(31),
    state: view.getUint8(32),
    lost: view.getUint8(33),
    warmth: view.getUint8(34) / 32,
    supply_v: supply_mv === 0 ? null : supply_mv / 1000,
    longest_us: view.getUint16(38, true),
    name: nameOf(bytes.subarray(NAME_AT)),
  };
}

/** Up to the first zero; a letter that the cut has split is left out. */
function nameOf(bytes: Uint8Array): string {
  const end = bytes.indexOf(0);
  const text = new TextDecoder().decode(end < 0 ? bytes : bytes.subarray(0, end));
  return text.replace(/\ufffd+$/, '');
}

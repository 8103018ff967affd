/** What a controller says of its night and its record, read. Little-endian. */

/** By number: what a night is doing. */
export const NIGHT_STATES = [
  'none',
  'barred',
  'ready',
  'cooling',
  'warning',
  'rousing',
  'crossing',
  'playing',
  'idle',
  'ending',
] as const;
export type NightState = (typeof NIGHT_STATES)[number];

/** A show of the night in force, and the night. */
export interface NightEntry {
  readonly k: number;
  /** Shows of the night, removed ones too. */
  readonly count: number;
  readonly night: NightState;
  readonly removed: boolean;
  /** Its bytes are not those that were sent; known once it is checked. */
  readonly damaged: boolean;
  readonly checked: boolean;
  /** Of the rig that the night is for. */
  readonly fingerprint: number;
  /** 50 in a second. */
  readonly frames: number;
  /** Counts the nights that were sent. */
  readonly sequence: number;
  readonly name: string;
}

const NAME_AT = 16;
const NAME_BYTES = 32;

/** Null when its length is another. */
export function parseNightEntry(p: DataView): NightEntry | null {
  if (p.byteLength !== NAME_AT + NAME_BYTES) return null;
  const flags = p.getUint8(3);
  const name = new Uint8Array(p.buffer, p.byteOffset + NAME_AT, NAME_BYTES);
  const end = name.indexOf(0);
  return {
    k: p.getUint8(0),
    count: p.getUint8(1),
    night: NIGHT_STATES[p.getUint8(2)] ?? 'none',
    removed: (flags & 1) !== 0,
    damaged: (flags & 2) !== 0,
    checked: (flags & 4) === 0,
    fingerprint: p.getUint32(4, true),
    frames: p.getUint32(8, true),
    sequence: p.getUint32(12, true),
    name: new TextDecoder().decode(end < 0 ? name : name.subarray(0, end)),
  };
}

/** A part of a record. */
export interface LogPart {
  /** 0 the running record, 1 the events. */
  readonly which: number;
  readonly n: number;
  /** Parts, or events, in all. */
  readonly count: number;
  /** Since power-up, 0.1 s. */
  readonly uptime_ds: number;
  readonly boots: number;
  /** Erasures of the record's flash. */
  readonly wear: number;
  readonly bytes: Uint8Array;
}

const BYTES_AT = 20;

/** Null when its length does not fit. */
export function parseLogPart(p: DataView): LogPart | null {
  if (p.byteLength < BYTES_AT) return null;
  const n = p.getUint16(2, true);
  if (p.byteLength !== BYTES_AT + n) return null;
  return {
    which: p.getUint8(0),
    n: p.getUint32(4, true),
    count: p.getUint32(8, true),
    uptime_ds: p.getUint32(12, true),
    boots: p.getUint16(16, true),
    wear: p.getUint16(18, true),
    bytes: new Uint8Array(p.buffer, p.byteOffset + BYTES_AT, n).slice(),
  };
}

/** What a controller says of its night, read. Little-endian. */

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
  /** It has been asked for, and waits for its start: nothing warns of it yet. */
  readonly awaited: boolean;
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
    awaited: (flags & 8) !== 0,
    fingerprint: p.getUint32(4, true),
    frames: p.getUint32(8, true),
    sequence: p.getUint32(12, true),
    name: new TextDecoder().decode(end < 0 ? name : name.subarray(0, end)),
  };
}

/** Messages of the link as plain data: their numbers and their bytes. Little-endian, units as the names say. */
import { encodeFrame } from './frames.ts';

export const PROTOCOL = 1;

export const TYPE = {
  who: 0x01,
  imageBegin: 0x02,
  imageChunk: 0x03,
  imageCommit: 0x04,
  pose: 0x05,
  rouse: 0x06,
  settle: 0x07,
  stop: 0x08,
  pause: 0x09,
  clear: 0x0a,
  report: 0x0b,
  boot: 0x0c,
  nightBegin: 0x0d,
  nightPart: 0x0e,
  nightCommit: 0x0f,
  nightList: 0x10,
  showRun: 0x11,
  showStop: 0x12,
  showRemove: 0x13,
  readLog: 0x14,
  nightTime: 0x15,
  iAm: 0x81,
  answer: 0x82,
  telemetry: 0x83,
  nightEntry: 0x84,
  logPart: 0x85,
} as const;

export const STATES = ['limp', 'rousing', 'live', 'holding', 'settling', 'tripped'] as const;
export type StateName = (typeof STATES)[number];

/** By trip number. */
export const TRIPS: readonly string[] = [
  'none',
  'link',
  'low supply',
  '',
  'late ticks',
  '',
  'watchdog',
  '',
  'a response failed',
];

/** What an answer's result means; 16 and above: the image was refused. */
export const RESULT = {
  done: 0,
  notNow: 1,
  noRig: 2,
  malformed: 3,
  notStored: 4,
  noNight: 5,
  otherRig: 6,
  barred: 7,
  tooWarm: 8,
  damaged: 9,
  noRoom: 10,
  heldButton: 11,
  stopOpen: 12,
  badImage: 16,
} as const;
const RESULTS = [
  'done',
  'wrong state',
  'no rig image',
  'malformed',
  'its flash did not store the rig',
  'it has no night stored',
  'the night is for another rig',
  'it waits for someone to look and clear it',
  'a joint is too warm',
  'what is stored is not what was sent',
  'no room for it',
  'its button is held down',
  'its stop loop is open',
];
const REFUSALS = [
  '',
  'length',
  'magic',
  'version',
  'checksum',
  'a figure out of range',
  'home out of reach',
  'rest out of reach',
  'more joints than the board has servo pins',
];

/** A result in words. */
export function resultText(result: number): string {
  if (result >= RESULT.badImage) return `rig image refused: ${REFUSALS[result - RESULT.badImage] ?? 'unknown reason'}`;
  return RESULTS[result] ?? `result ${String(result)}`;
}

/** Makes frames, numbering them. */
export interface Sender {
  /** A command without payload. */
  command(type: number): Uint8Array;
  /**
   * A pose at an instant of the controller's clock (us, wraps): values are x, y, z in mm, roll, pitch, yaw in rad, then the
   * rig's joints but the legs, of which there are `legs`; NaN leaves a joint alone.
   * @param atOnce a hand asks: the controller does not look ahead until a frame comes without this flag
   * @returns the wire bytes
   */
  pose(at_us: number, values: Float64Array, legs: number, atOnce?: boolean): Uint8Array;
  /** Telemetry every so many ticks; 0: none. */
  report(everyTicks: number): Uint8Array;
  /** A rig image as its frames, made one by one in the order to send them. */
  image(image: Uint8Array): Generator<Uint8Array>;
  /** The beginning of a night of so many pages of 256 bytes. */
  nightBegin(pages: number): Uint8Array;
  /** 128 bytes of the night, from `offset` on, a multiple of 128. */
  nightPart(offset: number, bytes: Uint8Array): Uint8Array;
  /** A question for show k of the night in force. */
  nightList(k: number): Uint8Array;
  /** Show k, with these joints held still at home, bit j for joint j. */
  showRun(k: number, still?: number): Uint8Array;
  showRemove(k: number): Uint8Array;
  /** Part n of a record: 0 the running record, 1 the events. */
  readLog(which: number, n: number): Uint8Array;
  /** The time of day, s since 1970. */
  nightTime(unix_s: number): Uint8Array;
  /** Sequence number of the last frame made. */
  readonly sequence: number;
}

/** Where the pose begins in its payload: behind instant, joints named, and flags. */
const POSE_AT = 8;
/** Of a pose's flags: it does not wait to be looked ahead to. */
const AT_ONCE = 1;
/** Image bytes a chunk carries. */
const CHUNK_BYTES = 128;

/** @param last number of the frame before its first */
export function sender(last = 255): Sender {
  let sequence = last & 0xff;
  const make = (type: number, payload: Uint8Array, length = payload.length): Uint8Array => {
    sequence = (sequence + 1) & 0xff;
    return encodeFrame(type, sequence, payload, length);
  };
  const u16 = (value: number): Uint8Array => Uint8Array.of(value & 0xff, (value >> 8) & 0xff);
  const u32 = (value: number): Uint8Array => Uint8Array.of(...u16(value & 0xffff), ...u16(value >>> 16));
  const scratch = new Uint8Array(POSE_AT + 4 * 22);
  const view = new DataView(scratch.buffer);
  return {
    command: (type) => make(type, new Uint8Array(0)),
    pose(at_us, values, legs, atOnce = false) {
      let mask = 0;
      let n = POSE_AT + 24;
      for (let i = 0; i < 6; i++) view.setFloat32(POSE_AT + 4 * i, values[i] ?? 0, true);
      for (let k = 6; k < values.length; k++) {
        const value = values[k] ?? NaN;
        if (Number.isNaN(value)) continue;
        mask |= 1 << (legs + k - 6);
        view.setFloat32(n, value, true);
        n += 4;
      }
      view.setUint32(0, at_us >>> 0, true);
      view.setUint16(4, mask, true);
      view.setUint16(6, atOnce ? AT_ONCE : 0, true);
      return make(TYPE.pose, scratch, n);
    },
    report: (everyTicks) => make(TYPE.report, u16(everyTicks)),
    *image(image) {
      yield make(TYPE.imageBegin, u16(image.length));
      for (let offset = 0; offset < image.length; offset += CHUNK_BYTES) {
        const part = image.subarray(offset, offset + CHUNK_BYTES);
        const payload = new Uint8Array(2 + part.length);
        payload.set(u16(offset));
        payload.set(part, 2);
        yield make(TYPE.imageChunk, payload);
      }
      yield make(TYPE.imageCommit, new Uint8Array(0));
    },
    nightBegin: (pages) => make(TYPE.nightBegin, u32(pages)),
    nightPart: (offset, bytes) => make(TYPE.nightPart, Uint8Array.of(...u32(offset), ...bytes)),
    nightList: (k) => make(TYPE.nightList, Uint8Array.of(k)),
    showRun: (k, still = 0) => make(TYPE.showRun, Uint8Array.of(k, ...u16(still))),
    showRemove: (k) => make(TYPE.showRemove, Uint8Array.of(k)),
    readLog: (which, n) => make(TYPE.readLog, Uint8Array.of(which, ...u32(n))),
    nightTime: (unix_s) => make(TYPE.nightTime, u32(unix_s)),
    get sequence() {
      return sequence;
    },
  };
}

/** Who answered. */
export interface IAm {
  readonly protocol: number;
  readonly board: number;
  readonly pins: number;
  readonly state: number;
  /** 0: no rig image. */
  readonly fingerprint: number;
  readonly now_us: number;
  readonly tick_hz: number;
  readonly rx_bytes: number;
  readonly image_max: number;
  readonly queue_frames: number;
  readonly joints: number;
  /** The rig in force is in the board's flash too, and outlives a loss of power. */
  readonly stored: boolean;
}

/** Null when too short to be one. */
export function parseIAm(p: DataView): IAm | null {
  if (p.byteLength < 20) return null;
  return {
    protocol: p.getUint8(0),
    board: p.getUint8(1),
    pins: p.getUint8(2),
    state: p.getUint8(3),
    fingerprint: p.getUint32(4, true),
    now_us: p.getUint32(8, true),
    tick_hz: p.getUint16(12, true),
    rx_bytes: p.getUint16(14, true),
    image_max: p.getUint16(16, true),
    queue_frames: p.getUint8(18),
    joints: p.getUint8(19),
    // What is not told is not taken for stored.
    stored: p.byteLength >= 22 && p.getUint8(21) !== 0,
  };
}

export interface CommandAnswer {
  readonly type: number;
  readonly sequence: number;
  readonly result: number;
}

export function parseAnswer(p: DataView): CommandAnswer | null {
  if (p.byteLength < 3) return null;
  return { type: p.getUint8(0), sequence: p.getUint8(1), result: p.getUint8(2) };
}

/** Frames that the controller did not use, counted since its start (u16, wrap). */
export const COUNTERS = ['checksum', 'framing', 'unknown', 'value', 'late', 'doubled', 'full', 'refused'] as const;

/** One telemetry frame; parsed in place, so keep nothing of it. Coordinates rad or mm, f32 exact, rates per tick. */
export interface Telemetry {
  tick: number;
  now_us: number;
  state: number;
  trip: number;
  /** On this tick. */
  starved: boolean;
  unreachable: boolean;
  resting: boolean;
  stopOpen: boolean;
  joints: number;
  queued: number;
  /** The last pose frame taken: its sequence number, and how many ticks ago. */
  lastPose: number;
  lastPoseTicks: number;
  /** Since the last telemetry: ticks in all, without a newer frame, with a pose out of reach; the longest tick. */
  ticks: number;
  starvedTicks: number;
  unreachableTicks: number;
  tick_us: number;
  counters: Uint16Array;
  position: Float64Array;
  /** Since the last telemetry: places, steps, and changes of step, the lowest and the highest. */
  lowest: Float64Array;
  highest: Float64Array;
  rise: Float64Array;
  fall: Float64Array;
  plus: Float64Array;
  minus: Float64Array;
  pulse_us: Uint16Array;
  /** Ticks on which limits held the joint back. */
  held: Uint16Array;
}

export function emptyTelemetry(): Telemetry {
  const floats = (): Float64Array => new Float64Array(16);
  return {
    tick: 0,
    now_us: 0,
    state: 0,
    trip: 0,
    starved: false,
    unreachable: false,
    resting: false,
    stopOpen: false,
    joints: 0,
    queued: 0,
    lastPose: 0,
    lastPoseTicks: 0,
    ticks: 0,
    starvedTicks: 0,
    unreachableTicks: 0,
    tick_us: 0,
    counters: new Uint16Array(COUNTERS.length),
    position: floats(),
    lowest: floats(),
    highest: floats(),
    rise: floats(),
    fall: floats(),
    plus: floats(),
    minus: floats(),
    pulse_us: new Uint16Array(16),
    held: new Uint16Array(16),
  };
}

/** Bytes before the joints' records, and of each record. */
const TELEMETRY_HEAD = 40;
const JOINT_BYTES = 32;

/** Parses into `t`; false when the payload's length does not fit. */
export function parseTelemetry(p: DataView, t: Telemetry): boolean {
  if (p.byteLength < TELEMETRY_HEAD) return false;
  const joints = p.getUint8(11);
  if (joints > 16 || p.byteLength !== TELEMETRY_HEAD + JOINT_BYTES * joints) return false;
  t.tick = p.getUint32(0, true);
  t.now_us = p.getUint32(4, true);
  t.state = p.getUint8(8);
  t.trip = p.getUint8(9);
  const flags = p.getUint8(10);
  t.starved = (flags & 1) !== 0;
  t.unreachable = (flags & 2) !== 0;
  t.resting = (flags & 4) !== 0;
  t.stopOpen = (flags & 8) !== 0;
  t.joints = joints;
  t.tick_us = p.getUint16(12, true);
  t.queued = p.getUint8(14);
  t.lastPose = p.getUint8(15);
  t.ticks = p.getUint16(16, true);
  t.starvedTicks = p.getUint16(18, true);
  t.unreachableTicks = p.getUint16(20, true);
  t.lastPoseTicks = p.getUint16(22, true);
  for (let i = 0; i < COUNTERS.length; i++) t.counters[i] = p.getUint16(24 + 2 * i, true);
  for (let i = 0, at = TELEMETRY_HEAD; i < joints; i++, at += JOINT_BYTES) {
    t.position[i] = p.getFloat32(at, true);
    t.lowest[i] = p.getFloat32(at + 4, true);
    t.highest[i] = p.getFloat32(at + 8, true);
    t.rise[i] = p.getFloat32(at + 12, true);
    t.fall[i] = p.getFloat32(at + 16, true);
    t.plus[i] = p.getFloat32(at + 20, true);
    t.minus[i] = p.getFloat32(at + 24, true);
    t.pulse_us[i] = p.getUint16(at + 28, true);
    t.held[i] = p.getUint16(at + 30, true);
  }
  return true;
}

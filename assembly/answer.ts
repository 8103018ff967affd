/**
 * What goes out on the link: frames with their numbers, an answer to each command, bytes in the transmit ring. What comes in is link.ts's.
 */
import { RING_DATA_AT, Ring, TX, TX_BYTES } from './layout';
import { encode } from './cobs';
import { crc16 } from './crc';

/** Types of frames. From the host below 0x80, to the host above. Numbers are never reused. */
export const enum Type {
  who = 0x01,
  imageBegin = 0x02,
  imageChunk = 0x03,
  imageCommit = 0x04,
  pose = 0x05,
  rouse = 0x06,
  settle = 0x07,
  stop = 0x08,
  pause = 0x09,
  clear = 0x0a,
  report = 0x0b,
  boot = 0x0c,
  nightBegin = 0x0d,
  nightPart = 0x0e,
  nightCommit = 0x0f,
  nightList = 0x10,
  showRun = 0x11,
  showStop = 0x12,
  showRemove = 0x13,
  readLog = 0x14,
  nightTime = 0x15,
  iAm = 0x81,
  answer = 0x82,
  telemetry = 0x83,
  nightEntry = 0x84,
  logPart = 0x85,
}

/** What an answer says. An image's refusal is added to badImage. */
export const enum Result {
  done = 0,
  notNow = 1,
  noRig = 2,
  malformed = 3,
  /** The rig is in force, and the board's flash did not take it: it is gone with the power. */
  notStored = 4,
  /** No night is stored, or the board has no room for any. */
  noNight = 5,
  /** The night is for another rig. */
  otherRig = 6,
  /** Someone must look, and clear it. */
  barred = 7,
  tooWarm = 8,
  /** What is stored is not what was sent. */
  damaged = 9,
  noRoom = 10,
  /** The night's button is held down: nothing could be stopped by it. */
  heldButton = 11,
  stopOpen = 12,
  badImage = 16,
  /** Of a function here, never on the line: the answer comes on a later tick. */
  later = 255,
}

export const CRC_BYTES: u32 = 2;
export const HEAD_BYTES: u32 = 2;
/** Frames begin two bytes past a word, so that their payloads are aligned: no chip need read across a word's edge. */
export const OUT: usize = memory.data(564) + 2;
/** The number of the next frame sent. */
const SEQUENCE: usize = memory.data(4);

export function startAnswers(): void {
  store<u32>(SEQUENCE, 0);
}

/** Answers a command: its type, its sequence, the result. */
export function answerTo(type: u8, sequence: u8, result: Result): void {
  store<u8>(OUT, Type.answer);
  store<u8>(OUT, type, 2);
  store<u8>(OUT, sequence, 3);
  store<u8>(OUT, result, 4);
  send(5);
}

/** Sends the n bytes at OUT, whose type stands already: adds sequence and CRC. Dropped whole when the ring has no room. */
export function send(n: u32): void {
  const sequence = load<u8>(SEQUENCE);
  store<u8>(SEQUENCE, sequence + 1);
  store<u8>(OUT, sequence, 1);
  const bytes = n + CRC_BYTES;
  const ring = changetype<Ring>(TX);
  // Zeros between frames mean nothing: as many as bring the payload to whole words of the ring, behind code, type, sequence.
  const pad: u32 = (1 - ring.head) & 3;
  // A code for every block of 254 begun, and the delimiter.
  if (TX_BYTES - (ring.head - ring.tail) < pad + bytes + 2 + bytes / 254) return;
  const crc = crc16(OUT, n);
  store<u8>(OUT + usize(n), u8(crc));
  store<u8>(OUT + usize(n), u8(crc >> 8), 1);
  for (let i: u32 = 0; i < pad; i++) store<u8>(TX + RING_DATA_AT + usize((ring.head + i) & (TX_BYTES - 1)), 0);
  const head = encode(OUT, bytes, TX + RING_DATA_AT, TX_BYTES - 1, ring.head + pad);
  store<u8>(TX + RING_DATA_AT + usize(head & (TX_BYTES - 1)), 0);
  ring.head = head + 1;
}

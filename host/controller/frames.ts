/**
 * Frames of the link, host side: type, sequence, payload, CRC-16/IBM-3740, COBS, a zero byte at the end. The controller brings
 * its own of both: each checks the other.
 */
import { crc16 } from './checksum.ts';
import { stuff, unstuff } from './stuffing.ts';

/** Longest frame, raw or on the wire; a longer run without a zero is garbage. */
const LONGEST = 1024;
/** What is being encoded, before and after stuffing. */
const raw = new Uint8Array(LONGEST);
const wire = new Uint8Array(LONGEST);

/** The wire form of one frame, delimiter included. @param length bytes of the payload, its first ones; at most 1000. */
export function encodeFrame(type: number, sequence: number, payload: Uint8Array, length = payload.length): Uint8Array {
  const n = length + 2;
  raw[0] = type;
  raw[1] = sequence;
  for (let i = 0; i < length; i++) raw[i + 2] = payload[i]!;
  const crc = crc16(raw, n);
  raw[n] = crc & 0xff;
  raw[n + 1] = crc >> 8;
  const end = stuff(raw, n + 2, wire);
  wire[end] = 0;
  return wire.slice(0, end + 1);
}

export interface FrameSink {
  /** `payload` views the frame and holds until the call returns. */
  frame(type: number, sequence: number, payload: DataView): void;
  /** A frame that cannot be right. */
  bad(): void;
}

/** Takes bytes in any pieces and hands on whole frames. */
export function frameReader(sink: FrameSink): (bytes: Uint8Array) => void {
  const pending = new Uint8Array(LONGEST);
  const frame = new Uint8Array(LONGEST);
  let n = 0;
  // Kept from one frame to the next: most are of one length.
  let payload = new DataView(frame.buffer, 2, 0);

  const open = (bytes: Uint8Array, from: number, end: number): void => {
    const body = unstuff(bytes, from, end, frame) - 2;
    if (body < 2) {
      sink.bad();
      return;
    }
    if (crc16(frame, body) !== frame[body]! + (frame[body + 1]! << 8)) sink.bad();
    else {
      if (payload.byteLength !== body - 2) payload = new DataView(frame.buffer, 2, body - 2);
      sink.frame(frame[0]!, frame[1]!, payload);
    }
  };

  return (bytes) => {
    let from = 0;
    while (from < bytes.length) {
      const end = bytes.indexOf(0, from);
      const stop = end < 0 ? bytes.length : end;
      if (n + stop - from > LONGEST) {
        n = 0;
        sink.bad();
        if (end < 0) return;
      } else if (end < 0) {
        pending.set(bytes.subarray(from), n);
        n += bytes.length - from;
        return;
      } else if (n > 0) {
        pending.set(bytes.subarray(from, end), n);
        open(pending, 0, n + end - from);
        n = 0;
      } else if (end > from) open(bytes, from, end);
      from = end + 1;
    }
  };
}

/**
 * Frames of the link, host side: type, sequence, payload, CRC-16/IBM-3740, COBS, a zero byte at the end. COBS and CRC come
 * from libraries, the controller brings its own: each checks the other.
 */
import { decode, encode } from 'cobs';
import crc16 from 'crc/calculators/crc16ccitt';

/** The wire form of one frame, delimiter included. */
export function encodeFrame(type: number, sequence: number, payload: Uint8Array): Uint8Array {
  const n = payload.length + 2;
  const raw = new Uint8Array(n + 2);
  raw[0] = type;
  raw[1] = sequence;
  raw.set(payload, 2);
  const crc = crc16(raw.subarray(0, n));
  raw[n] = crc & 0xff;
  raw[n + 1] = crc >> 8;
  const stuffed = encode(raw);
  const wire = new Uint8Array(stuffed.length + 1);
  wire.set(stuffed);
  return wire;
}

export interface FrameSink {
  /** `payload` views the frame and holds until the call returns. */
  frame(type: number, sequence: number, payload: DataView): void;
  /** A frame that cannot be right. */
  bad(): void;
}

/** Longest wire frame that is waited for; a longer run without a zero is garbage. */
const LONGEST = 1024;

/** Takes bytes in any pieces and hands on whole frames. */
export function frameReader(sink: FrameSink): (bytes: Uint8Array) => void {
  const pending = new Uint8Array(LONGEST);
  let n = 0;

  const open = (wire: Uint8Array): void => {
    const raw = decode(wire);
    const body = raw.length - 2;
    if (body < 2 || crc16(raw.subarray(0, body)) !== (raw[body] ?? 0) + ((raw[body + 1] ?? 0) << 8)) sink.bad();
    else sink.frame(raw[0] ?? 0, raw[1] ?? 0, new DataView(raw.buffer, raw.byteOffset + 2, body - 2));
  };

  return (bytes) => {
    let from = 0;
    for (;;) {
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
        open(pending.subarray(0, n + end - from));
        n = 0;
      } else if (end > from) open(bytes.subarray(from, end));
      from = end + 1;
    }
  };
}

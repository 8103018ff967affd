/** Requests on endpoint 0, as a host makes them: USB 2.0 chapter 9, CDC PSTN 1.2 section 6.3. */

/** Bytes of a full packet. */
export const PACKET = 64;

/** A request and what became of it: bytes (none: an empty array), null while it lasts or when it was stalled. */
export interface Request {
  readonly setup: Uint8Array;
  readonly data?: Uint8Array | undefined;
  bytes: Uint8Array | null;
  stalled: boolean;
}

/** Two bytes, low first. */
const word = (value: number): [number, number] => [value & 0xff, value >> 8];

/** A request as the eight bytes of its SETUP packet (USB 2.0 table 9-2); `data` goes to the device. */
export function request(type: number, code: number, value = 0, index = 0, length = 0, data?: Uint8Array): Request {
  const setup = Uint8Array.of(type, code, ...word(value), ...word(index), ...word(data?.length ?? length));
  return { setup, data, bytes: null, stalled: false };
}

export const describe = (type: number, index: number, length: number): Request =>
  request(0x80, 6, (type << 8) | index, type === 3 && index > 0 ? 0x0409 : 0, length);
export const lineCoding = (baud: number): Request =>
  request(0x21, 0x20, 0, 0, 7, Uint8Array.of(baud & 0xff, (baud >> 8) & 0xff, (baud >> 16) & 0xff, 0, 0, 0, 8));
/** DTR and RTS together, as a host's serial port has them. */
export const lineState = (on: boolean): Request => request(0x21, 0x22, on ? 3 : 0);

/** In a sentence. */
export const nameOf = ({ setup }: Request): string => `request ${Buffer.from(setup).toString('hex')}`;

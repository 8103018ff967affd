declare module 'cobs' {
  /** Stuffed bytes without the delimiter. */
  export function encode(bytes: Uint8Array): Uint8Array;
  /** Inverse of encode; does not check its input. */
  export function decode(bytes: Uint8Array): Uint8Array;
}

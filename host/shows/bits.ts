/** A string of bits, most significant first: written, and read again. */

/** Ones after which a code says its 16 bits outright. */
const ESCAPE = 16;

/** 0, -1, 1, -2, 2 … as 0, 1, 2, 3, 4 … */
export const zigzag = (value: number): number => (value < 0 ? -2 * value - 1 : 2 * value);

/** Bits of a Rice code of a zigzag with k low bits. */
export const riceBits = (code: number, k: number): number => {
  const ones = code >> k;
  return ones < ESCAPE ? ones + 1 + k : 2 * ESCAPE;
};

export class BitWriter {
  private readonly out: number[] = [];
  private hold = 0;
  private have = 0;

  /** The low n bits of a number, n <= 24. */
  put(bits: number, n: number): void {
    for (let left = n; left > 0;) {
      const some = Math.min(left, 8 - this.have);
      left -= some;
      this.hold = (this.hold << some) | ((bits >> left) & ((1 << some) - 1));
      this.have += some;
      if (this.have === 8) this.flush();
    }
  }

  /** A zigzag below 2^16 as a Rice code. */
  putRice(code: number, k: number): void {
    const ones = code >> k;
    if (ones >= ESCAPE) {
      this.put(0xffff, ESCAPE);
      this.put(code, 16);
      return;
    }
    this.put((1 << (ones + 1)) - 2, ones + 1);
    this.put(code & ((1 << k) - 1), k);
  }

  /** Zeros up to the next byte. */
  toByte(): void {
    if (this.have > 0) this.put(0, 8 - this.have);
  }

  bytes(): Uint8Array<ArrayBuffer> {
    return Uint8Array.from(this.out);
  }

  private flush(): void {
    this.out.push(this.hold);
    this.hold = this.have = 0;
  }
}

/** Beyond its bytes a reader finds zeros. */
export class BitReader {
  private readonly bytes: Uint8Array;
  private at = 0;

  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
  }

  take(n: number): number {
    let bits = 0;
    for (let i = 0; i < n; i++, this.at++)
      bits = (bits << 1) | (((this.bytes[this.at >> 3] ?? 0) >> (7 - (this.at & 7))) & 1);
    return bits;
  }

  takeSigned(n: number): number {
    return (this.take(n) << (32 - n)) >> (32 - n);
  }

  takeRice(k: number): number {
    let ones = 0;
    while (ones < ESCAPE && this.take(1) === 1) ones++;
    const code = ones === ESCAPE ? this.take(16) : (ones << k) | this.take(k);
    return (code >> 1) ^ -(code & 1);
  }

  toByte(): void {
    this.at = (this.at + 7) & ~7;
  }

  /** Bytes that are taken, one that is begun included. */
  get taken(): number {
    return (this.at + 7) >> 3;
  }
}

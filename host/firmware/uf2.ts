/**
 * USB Flashing Format: a binary cut into blocks that a board's drive takes in any order (Microsoft, "USB Flashing Format (UF2)").
 */
import { UF2Flags, blockSize, encodeBlock, uf2Families } from 'uf2';

/** What every reader takes, and the page of the flash of every board so far. */
const PAYLOAD_BYTES = 256;

/** Bytes and where they stand. */
export interface Stretch {
  readonly address: number;
  readonly data: Uint8Array;
}

/**
 * A UF2 file of stretches of flash. `family` is the chip's short name in the public list of families, such as RP2040; null when
 * it is not in there. A stretch's last block is filled up with 0xff, as erased flash reads.
 */
export function toUf2(stretches: readonly Stretch[], family: string): Uint8Array | null {
  const boardFamily = uf2Families.find(({ shortName }) => shortName === family)?.id;
  if (boardFamily === undefined) return null;
  const totalBlocks = stretches.reduce((sum, { data }) => sum + Math.ceil(data.length / PAYLOAD_BYTES), 0);
  const file = new Uint8Array(totalBlocks * blockSize);
  let blockNumber = 0;
  for (const { address, data } of stretches)
    for (let at = 0; at < data.length; at += PAYLOAD_BYTES, blockNumber++) {
      const payload = new Uint8Array(PAYLOAD_BYTES).fill(0xff);
      payload.set(data.subarray(at, at + PAYLOAD_BYTES));
      const block = { flags: UF2Flags.familyIDPresent, flashAddress: address + at, payload };
      encodeBlock({ ...block, blockNumber, totalBlocks, boardFamily }, file, blockNumber * blockSize);
    }
  return file;
}

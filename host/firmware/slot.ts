/** The flash slots of a board as boards/slots.c reads them: a rig image in the first, the second blank. */
import crc32 from 'crc/calculators/crc32';

const MAGIC = 0x544c5350;
const IMAGE_AT = 256;
const FIRST_SEQUENCE = 1;

/** Both slots, each `slot_bytes` long: what was stored before is gone, so that an older rig cannot win. */
export function slotsWith(image: Uint8Array, slot_bytes: number): Uint8Array {
  const slots = new Uint8Array(2 * slot_bytes).fill(0xff);
  const view = new DataView(slots.buffer);
  [MAGIC, FIRST_SEQUENCE, image.length].forEach((word, i) => {
    view.setUint32(4 * i, word, true);
  });
  const covered = new Uint8Array(12 + image.length);
  covered.set(slots.subarray(0, 12));
  covered.set(image, 12);
  view.setUint32(12, crc32(covered) >>> 0, true);
  slots.set(image, IMAGE_AT);
  return slots;
}

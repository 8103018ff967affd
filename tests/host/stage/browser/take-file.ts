/** Files that a person would bring: a sound of a few syllables, and what a take's file holds of a column. */
import type { Page } from 'playwright-core';

const RATE_HZ = 16_000;

/** A wav (RIFF, 16 bit, one channel): noise for 0.25 s at each of these instants, silence between them. */
export function syllables(at_s: readonly number[], seconds: number): Buffer {
  const count = Math.round(seconds * RATE_HZ);
  const wav = Buffer.alloc(44 + 2 * count);
  wav.write('RIFF', 0);
  wav.writeUInt32LE(36 + 2 * count, 4);
  wav.write('WAVEfmt ', 8);
  wav.writeUInt32LE(16, 16);
  wav.writeUInt16LE(1, 20);
  wav.writeUInt16LE(1, 22);
  wav.writeUInt32LE(RATE_HZ, 24);
  wav.writeUInt32LE(2 * RATE_HZ, 28);
  wav.writeUInt16LE(2, 32);
  wav.writeUInt16LE(16, 34);
  wav.write('data', 36);
  wav.writeUInt32LE(2 * count, 40);
  let seed = 1;
  for (let n = 0; n < count; n++) {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    const part = at_s.map((from_s) => (n / RATE_HZ - from_s) / 0.25).find((share) => share >= 0 && share < 1);
    const loud = part === undefined ? 0 : Math.sin(Math.PI * part);
    wav.writeInt16LE(Math.round(loud * 12_000 * (seed / 2 ** 31 - 1)), 44 + 2 * n);
  }
  return wav;
}

/** Drops a file on the place in view. */
export const dropped = (page: Page, name: string, bytes: Buffer): Promise<void> =>
  page.evaluate(
    ({ text, called }) => {
      const data = new DataTransfer();
      data.items.add(new File([Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0))], called));
      document
        .querySelector('main section')!
        .dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }));
    },
    { text: bytes.toString('base64'), called: name },
  );

/** A column of a stream's text, frame by frame. */
export function columnOf(text: string, name: string): number[] {
  const [head = '', ...rows] = text.split('\n').filter((line) => line !== '' && !line.startsWith('#'));
  const k = head.split(',').indexOf(name);
  if (k < 0) throw new Error(`there is no column ${name}`);
  return rows.map((row) => Number(row.split(',')[k]));
}

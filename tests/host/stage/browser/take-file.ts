/** Files that a person would bring: a sound of a few syllables, and what a take's file holds of a column. */
import type { Page } from 'playwright-core';
import { RATE_HZ, wavOf } from '../../../../host/build/bench/wav.ts';

/** A wav: noise for 0.25 s at each of these instants, silence between them. */
export function syllables(at_s: readonly number[], seconds: number): Buffer {
  let seed = 1;
  return wavOf(seconds, (n) => {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    const part = at_s.map((from_s) => (n / RATE_HZ - from_s) / 0.25).find((share) => share >= 0 && share < 1);
    const loud = part === undefined ? 0 : Math.sin(Math.PI * part);
    return loud * 12_000 * (seed / 2 ** 31 - 1);
  });
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

/** Standard output and standard error of this process, written at once: a thread that is stopped has written what it said. */
import { writeSync } from 'node:fs';
import { isatty } from 'node:tty';
import { faultWords } from './faults.ts';
import type { Writer } from './io.ts';

/** Standard output takes no more, in words: a full disk, a failed device. That nobody reads on is none. */
export class OutputFault extends Error {}

const AGAIN_MS = 5;
const bell = new Int32Array(new SharedArrayBuffer(4));

const codeOf = (error: unknown): unknown => (error instanceof Error && 'code' in error ? error.code : null);

/** How many of the bytes were taken; 0: none for now, since a reader with a pipe that does not block is slow. */
function take(descriptor: number, bytes: Uint8Array): number {
  try {
    return writeSync(descriptor, bytes);
  } catch (error) {
    if (codeOf(error) !== 'EAGAIN') throw error;
    Atomics.wait(bell, 0, 0, AGAIN_MS);
    return 0;
  }
}

/**
 * The writer of a file descriptor. A reader that has read enough, such as `head`, closes the pipe: no fault, and the work is still
 * finished. Any other fault of standard output is an OutputFault, thrown; of standard error there is nobody to tell.
 */
export function standardWriter(descriptor: 1 | 2, columns: number | undefined): Writer {
  let isOpen = true;
  return {
    isTTY: isatty(descriptor),
    columns,
    write: (text) => {
      const bytes = Buffer.from(text);
      try {
        for (let taken = 0; isOpen && taken < bytes.length;) taken += take(descriptor, bytes.subarray(taken));
      } catch (error) {
        isOpen = false;
        if (descriptor === 1 && codeOf(error) !== 'EPIPE') throw new OutputFault(faultWords(error));
      }
    },
  };
}

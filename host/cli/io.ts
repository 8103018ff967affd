/** What a command may touch of the process around it, as parameters, so that tests run commands in their own process. */
import { createColors } from 'picocolors';

export interface Writer {
  write(text: string): unknown;
  readonly isTTY?: boolean | undefined;
  readonly columns?: number | undefined;
}

export interface Io {
  readonly stdout: Writer;
  readonly stderr: Writer;
  readonly stdin: AsyncIterable<Uint8Array>;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** Milliseconds of a clock that never goes back; its origin means nothing. */
  now(): number;
  /** The wall clock, seconds since 1970; without, what time it is is not known. */
  today?(): number;
  /** What an interrupt (Ctrl-C) does instead of ending the program at once; null: that again. A second one always ends it. */
  onInterrupt(handler: (() => void) | null): void;
}

/** How a command ended: 0 done and within limits, 1 done and something is out of limits, 2 bad input or usage. */
export type ExitCode = 0 | 1 | 2;

/** What a command calls once, last. */
export type Done = (code: ExitCode) => void;

/** Colours for one stream: none unless it is a terminal, nor where NO_COLOR is set (no-color.org). */
export const coloursOf = (io: Io, stream: Writer): ReturnType<typeof createColors> =>
  createColors(stream.isTTY === true && (io.env['NO_COLOR'] ?? '') === '');

const WIDTH_WITHOUT_TERMINAL = 100;
const WIDEST = 120;

/** Columns to fill with running text. */
export const widthOf = (stream: Writer): number => Math.min(stream.columns ?? WIDTH_WITHOUT_TERMINAL, WIDEST);

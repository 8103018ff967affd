/**
 * A controller at the end of a line in real time: a pseudo-terminal or a serial port. Bytes leave when their time comes, what
 * arrives is handed on at once. Its session's time is this computer's; the controller's own clock is found from telemetry.
 */
import type { Listener, Session } from '../replay/target.ts';

/** What a line must do; errors after opening end in `onError`. */
export interface Port {
  write(bytes: Uint8Array): void;
  onData(sink: (bytes: Uint8Array) => void): void;
  onError(sink: (error: Error) => void): void;
  close(): Promise<void>;
}

/** Longest pause between two looks at what is due. */
const SLICE_MS = 5;

/** clock: milliseconds that only go on. */
export function lineSession(port: Port, listener: Listener, clock: () => number): Session {
  const opened_ms = clock();
  const now_us = (): number => (clock() - opened_ms) * 1000;
  const waiting: { readonly bytes: Uint8Array; readonly at_us: number }[] = [];
  let failed: Error | null = null;
  port.onData((bytes) => {
    listener.bytes(bytes);
  });
  port.onError((error) => {
    failed = error;
  });
  const sendDue = (): void => {
    while (waiting[0] && waiting[0].at_us <= now_us()) port.write(waiting.shift()!.bytes);
  };
  const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
  return {
    get now_us() {
      return now_us();
    },
    sharesClock: false,
    write(bytes, at_us) {
      waiting.push({ bytes, at_us });
      sendDue();
    },
    async advance(to_us) {
      for (;;) {
        sendDue();
        if (failed) throw failed;
        const left_us = to_us - now_us();
        if (left_us <= 0) return;
        const next_us = (waiting[0]?.at_us ?? Infinity) - now_us();
        await pause(Math.max(0, Math.min(left_us, next_us, SLICE_MS * 1000)) / 1000);
      }
    },
    close: () => port.close(),
  };
}

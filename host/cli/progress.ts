/** A progress bar on standard error while something long runs; nothing where that is no terminal. */
import { Writable } from 'node:stream';
import { SingleBar } from 'cli-progress';
import type { Io } from './io.ts';

export interface Progress {
  /** How far it has come, in the unit of `total`. */
  update(value: number): void;
  stop(): void;
}

const SILENT: Progress = { update: () => undefined, stop: () => undefined };

/** `what` stands before the bar, `unit` behind the figures. */
export function startProgress(io: Io, what: string, total: number, unit: string): Progress {
  const { stderr } = io;
  if (stderr.isTTY !== true || !(total > 0)) return SILENT;
  const stream = new Writable({
    decodeStrings: false,
    write(chunk: string | Buffer, _encoding, written) {
      stderr.write(chunk.toString());
      written();
    },
  });
  const bar = new SingleBar({
    format: `${what} {bar} {percentage} %  {value} of {total} ${unit}`,
    stream: Object.assign(stream, { isTTY: true, columns: stderr.columns ?? 80 }),
    clearOnComplete: true,
  });
  bar.start(Math.round(total), 0);
  return {
    update: (value) => {
      bar.update(Math.round(value));
    },
    stop: () => {
      bar.stop();
    },
  };
}

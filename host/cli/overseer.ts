/**
 * Runs a command in a thread of its own, so that this one always hears signals, whatever long loop the other is in. Knows no
 * command: the thread is the executable once more, and says what may be left behind if it is stopped.
 */
import { rmSync } from 'node:fs';
import { isatty } from 'node:tty';
import { Worker } from 'node:worker_threads';
import { isStdin } from './stdin.ts';

/** From the thread: a temporary file that it is about to make, and whether an interrupt is to be handed to it. */
export type Told = { readonly part: string } | { readonly hears: boolean };

/** To the thread, once. */
export const INTERRUPT = 'interrupt';

/** What the thread is given. */
export interface Given {
  readonly argv: readonly string[];
  /** Columns of standard output and standard error, where they are terminals. */
  readonly columns: readonly [number | undefined, number | undefined];
}

/** Exit codes of a shell for a program ended by a signal: 128 and the signal's number (POSIX numbers). */
const SIGNALS = { SIGHUP: 129, SIGINT: 130, SIGTERM: 143 } as const;
export type Signal = keyof typeof SIGNALS;

/** A thread in a call of the system's that never ends cannot be stopped; then the process ends as the signal would end it. */
const STOPPED_WITHIN_MS = 250;

/** Columns of a standard stream that is a terminal; of another nothing is known, and it is left untouched. */
export const columnsOf = (descriptor: 1 | 2): number | undefined =>
  isatty(descriptor) ? (descriptor === 1 ? process.stdout : process.stderr).columns : undefined;

/** Calls `stop` for every signal that ends a program. */
export function onSignals(stop: (signal: Signal, code: number) => void): void {
  for (const [signal, code] of Object.entries(SIGNALS) as [Signal, number][])
    process.on(signal, () => {
      stop(signal, code);
    });
}

/**
 * Runs `argv` in a thread of the executable at `self`. Resolves its exit code, or a shell's for a program that was interrupted; an
 * error that nobody caught there rejects.
 */
export function oversee(self: URL, argv: readonly string[], say: (words: string) => void): Promise<number> {
  const given: Given = { argv, columns: [columnsOf(1), columnsOf(2)] };
  const usesInput = argv.some(isStdin);
  const thread = new Worker(self, { argv: [...argv], workerData: given, stdin: usesInput });
  if (usesInput && thread.stdin) process.stdin.pipe(thread.stdin);

  const parts = new Set<string>();
  let hears = false;
  let interrupted = 0;
  thread.on('message', (told: Told) => {
    if ('part' in told) parts.add(told.part);
    else hears = told.hears;
  });
  onSignals((signal, code) => {
    if (hears && interrupted === 0) thread.postMessage(INTERRUPT);
    else void end(signal, thread);
    interrupted = code;
  });
  return new Promise((resolve, reject) => {
    thread.on('error', reject);
    thread.on('exit', (code) => {
      if (interrupted > 0) {
        for (const part of parts) rmSync(part, { force: true });
        say('interrupted\n');
      }
      resolve(interrupted || code);
    });
  });
}

async function end(signal: Signal, thread: Worker): Promise<void> {
  const deaf = setTimeout(() => {
    process.removeAllListeners(signal);
    process.kill(process.pid, signal);
  }, STOPPED_WITHIN_MS);
  await thread.terminate();
  clearTimeout(deaf);
}

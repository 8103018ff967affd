#!/usr/bin/env node
/**
 * The executable: hands the process to `runCli`, in this thread what is soon done, all else in a thread of its own that a signal
 * stops at any time. The build bundles it to dist/posewright.mjs.
 */
import { rmSync } from 'node:fs';
import { isMainThread, parentPort, workerData } from 'node:worker_threads';
import type { Io } from './io.ts';
import { onPart } from './outputs.ts';
import { type Given, type Signal, type Told, columnsOf, onSignals, oversee } from './overseer.ts';
import { standardWriter } from './standard.ts';

/** What is done before anybody could lose patience; `send`, `flash` and `stage`, which wait for a line, `new`, for answers, and `bringup`, for both. */
const SHORT = ['check', 'solve', 'help', 'send', 'flash', 'new', 'bringup', 'stage', 'log', 'card'];

/** Whether a replay is on a line or an emulator: it pauses at every step, and the library for ports knows one thread only. */
function isOnTarget(argv: readonly string[]): boolean {
  const at = argv.findIndex((word) => word === '--on' || word.startsWith('--on='));
  const on = at < 0 ? 'sim' : (argv[at]?.split('=')[1] ?? argv[at + 1]);
  return on !== 'sim';
}

const stderr = standardWriter(2, undefined);

const processIo = ([out, err]: Given['columns'], onInterrupt: Io['onInterrupt']): Io => ({
  stdout: standardWriter(1, out),
  stderr: standardWriter(2, err),
  get stdin() {
    return process.stdin;
  },
  env: process.env,
  now: () => performance.now(),
  today: () => Math.floor(Date.now() / 1000),
  onInterrupt,
});

/** Only what a command needs is loaded. */
async function run(argv: readonly string[], io: Io): Promise<void> {
  const { runCli } = await import('./main.ts');
  process.exitCode = await runCli(argv, io);
}

/** In this thread: the first signal goes to a command that wants it, to bring a prop to its rest; any other ends it. */
async function runHere(argv: readonly string[]): Promise<void> {
  const parts: string[] = [];
  onPart((part) => parts.push(part));
  let interrupt: (() => void) | null = null;
  let interrupted = 0;
  onSignals((signal, code) => {
    const handler = interrupt;
    [interrupt, interrupted] = [null, code];
    if (handler) handler();
    else endHere(parts, code, signal);
  });
  const io = processIo([columnsOf(1), columnsOf(2)], (handler) => (interrupt = handler));
  await run(argv, io);
  if (interrupted > 0) endHere(parts, interrupted);
}

/** @param signal ends the process where it waits for the system to open a file, such as a pipe that nobody writes to: an exit would wait too. */
function endHere(parts: readonly string[], code: number, signal?: Signal): void {
  for (const part of parts) rmSync(part, { force: true });
  stderr.write('interrupted\n');
  if (signal === undefined || !process.getActiveResourcesInfo().includes('FSReqCallback')) process.exit(code);
  process.removeAllListeners(signal);
  process.kill(process.pid, signal);
}

/** As the thread of `oversee`. */
async function runThread({ argv, columns }: Given): Promise<void> {
  const tell = (told: Told): void => parentPort?.postMessage(told);
  let interrupt: (() => void) | null = null;
  parentPort?.on('message', () => interrupt?.());
  // Listening keeps a thread alive.
  parentPort?.unref();
  onPart((part) => {
    tell({ part });
  });
  await run(
    argv,
    processIo(columns, (handler) => {
      interrupt = handler;
      tell({ hears: handler !== null });
    }),
  );
}

async function runOverseen(argv: readonly string[]): Promise<void> {
  const code = await oversee(new URL(import.meta.url), argv, stderr.write).catch(async (error: unknown) => {
    const { faultCode } = await import('./main.ts');
    return faultCode(error, { stderr });
  });
  // Standard input may still be open.
  process.exit(code);
}

const argv = process.argv.slice(2);
const [first = 'help'] = argv;
const asksHelp = argv.some((word) => word === '--help' || word === '-h') || first.startsWith('-');
if (!isMainThread) await runThread(workerData as Given);
else if (SHORT.includes(first) || asksHelp || isOnTarget(argv)) await runHere(argv);
else await runOverseen(argv);

/** The executable: hands the process to `runCli`. The build bundles it to dist/posewright.mjs. */
import { runCli } from './main.ts';

/** Exit codes of a shell for a program ended by a signal: 128 and the signal's number (POSIX numbers). */
const SIGNALS = { SIGHUP: 129, SIGINT: 130, SIGTERM: 143 } as const;

let interrupt: (() => void) | null = null;
let interrupted = 0;
for (const [signal, code] of Object.entries(SIGNALS))
  process.on(signal, () => {
    const handler = interrupt;
    interrupt = null;
    interrupted = code;
    if (handler) handler();
    else process.exit(code);
  });

// A reader that has read enough, such as `head`, closes the pipe: no fault, and the work is still finished.
for (const stream of [process.stdout, process.stderr])
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error;
  });

const code = await runCli(process.argv.slice(2), {
  stdout: process.stdout,
  stderr: process.stderr,
  stdin: process.stdin,
  env: process.env,
  now: () => performance.now(),
  onInterrupt: (handler) => {
    interrupt = handler;
  },
});
process.exitCode = interrupted || code;

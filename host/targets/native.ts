/** The firmware as a program on this machine, in real time over a pseudo-terminal: main.c and all, sanitizers on. */
import { spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { TargetError } from '../replay/conversation.ts';
import type { Target } from '../replay/target.ts';
import { lineSession } from './line.ts';
import { openPort } from './serial.ts';

export interface NativeOptions {
  /** The native board's program. */
  readonly elf: string;
  readonly clock: () => number;
  /** Files that hold flash and the record kept over a reset; and the reset reason. See boards/native/board.c. */
  readonly environment?: Readonly<Record<string, string>>;
}

/** Starts the program; resolves the terminal's path and how to end it. */
export async function startNative({
  elf,
  environment,
}: NativeOptions): Promise<{ path: string; stop: () => Promise<void> }> {
  const child = spawn(elf, {
    stdio: ['ignore', 'pipe', 'inherit'],
    env: { ...process.env, ...environment, POSEWRIGHT_MODE: 'pty' },
  });
  const ended = new Promise<void>((resolve) =>
    child.once('close', () => {
      resolve();
    }),
  );
  const end = (): void => {
    child.kill('SIGKILL');
  };
  process.once('exit', end);
  const path = await new Promise<string>((resolve, reject) => {
    child.once('error', () => {
      reject(new TargetError(`${elf} does not run: build it with "posewright build --board native"`));
    });
    child.once('close', () => {
      reject(new TargetError(`${elf} ended before it opened its terminal`));
    });
    createInterface(child.stdout).once('line', resolve);
  });
  return {
    path,
    async stop() {
      end();
      await ended;
      process.off('exit', end);
    },
  };
}

export function nativeTarget(options: NativeOptions): Target {
  return {
    name: 'native',
    proven: 'computer',
    clock: 'this computer, the firmware built with sanitizers',
    async open(listener) {
      const program = await startNative(options);
      const session = lineSession(await openPort(program.path, 500_000), listener, options.clock);
      return {
        get now_us() {
          return session.now_us;
        },
        sharesClock: false,
        write: session.write,
        advance: session.advance,
        async close() {
          await session.close();
          await program.stop();
        },
      };
    },
  };
}

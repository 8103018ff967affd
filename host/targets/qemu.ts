/** Starts QEMU with an STM32F405 and a firmware, and sees that it ends: with its session, or when this program dies. */
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { TargetError } from '../replay/conversation.ts';

const QEMU = 'qemu-system-arm';
/** A machine with the chip, memory map and peripherals that the board uses. */
const MACHINE = 'netduinoplus2';
/** An instruction takes 2^shift ns of the chip's time, whatever this computer does meanwhile; sleep costs none of ours. */
const SHIFT = 3;
const START_MS = 10_000;
const LOOK_MS = 10;

/**
 * Runs its arguments until they end or standard input closes, which it does when the parent dies, however it dies.
 */
const LEASH = `
exec 3<&0
"$@" </dev/null 3<&- &
child=$!
(cat <&3 >/dev/null; kill -9 $child 2>/dev/null) &
wait $child
`;

export interface Qemu {
  /** Path of the socket: the debugger's when counted, the serial line's when free-running. */
  readonly socket: string;
  close(): Promise<void>;
}

/**
 * counted: halted at reset, run by a debugger, time by counted instructions. Otherwise in real time, at once, with the link at the socket.
 * Rejects with TargetError when QEMU is missing or does not start.
 */
export async function startQemu(
  elf: string,
  { counted, shift = SHIFT }: { counted: boolean; shift?: number },
): Promise<Qemu> {
  if (spawnSync(QEMU, ['--version']).error)
    throw new TargetError(`${QEMU} is not on this machine: npm run setup installs it, or says what to install`);
  const folder = mkdtempSync(join(tmpdir(), 'posewright-'));
  const socket = join(folder, 'socket');
  const line = ['-chardev', `socket,id=line,path=${socket},server=on,wait=off`];
  const args = counted
    ? [...line, '-gdb', 'chardev:line', '-serial', 'null', '-S', '-icount', `shift=${String(shift)},sleep=off`]
    : [...line, '-serial', 'chardev:line'];
  const child = spawn(
    'sh',
    ['-c', LEASH, 'sh', QEMU, '-M', MACHINE, '-display', 'none', '-monitor', 'none', '-kernel', elf, ...args],
    {
      stdio: ['pipe', 'ignore', 'pipe'],
    },
  );
  let words = '';
  let running = true;
  child.stderr.on('data', (data: Buffer) => (words += data.toString()));
  const ended = new Promise<void>((resolve) => {
    const end = (): void => {
      running = false;
      resolve();
    };
    child.once('exit', end);
    child.once('error', end);
  });
  const close = async (): Promise<void> => {
    child.stdin.destroy();
    await ended;
    child.stderr.destroy();
    rmSync(folder, { recursive: true, force: true });
  };
  for (let waited_ms = 0; !existsSync(socket); waited_ms += LOOK_MS) {
    if (!running || waited_ms > START_MS) {
      await close();
      throw new TargetError(`${QEMU} did not start: ${words.trim() || 'no reason given'}`);
    }
    await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
  }
  return { socket, close };
}

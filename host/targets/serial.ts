/** A board on a serial port, or a program on this computer that answers at the end of a pseudo-terminal. */
import { realpathSync, statSync } from 'node:fs';
import { SerialPort } from 'serialport';
import { TargetError } from '../replay/conversation.ts';
import type { Target } from '../replay/target.ts';
import { type Port, lineSession } from './line.ts';
import { systemWords } from './usb.ts';

const BAUD = 500_000;

/** What keeps a port shut that may not be opened, on a system as process.platform names it. */
const DENIED: Readonly<Record<string, string>> = {
  // Windows says "access denied" of a port that is open elsewhere.
  win32: 'another program has it open: close it, or unplug the board and plug it in again',
  darwin: 'your user may not: "ls -l /dev/cu.*" shows who may',
  linux: 'your user must be in the group dialout: "sudo usermod -aG dialout $USER", then log in again',
};

/** What the operating system says of a port, in words. */
export function portWords(path: string, error: Error, system: string): string {
  const text = error.message;
  if (/no such file|not found|cannot find/i.test(text))
    return `there is no port ${path}: is the board plugged in? Its port: ${systemWords(system)}`;
  if (/permission|access denied/i.test(text))
    return `${path} cannot be opened: ${DENIED[system] ?? 'your user may not open it'}`;
  if (/busy|lock|resource temporarily/i.test(text)) return `${path} is busy: another program has it open`;
  if (/inappropriate ioctl|not a (tty|typewriter|serial)/i.test(text)) return `${path} is not a serial port`;
  return `${path}: ${text}`;
}

/** Unix98 pseudo-terminals have these major numbers on Linux: Documentation/admin-guide/devices.txt. */
const PTY_MAJORS = [136, 143] as const;
/** Where systems keep the ends of pseudo-terminals: Linux; macOS. */
const PTY_NAMES = /^\/dev\/(pts\/\d+|ttys\d{3})$/;

/** Whether a path, or what it leads to, is a pseudo-terminal: then a program on this computer is at its other end. */
export function isPseudoTerminal(path: string): boolean {
  try {
    if (PTY_NAMES.test(realpathSync(path))) return true;
    const status = statSync(path);
    const major = (status.rdev >> 8) & 0xfff;
    return status.isCharacterDevice() && major >= PTY_MAJORS[0] && major <= PTY_MAJORS[1];
  } catch {
    return false;
  }
}

/** Opens a port for bytes. Rejects with TargetError in words. */
export function openPort(path: string, baud: number): Promise<Port> {
  return new Promise((resolve, reject) => {
    const port = new SerialPort({ path, baudRate: baud, autoOpen: false, lock: true });
    port.open((error) => {
      if (error) {
        reject(new TargetError(portWords(path, error, process.platform)));
        return;
      }
      resolve({
        write: (bytes) => port.write(bytes),
        onData: (sink) => port.on('data', sink),
        onError: (sink) => {
          port.on('error', (e: Error) => {
            sink(new TargetError(portWords(path, e, process.platform)));
          });
          port.on('close', (e: Error | null) => {
            if (e)
              sink(new TargetError(`${path} disappeared: is the board still plugged in, the program still running?`));
          });
        },
        close: () =>
          new Promise((done) => {
            if (port.isOpen)
              port.close(() => {
                done();
              });
            else done();
          }),
      });
    });
  });
}

/** The target at a port. clock: milliseconds that only go on. */
export function serialTarget(path: string, clock: () => number): Target {
  const program = isPseudoTerminal(path);
  return {
    name: `serial:${path}`,
    proven: program ? 'computer' : 'hardware',
    clock: program ? 'this computer' : 'the board',
    open: async (listener) => lineSession(await openPort(path, BAUD), listener, clock),
  };
}

/** A real board on a serial port, or whatever answers at the end of one. */
import { SerialPort } from 'serialport';
import { TargetError } from '../replay/conversation.ts';
import type { Target } from '../replay/target.ts';
import { type Port, lineSession } from './line.ts';

const BAUD = 500_000;

/** What the operating system says of a port, in words. */
function portWords(path: string, error: Error): string {
  const text = error.message;
  if (/no such file|not found|cannot find/i.test(text)) return `there is no port ${path}: is the board plugged in?`;
  if (/permission|access denied/i.test(text))
    return `${path} may not be opened: on Linux your user must be in the group of serial ports (dialout)`;
  if (/busy|lock|resource temporarily/i.test(text)) return `${path} is busy: another program holds it`;
  return `${path}: ${text}`;
}

/** Opens a port for bytes. Rejects with TargetError in words. */
export function openPort(path: string, baud: number): Promise<Port> {
  return new Promise((resolve, reject) => {
    const port = new SerialPort({ path, baudRate: baud, autoOpen: false, lock: true });
    port.open((error) => {
      if (error) {
        reject(new TargetError(portWords(path, error)));
        return;
      }
      resolve({
        write: (bytes) => port.write(bytes),
        onData: (sink) => port.on('data', sink),
        onError: (sink) => {
          port.on('error', (e: Error) => {
            sink(new TargetError(portWords(path, e)));
          });
          port.on('close', (e: Error | null) => {
            if (e) sink(new TargetError(`${path} went away: is the board still plugged in?`));
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
  return {
    name: `serial:${path}`,
    proven: 'hardware',
    clock: 'the board',
    open: async (listener) => lineSession(await openPort(path, BAUD), listener, clock),
  };
}

/**
 * A client of the GDB remote serial protocol (GDB manual, appendix E), as much of it as driving an emulated board takes: memory,
 * one breakpoint after another, running to them. Requests may be under way together; answers come in their order.
 */
import { connectTo } from './socket.ts';

export interface Gdb {
  read(address: number, n: number): Promise<Uint8Array>;
  write(address: number, bytes: Uint8Array): Promise<void>;
  /** A breakpoint on a Thumb instruction. */
  breakAt(address: number): Promise<void>;
  unbreakAt(address: number): Promise<void>;
  /** A register of the core by its number. */
  register(n: number): Promise<number>;
  setRegister(n: number, value: number): Promise<void>;
  /** Where the function returns to at whose first instruction it stands. */
  returnAddress(): Promise<number>;
  /** Puts the program counter somewhere: off a breakpoint without taking it away. */
  goOnAt(address: number): Promise<void>;
  /** Runs to the next breakpoint. */
  resume(): Promise<void>;
  close(): void;
}

export class GdbError extends Error {}

/** The stub listens so long after its path is there, at most. */
const LISTENS_MS = 10_000;
const THUMB = 2;
const LR = 14;
const PC = 15;

const u32Bytes = (value: number): Uint8Array => new Uint8Array(Uint32Array.of(value).buffer);

/** One packet: $text#checksum. */
function packetOf(text: string): string {
  let sum = 0;
  for (let i = 0; i < text.length; i++) sum = (sum + text.charCodeAt(i)) & 0xff;
  return `$${text}#${sum.toString(16).padStart(2, '0')}`;
}

interface Waiting {
  readonly resolve: (answer: string) => void;
  readonly reject: (error: Error) => void;
}

/** Joins the stub that listens at a socket's path. stop_ms: longest time it may run without a stop or an answer. */
export async function connectGdb(path: string, stop_ms: number): Promise<Gdb> {
  const socket = await connectTo(path, LISTENS_MS);
  const waiting: Waiting[] = [];
  let received = '';
  let broken: GdbError | null = null;
  let timer: NodeJS.Timeout | undefined;

  const fail = (message: string): void => {
    broken ??= new GdbError(message);
    for (const one of waiting.splice(0)) one.reject(broken);
  };
  const watch = (): void => {
    clearTimeout(timer);
    timer =
      waiting.length > 0
        ? setTimeout(() => {
            fail(`no answer for ${String(stop_ms / 1000)} s`);
          }, stop_ms)
        : undefined;
  };
  socket.on('data', (data) => {
    received += data.toString('latin1');
    for (;;) {
      const start = received.indexOf('$');
      const end = received.indexOf('#', start);
      if (start < 0 || end < 0 || received.length < end + 3) break;
      const answer = received.slice(start + 1, end);
      received = received.slice(end + 3);
      waiting.shift()?.resolve(answer);
    }
    watch();
  });
  socket.on('close', () => {
    fail('the emulator ended');
  });
  socket.on('error', () => {
    fail('the emulator ended');
  });

  /** No acknowledgements of ours: the next packet stands for one, and a stream socket loses nothing. */
  const ask: Ask = (text) =>
    new Promise((resolve, reject) => {
      if (broken) {
        reject(broken);
        return;
      }
      waiting.push({ resolve, reject });
      if (waiting.length === 1) watch();
      socket.write(packetOf(text), 'latin1');
    });
  const gdb = requestsOf(ask, () => {
    clearTimeout(timer);
    socket.destroy();
  });
  // Some stubs have single registers only for those that asked for their description.
  await answerTo(ask, 'qXfer:features:read:target.xml:0,ffb', (text) => text !== '');
  return gdb;
}

type Ask = (text: string) => Promise<string>;

/** The answer to a request, which must be good. Throws GdbError. */
async function answerTo(ask: Ask, text: string, good: (answer: string) => boolean): Promise<string> {
  const answer = await ask(text);
  if (!good(answer)) throw new GdbError(`the emulator answered '${answer}' to '${text}'`);
  return answer;
}

/** What can be asked, in the protocol's words. */
function requestsOf(ask: Ask, close: () => void): Gdb {
  const expect = (text: string, good: (answer: string) => boolean): Promise<string> => answerTo(ask, text, good);
  const hex = (n: number): string => n.toString(16);
  const isOk = (answer: string): boolean => answer === 'OK';
  const stopped = (answer: string): boolean => answer.startsWith('T05');
  const register = async (n: number): Promise<number> =>
    Buffer.from(await expect(`p${hex(n)}`, (text) => text.length === 8), 'hex').readUInt32LE();
  const setRegister = async (n: number, value: number): Promise<void> => {
    await expect(`P${hex(n)}=${Buffer.from(u32Bytes(value)).toString('hex')}`, isOk);
  };
  return {
    async read(address, n) {
      const answer = await expect(`m${hex(address)},${hex(n)}`, (text) => text.length === 2 * n);
      return Uint8Array.from(Buffer.from(answer, 'hex'));
    },
    async write(address, bytes) {
      await expect(`M${hex(address)},${hex(bytes.length)}:${Buffer.from(bytes).toString('hex')}`, isOk);
    },
    async breakAt(address) {
      await expect(`Z0,${hex(address)},${hex(THUMB)}`, isOk);
    },
    async unbreakAt(address) {
      await expect(`z0,${hex(address)},${hex(THUMB)}`, isOk);
    },
    register,
    setRegister,
    returnAddress: async () => (await register(LR)) & ~1,
    goOnAt: (address) => setRegister(PC, address),
    async resume() {
      await expect('c', stopped);
    },
    close,
  };
}

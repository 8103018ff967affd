/**
 * The native board in lockstep: the firmware of every board, compiled for this machine with sanitizers, one request a tick.
 * A sanitizer's finding ends the program, and with it the test.
 */
import { type ChildProcess, spawn } from 'node:child_process';

const PINS = 16;
const HEAD_BYTES = 2 * PINS + 1 + 2;

export interface Tick {
  /** Width at each pin from the first, us. */
  readonly pulses: Uint16Array;
  readonly power: boolean;
  /** Pins 18 to 21 that are on, bit 0 for pin 18. */
  readonly lines: number;
  readonly bytes: Uint8Array;
}

/** What is the matter while ticks run. */
export interface Conditions {
  readonly stopOpen?: boolean;
  /** Each takes longer than its period. */
  readonly late?: boolean;
  /** What the servos are fed with, mV; 0: not measured. */
  readonly supply_mv?: number;
  /** Input pins that are closed from now on, bit 20 for pin 20; all, until it is told. */
  readonly closed?: number;
}

const PINS_BYTES = 6;

export class Lockstep {
  private readonly child: ChildProcess;
  private held: Buffer = Buffer.alloc(0);
  private readonly chunks: AsyncIterator<Buffer>;
  private readonly ended: Promise<number | null>;
  private stderr = '';

  /** elf: the native board's program. environment: see boards/native/board.c. */
  constructor(elf: string, environment: Readonly<Record<string, string>> = {}) {
    // Nothing is allocated, so nothing leaks; the leak check stops every thread at exit, which some sandboxes do not allow.
    const settings = { ASAN_OPTIONS: 'detect_leaks=0', POSEWRIGHT_MODE: 'lock' };
    this.child = spawn(elf, { env: { ...process.env, ...environment, ...settings } });
    this.ended = new Promise((resolve) => this.child.once('exit', resolve));
    this.chunks = (this.child.stdout as AsyncIterable<Buffer>)[Symbol.asyncIterator]();
    this.child.stderr!.on('data', (chunk: Buffer) => (this.stderr += chunk.toString()));
    this.child.stdin!.on('error', () => undefined);
  }

  /** Asks for ticks: the bytes that arrive before each. */
  ask(requests: readonly Uint8Array[], { stopOpen = false, late = false, supply_mv = 0, closed }: Conditions = {}): void {
    const pins = closed === undefined ? 0 : PINS_BYTES;
    const total = requests.reduce((sum, bytes) => sum + bytes.length + 5 + pins, 0);
    const message = Buffer.alloc(total);
    let at = 0;
    for (const bytes of requests) {
      message.writeUInt16LE(bytes.length, at);
      message.set(bytes, at + 2);
      message[at + 2 + bytes.length] = (stopOpen ? 1 : 0) | (late ? 2 : 0) | (closed === undefined ? 0 : 4);
      message.writeUInt16LE(supply_mv, at + 3 + bytes.length);
      if (closed !== undefined) message.writeUInt32LE(closed >>> 0, at + 5 + bytes.length);
      at += bytes.length + 5 + pins;
    }
    this.child.stdin!.write(message);
  }

  /** What the next of the ticks asked for did. Rejects when the program has ended. */
  async tick(): Promise<Tick> {
    const head = await this.take(HEAD_BYTES);
    const pulses = Uint16Array.from({ length: PINS }, (_, i) => head.readUInt16LE(2 * i));
    const bytes = await this.take(head.readUInt16LE(HEAD_BYTES - 2));
    return { pulses, power: (head[2 * PINS]! & 1) === 1, lines: head[2 * PINS]! >> 1, bytes: Uint8Array.from(bytes) };
  }

  /** Runs n ticks; `first` arrives before the first of them. */
  async run(n: number, first: Uint8Array = new Uint8Array(0), conditions: Conditions = {}): Promise<Tick[]> {
    this.ask(
      Array.from({ length: n }, (_, i) => (i === 0 ? first : new Uint8Array(0))),
      conditions,
    );
    const ticks: Tick[] = [];
    for (let i = 0; i < n; i++) ticks.push(await this.tick());
    return ticks;
  }

  private async take(n: number): Promise<Buffer> {
    while (this.held.length < n) {
      const next = await this.chunks.next();
      if (next.done === true) throw new Error(`the program ended with ${String(await this.ended)}: ${this.stderr}`);
      this.held = Buffer.concat([this.held, next.value]);
    }
    const taken = this.held.subarray(0, n);
    this.held = this.held.subarray(n);
    return taken;
  }

  /** Ends it between two ticks, as power that goes does. */
  async kill(): Promise<void> {
    this.child.kill('SIGKILL');
    await this.ended;
  }

  /** Ends the program; resolves its exit status, null when it was killed. */
  async end(): Promise<number | null> {
    this.child.stdin!.end();
    return this.ended;
  }

  /** Resolves when it ends by itself. */
  async exit(): Promise<number | null> {
    return this.ended;
  }
}

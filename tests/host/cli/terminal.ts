/** A program at a pseudo-terminal, as somebody sits before it: keys go in one by one, the screen is read. By util-linux's script(1). */
import { type ChildProcessWithoutNullStreams, spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';

export const hasTerminal = !spawnSync('script', ['--version']).error;

const LOOK_MS = 20;
const quoted = (word: string): string => `'${word.replaceAll("'", `'\\''`)}'`;
/** Colours, cursor moves and the like: ECMA-48, control sequences; and carriage returns. */
const CONTROLS = /\u001b\[[0-?]*[ -/]*[@-~]|\r/g;

export const KEY = { escape: '\u001b', enter: '\r', space: ' ', ctrlC: '\u0003' } as const;

export class Terminal {
  private readonly child: ChildProcessWithoutNullStreams;
  private readonly exited: Promise<unknown[]>;
  private shown = '';
  private read = 0;

  constructor(argv: readonly string[]) {
    const line = argv.map(quoted).join(' ');
    this.child = spawn('script', ['-qec', line, '/dev/null'], {
      env: { ...process.env, TERM: 'xterm', NO_COLOR: '1' },
    });
    this.exited = once(this.child, 'exit');
    this.child.stdout.on('data', (data: Buffer) => (this.shown += data.toString()));
    this.child.stdin.on('error', () => undefined);
  }

  /** All that was shown, without colours. */
  get screen(): string {
    return this.shown.replace(CONTROLS, '');
  }

  /** Types, as fast as a program takes it. */
  type(keys: string): void {
    this.child.stdin.write(keys);
  }

  /** Waits until something new is on the screen that fits; what comes next is looked for behind it. */
  async shows(words: RegExp, within_ms = 20_000): Promise<string> {
    for (let waited_ms = 0; waited_ms < within_ms; waited_ms += LOOK_MS) {
      const found = words.exec(this.screen.slice(this.read));
      if (found) {
        this.read += found.index + found[0].length;
        return found[0];
      }
      await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
    }
    throw new Error(`the terminal never showed ${String(words)}:\n${this.screen.slice(this.read)}`);
  }

  /** Resolves the program's exit status. */
  async end(): Promise<unknown> {
    const [code] = await this.exited;
    return code;
  }

  kill(): void {
    this.child.kill('SIGKILL');
  }
}

/**
 * The person at a terminal, by Node's readline: a line for every question, Escape settles at any time, Space says that it binds while
 * something moves. On a dumb terminal keys come by lines: an empty one for Space, s for Escape.
 */
import { type Interface, createInterface } from 'node:readline';
import { type Person, type Question, SettleAsked } from '../../bringup/person.ts';
import { plainLines } from '../output.ts';
import type { Io, Writer } from '../io.ts';

export interface Terminal {
  readonly input: NodeJS.ReadStream;
  readonly isDumb: boolean;
}

/** Standard input, where it is a terminal. */
export function terminalOf(io: Io): Terminal | null {
  const input = io.stdin as Partial<NodeJS.ReadStream>;
  if (input.isTTY !== true) return null;
  return { input: input as NodeJS.ReadStream, isDumb: io.env['TERM'] === 'dumb' };
}

export interface AtConsole extends Person {
  /** A line typed at the prompt; null: there are no more. Rejects with SettleAsked. */
  line(prompt: string): Promise<string | null>;
  /** Readings to be taken before any is asked for. */
  give(readings: readonly string[]): void;
  /** What was pressed before a verb began is no key of its. */
  forget(): void;
  close(): void;
  readonly keys: string;
}

interface Pending {
  resolve(line: string | null): void;
  reject(error: Error): void;
}

/** Types as the terminal's own output: readline wants a stream. */
export function consolePerson({ input, isDumb }: Terminal, output: NodeJS.WriteStream, told: Writer): AtConsole {
  const rl = createInterface({ input, output, terminal: !isDumb, escapeCodeTimeout: 50, historySize: 100 });
  const state = { pending: null as Pending | null, binds: false, settles: false, ended: false, given: [] as string[] };
  listen(rl, input, isDumb, state);
  const line = (prompt: string): Promise<string | null> =>
    new Promise((resolve, reject) => {
      if (state.ended) {
        resolve(null);
        return;
      }
      state.pending = { resolve, reject };
      rl.setPrompt(prompt);
      rl.prompt();
    });
  return {
    keys: isDumb ? 's and Enter settles, Enter alone: it binds' : 'Esc settles, Space: it binds',
    line,
    async ask(question: Question) {
      const given = question.unit === null ? undefined : state.given.shift();
      told.write(`${plainLines(question.text)}\n`);
      if (given !== undefined) return given;
      const typed = await line(`${question.unit ?? 'Enter'} (${isDumb ? 's' : 'Esc'} settles)> `);
      if (typed === null) throw new SettleAsked();
      return typed;
    },
    say: (words) => told.write(`${plainLines(words)}\n`),
    give: (readings) => (state.given = [...readings]),
    binds() {
      const said = state.binds;
      state.binds = false;
      return said;
    },
    settles: () => state.settles || (state.ended && state.pending === null),
    forget() {
      state.settles = state.binds = false;
    },
    close: () => {
      rl.close();
    },
  };
}

interface State {
  pending: Pending | null;
  binds: boolean;
  settles: boolean;
  ended: boolean;
}

function listen(rl: Interface, input: NodeJS.ReadStream, isDumb: boolean, state: State): void {
  const settle = (): void => {
    const { pending } = state;
    state.pending = null;
    if (pending) pending.reject(new SettleAsked());
    else state.settles = true;
  };
  rl.on('line', (typed) => {
    const { pending } = state;
    state.pending = null;
    if (isDumb && typed.trim() === 's') {
      state.pending = pending;
      settle();
    } else if (pending) pending.resolve(typed);
    else if (isDumb) state.binds = true;
  });
  rl.on('SIGINT', settle);
  rl.on('close', () => {
    state.ended = true;
    state.pending?.resolve(null);
    state.pending = null;
  });
  if (isDumb) return;
  input.on('keypress', (_text: string | undefined, key: { readonly name?: string } | undefined) => {
    if (key?.name === 'escape') settle();
    else if (key?.name === 'space' && !state.pending) state.binds = true;
    // What is typed while something moves is no answer to the next question.
    if (!state.pending) rl.write(null, { ctrl: true, name: 'u' });
  });
}

/** Runs a search to its end, to the end of its time, or to Ctrl-C: what was found is kept in each case. */
import { availableParallelism } from 'node:os';
import type { Subject } from '../../design/problem-of.ts';
import { type Evaluator, evaluatedHere } from '../../design/search/problem.ts';
import { type Progress, type Search, run } from '../../design/search/search.ts';
import { writeSearch } from '../../design/search/state.ts';
import { short } from '../../rig/words.ts';
import type { Io } from '../io.ts';
import { openPool } from './pool.ts';
import { writeState } from './result-folder.ts';

export interface Limits {
  /** null: as many as there are cores. */
  readonly workers: number | null;
}

/** Made with one of the packages beside this file; in dist/. */
const PROBLEM = new URL('design-problem.mjs', import.meta.url);

/** One worker is this thread itself. */
export async function openEvaluator({ problem, want, ask }: Subject, { workers }: Limits): Promise<Evaluator> {
  const count = workers ?? availableParallelism();
  return count === 1
    ? evaluatedHere(problem)
    : openPool({ problem: PROBLEM, description: { want, ask }, workers: count });
}

/** How often the search is written down, s. */
const KEEP_S = 20;

/** @returns whether it was interrupted. */
export async function searchOn(
  search: Search,
  subject: Subject,
  evaluator: Evaluator,
  folder: string,
  io: Io,
): Promise<boolean> {
  const abort = new AbortController();
  io.onInterrupt(() => {
    abort.abort();
  });
  const began = io.now();
  const { minutes } = search.plan;
  const ends = minutes === undefined ? Infinity : began + minutes * 60_000;
  const line = progressLine(subject, io);
  let kept = began;
  try {
    await run(search, evaluator, {
      signal: abort.signal,
      isOver: () => io.now() >= ends,
      onProgress: (progress) => {
        line.show(progress);
        if (io.now() - kept < KEEP_S * 1000) return;
        kept = io.now();
        writeState(folder, writeSearch(search));
      },
    });
    // Judging takes a while, and an interrupt then ends the program at once: it must not take the search with it.
    writeState(folder, writeSearch(search));
  } finally {
    line.clear();
    io.onInterrupt(null);
  }
  return abort.signal.aborted;
}

const WORDS = { travel: 'travel', use: 'use', frequency: 'lowest Hz', price: 'price', size: 'size' } as const;

/** One line on standard error where that is a terminal: how far, and the best of each so far. */
function progressLine({ want: { better } }: Subject, { stderr, now }: Io) {
  const isTerminal = stderr.isTTY === true;
  let shown = -Infinity;
  return {
    show({ evaluated, of, best }: Progress): void {
      if (!isTerminal || now() - shown < 200) return;
      shown = now();
      const most = better.flatMap((name, k) => {
        const value = best[k]?.objectives[k];
        return value === undefined ? [] : [`${WORDS[name]} ${figureWords(name, value)}`];
      });
      const found = most.length > 0 ? `best so far: ${most.join(', ')}` : 'nothing holds yet';
      const text = `searching: ${String(evaluated)}${of === null ? '' : ` of ${String(of)}`} designs; ${found}`;
      stderr.write(`\r\u001b[2K${text.slice(0, (stderr.columns ?? 100) - 1)}`);
    },
    clear(): void {
      if (isTerminal) stderr.write('\r\u001b[2K');
    },
  };
}

function figureWords(name: keyof typeof WORDS, value: number): string {
  if (name === 'travel') return `${short(-100 * value, 0)} % of what is asked`;
  if (name === 'use') return `${short(100 * value, 0)} %`;
  if (name === 'frequency') return short(-value);
  return name === 'size' ? `${short(value, 0)} cm³` : short(value, 2);
}

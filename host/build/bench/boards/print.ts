/** How the boards' long runs speak. */
import { execFileSync } from 'node:child_process';

export const say = (line = ''): boolean => process.stdout.write(`${line}\n`);

/** First line of what a program says of its version. */
export const versionOf = (program: string): string =>
  execFileSync(program, ['--version'], { encoding: 'utf8' }).split('\n')[0] ?? '';

export function atMost(words: string, reached: number, most: number): void {
  const shown = reached.toFixed(most < 10 ? 2 : 0).padStart(8);
  say(`  ${words.padEnd(58)} ${shown}   target at most ${String(most)}: ${reached <= most ? 'met' : 'NOT met'}`);
}

export const figure = (words: string, text: string): boolean => say(`  ${words.padEnd(58)} ${text.padStart(8)}`);

/** Says how far a long run is, on standard error, at most every ten seconds. */
export function progressOf(what: string): (ticks: number) => void {
  let said_ms = performance.now();
  return (ticks) => {
    if (performance.now() - said_ms < 10_000) return;
    said_ms = performance.now();
    process.stderr.write(`    ${what}: ${String(ticks)} ticks\n`);
  };
}

/** Runs it; what came out, and the seconds that took. */
export async function timed<T>(work: () => Promise<T> | T): Promise<{ result: T; seconds: number }> {
  const from_ms = performance.now();
  const result = await work();
  return { result, seconds: (performance.now() - from_ms) / 1000 };
}

/** What may be said to `design`, read and checked before any file is. */
import { SPREAD } from '../../design/search/island.ts';
import type { Shard } from '../../design/search/search.ts';
import { type Problem, problemOf } from '../output.ts';

export interface Options {
  readonly want?: string;
  readonly output?: string;
  readonly seed?: string;
  readonly evaluations?: string;
  readonly minutes?: string;
  readonly workers?: string;
  readonly shard?: string;
  readonly resume?: true;
  readonly force?: true;
  readonly schema?: true;
  readonly json?: true;
}

export interface Asked {
  readonly want: string;
  readonly folder: string;
  /** null: not said. */
  readonly seed: number | null;
  /** null: as the plan has it. */
  readonly evaluations: number | null;
  readonly minutes: number | null;
  readonly workers: number | null;
  /** null: not said. */
  readonly shard: Shard | null;
  readonly resume: boolean;
  readonly force: boolean;
}

const MOST_SEED = 2 ** 31 - 1;
const MOST_WORKERS = 256;

/** All that is wrong at once. */
export function readOptions(options: Options): Asked | { readonly problems: readonly Problem[] } {
  const problems: Problem[] = [];
  const number = (name: string, text: string | undefined, from: number, to: number, whole: boolean): number | null => {
    if (text === undefined) return null;
    const value = /^\d+(\.\d+)?$/.test(text) ? Number(text) : NaN;
    if (value >= from && value <= to && (!whole || Number.isInteger(value))) return value;
    const kind = whole ? 'a whole number' : 'a number';
    problems.push(problemOf(name, `found "${text}"; allowed: ${kind} from ${String(from)} to ${String(to)}`));
    return null;
  };
  const { want, output } = options;
  if (want === undefined)
    problems.push(problemOf('--want', 'is missing: which want file? For example: --want owl-neck.yaml'));
  if (output === undefined) problems.push(problemOf('-o', 'is missing: into which folder? For example: -o neck'));
  const seed = number('--seed', options.seed, 0, MOST_SEED, true);
  const evaluations = number('--evaluations', options.evaluations, SPREAD, 1e9, true);
  const minutes = number('--minutes', options.minutes, 0.01, 100_000, false);
  const workers = number('--workers', options.workers, 1, MOST_WORKERS, true);
  const shard = shardOf(options.shard, problems);
  if (minutes !== null && evaluations !== null)
    problems.push(problemOf('--minutes --evaluations', 'found together; allowed: one of them'));
  if (minutes !== null && shard && shard.of > 1)
    problems.push(
      problemOf('--minutes --shard', 'found together; allowed: a shard has its own share of --evaluations'),
    );
  if (problems.length > 0 || want === undefined || output === undefined) return { problems };
  const { resume = false, force = false } = options;
  return { want, folder: output, seed, evaluations, minutes, workers, shard, resume, force };
}

function shardOf(text: string | undefined, problems: Problem[]): Shard | null {
  if (text === undefined) return null;
  const [k, of] = (/^(\d{1,6})\/(\d{1,6})$/.exec(text)?.slice(1) ?? []).map(Number);
  if (k !== undefined && of !== undefined && k >= 1 && k <= of) return { k, of };
  problems.push(problemOf('--shard', `found "${text}"; allowed: K/N, K from 1 to N, such as 2/4`));
  return null;
}

/** The search that a command begins, or the one in its folder that it goes on with: what was asked of that one need not be said again. */
import type { Shape } from '../../design/search/problem.ts';
import { type Plan, type Search, type Shard, WHOLE, searchOf } from '../../design/search/search.ts';
import { misfit } from '../../design/search/state.ts';
import { type Problem, problemOf } from '../output.ts';
import type { Asked } from './options.ts';
import { searchIn } from './result-folder.ts';

type Begun = Search | { readonly problem: Problem };
const refused = (name: string, words: string): Begun => ({ problem: problemOf(name, words) });

/** Evaluations of an island: what finds a front (measured), so that fewer that find nothing tell little; three of them are merged. */
export const ISLAND = 6000;
const ISLANDS = 3;

/** @param subject digest of what is wanted */
export function beginning(asked: Asked, subject: string, { dims, objectives, constraints }: Shape): Begun {
  const shape = { dims, objectives, constraints };
  if (asked.resume) return goneOn(asked, subject, shape);
  const plan = planOf(asked, subject);
  const shard = asked.shard ?? WHOLE;
  return tooMany(plan, shard) ?? searchOf(shape, plan, shard);
}

/** Islands of equal budgets, as many as make up the evaluations: by these alone, so that shards find what one machine does. */
function planOf({ seed: given, evaluations, minutes }: Asked, subject: string): Plan {
  const seed = given ?? 1;
  if (minutes !== null) return { subject, seed, islands: null, each: ISLAND, minutes };
  return { subject, seed, ...islandsOf(evaluations ?? ISLAND * ISLANDS) };
}

function islandsOf(evaluations: number): { islands: number; each: number } {
  const islands = Math.max(1, Math.round(evaluations / ISLAND));
  return { islands, each: Math.ceil(evaluations / islands) };
}

/** A shard without an island would search nothing. */
function tooMany({ islands, each }: Plan, { k, of }: Shard): Begun | null {
  if (islands === null || of <= islands) return null;
  const all = String(islands * each);
  const most = islands === 1 ? 'one shard, the whole search,' : `at most ${String(islands)} shards`;
  return refused(
    '--shard',
    `found ${String(k)}/${String(of)}; allowed: ${most} for ${all} evaluations, one for each ${String(ISLAND)}`,
  );
}

/** The search in the folder; what is said again must be as it was, but for more time or more islands. */
function goneOn(asked: Asked, subject: string, shape: Shape): Begun {
  const { search, problem } = searchIn(asked.folder);
  if (!search) return refused(asked.folder, problem);
  const { plan, shard } = search;
  const differs = (name: string, found: string, was: string): Begun =>
    refused(name, `found ${found}; allowed: ${was}, as the search in ${asked.folder} has it, or leave it out`);
  if (asked.seed !== null && asked.seed !== plan.seed) return differs('--seed', String(asked.seed), String(plan.seed));
  const own = asked.shard;
  if (own && (own.k !== shard.k || own.of !== shard.of))
    return differs('--shard', `${String(own.k)}/${String(own.of)}`, `${String(shard.k)}/${String(shard.of)}`);
  const because = misfit({ ...search, islands: [] }, { ...search, shape, plan: { ...plan, subject }, islands: [] });
  if (because !== null)
    return refused(asked.folder, 'the search there does not fit: the want file, its rig or its stream was another');
  return longer(asked, search);
}

/** With as much time or as many islands as are asked for now. */
function longer({ evaluations, minutes }: Asked, search: Search): Begun {
  const { plan } = search;
  if (plan.islands === null) {
    if (evaluations === null) return { ...search, plan: minutes === null ? plan : { ...plan, minutes } };
    return refused('--evaluations', 'found it, but the search there goes by the clock; allowed: --minutes');
  }
  const all = String(plan.islands * plan.each);
  if (minutes !== null)
    return refused('--minutes', `found it, but the search there is one of ${all} evaluations; allowed: --evaluations`);
  if (evaluations === null) return search;
  const { islands, each } = islandsOf(evaluations);
  if (each === plan.each && islands >= plan.islands) return { ...search, plan: { ...plan, islands, each } };
  const more = plan.each === ISLAND ? `, or a larger multiple of ${String(ISLAND)}` : '';
  return refused(
    '--evaluations',
    `found ${String(evaluations)}; allowed: ${all}, as the search there has it${more}, or leave it out`,
  );
}

/** How sure the answer is: the largest use again with each figure of the rig off by as much as it may be. */
import type { Posture } from '../physics/dynamics/places.ts';
import type { Rig } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import { Demand } from './demand.ts';
import { type Figure, figuresOf } from './figures.ts';
import type { RestsOn } from './result.ts';

/** The instants that decide: places to hold at, and times of a stream. */
export interface Deciding {
  readonly without: readonly string[];
  readonly holds: readonly Posture[];
  readonly stream: StoredStream | null;
  readonly times_s: readonly number[];
}

/** Largest share of any servo at these instants; Infinity where one would have to be too fast, NaN when nothing is known. */
export function mostOf(rig: Rig, { without, holds, stream, times_s }: Deciding): number {
  const demand = new Demand(rig, { without });
  let most = NaN;
  const look = (known: boolean): void => {
    if (!known) return;
    for (let i = 0; i < rig.joints.length; i++) {
      const use = demand.use(i);
      if (use > most || Number.isNaN(most)) most = use;
    }
  };
  for (const place of holds) look(demand.hold(place));
  for (const t_s of stream ? times_s : []) look(stream !== null && demand.look(stream, t_s, true));
  return most;
}

/** A figure that moves the largest use by less than this share of it does not matter. */
const NOTHING = 1e-4;

/** What the answer rests on, what would move it most first. */
export function restsOn(rig: Rig, deciding: Deciding): RestsOn[] {
  const now = mostOf(rig, deciding);
  if (Number.isNaN(now)) return [];
  const counted = figuresOf(rig).filter(
    ({ path }) => !deciding.without.some((name) => path === `parts.${name}.mass_kg`),
  );
  return counted
    .map((figure) => ({ figure, then: worseWay(figure, deciding, now) }))
    .filter(({ then }) => then !== null)
    .sort((a, b) => (b.then ?? 0) - (a.then ?? 0))
    .map(({ figure: { path, from, within_percent, taken }, then }) => ({
      figure: path,
      from,
      within_percent,
      taken,
      use_then: then !== null && then < Infinity ? then : null,
    }));
}

/** The larger of the largest uses with the figure off either way; null: it hardly matters. */
function worseWay({ within_percent, changed }: Figure, deciding: Deciding, now: number): number | null {
  const off = within_percent / 100;
  const found = [1 + off, 1 - off].map((factor) => (factor > 0 ? mostOf(changed(factor), deciding) : NaN));
  const most = Math.max(...found.filter((value) => !Number.isNaN(value)), now);
  return most > now * (1 + NOTHING) ? most : null;
}

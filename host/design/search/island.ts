/**
 * One search by itself, from a seed of its own to the end of its own budget: spread points first, then CMA-ES for one
 * objective, or GDE3 for a front whose ends are polished. Nothing of it depends on any other island, nor on who evaluates:
 * the same shape, seed, number and budget give the same bits, wherever and whenever it runs.
 */
import { type Archive, emptyArchive, keep } from './archive.ts';
import { type Cma, askCma, cmaFrom, tellCma } from './cma.ts';
import { Draws } from './draws.ts';
import { type Gde3, askGde3, gde3From, tellGde3 } from './gde3.ts';
import { halton } from './halton.ts';
import type { Point } from './point.ts';
import { type Polish, askPolish, polishFrom, tellPolish } from './polish.ts';
import type { Shape } from './problem.ts';

interface Spread {
  readonly kind: 'spread';
  /** Points that are known to be good come before those of the spread. */
  readonly known: readonly Float64Array[];
  readonly shift: Float64Array;
  points: Point[];
}

/** Plain data but for its random numbers; as it stands between two `tell`s it can be written down. */
export interface Island {
  readonly index: number;
  readonly budget: number;
  used: number;
  readonly draws: Draws;
  stage: Spread | Cma | Gde3 | Polish;
  readonly archive: Archive;
}

/** Spread points of Halton that every island begins with. */
export const SPREAD = 300;
const ASKED_AT_ONCE = 60;
/** Of a front's budget: the share after which its ends are polished, one objective after the other. */
const FRONT_SHARE = 0.9;

export function islandOf(
  shape: Shape,
  seed: number,
  index: number,
  budget: number,
  known: readonly Float64Array[] = [],
): Island {
  const draws = Draws.of(seed, index);
  const shift = Float64Array.from({ length: shape.dims }, () => draws.uniform());
  return {
    index,
    budget,
    used: 0,
    draws,
    stage: { kind: 'spread', known, shift, points: [] },
    archive: emptyArchive(),
  };
}

export const isSpent = ({ used, budget }: Island): boolean => used >= budget;

/** The next points to evaluate; none: the budget is spent. Draws: to be asked once for every `tell`. */
export function ask(island: Island): Float64Array[] {
  return asked(island).slice(0, island.budget - island.used);
}

function asked({ stage, draws }: Island): Float64Array[] {
  switch (stage.kind) {
    case 'spread': {
      const { known, points, shift } = stage;
      const from = points.length;
      const count = Math.min(ASKED_AT_ONCE, known.length + SPREAD - from);
      return Array.from(
        { length: count },
        (_, i) => known[from + i]?.slice() ?? halton(from + i - known.length, shift),
      );
    }
    case 'cma':
      return askCma(stage, draws);
    case 'front':
      return askGde3(stage, draws);
    case 'polish':
      return askPolish(stage, draws);
  }
}

/** @param points those that were asked for, evaluated, in their order */
export function tell(shape: Shape, island: Island, points: readonly Point[]): void {
  island.used += points.length;
  for (const point of points) keep(island.archive, point);
  // What the budget cut short is archived, and leads nowhere.
  if (isSpent(island)) return;
  const { stage } = island;
  if (stage.kind === 'spread') stage.points.push(...points);
  else if (stage.kind === 'cma') tellCma(stage, points);
  else if (stage.kind === 'front') tellGde3(stage, points);
  else tellPolish(stage, points);
  island.stage = nextStage(shape, island);
}

function nextStage(shape: Shape, { stage, archive, used, budget }: Island): Island['stage'] {
  if (stage.kind === 'cma') return stage;
  if (stage.kind === 'spread') {
    if (stage.points.length < stage.known.length + SPREAD) return stage;
    if (shape.objectives > 1) return gde3From(stage.points);
    return cmaFrom(stage.points);
  }
  const polished = (used / budget - FRONT_SHARE) / (1 - FRONT_SHARE);
  const objective = Math.floor(polished * shape.objectives);
  if (polished < 0 || (stage.kind === 'polish' && stage.objective === objective)) return stage;
  return polishFrom([...archive.points, ...stage.crowd], objective);
}

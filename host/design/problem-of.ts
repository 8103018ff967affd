/**
 * A want as a problem for the search: what is better as objectives, smaller each, and every wish and every fault as a violation. A point
 * is decoded, evaluated whole, and read.
 */
import { askOf } from './ask-of.ts';
import type { Design } from './design.ts';
import type { Ask } from './evaluate/ask.ts';
import { Evaluation } from './evaluate/evaluate.ts';
import { type Prepared, prepare } from './evaluate/prepare.ts';
import { AT, FIGURES } from './figures.ts';
import type { Problem } from './search/problem.ts';
import { type Space, spaceOf } from './space.ts';
import type { Better, Want } from './want/want.ts';
import { FAULTS, type Wish, faultsOf, shortOf, usedAlong, usedToHold, wishesOf } from './wishes.ts';

/** What a problem is made of: plain data, so that it can be sent to a thread. Of a want's stream only the ask's samples are read. */
export interface Description {
  readonly want: Want;
  readonly ask: Ask;
}

export const describeProblem = (want: Want): Description => ({ want, ask: askOf(want) });

/** What belongs to a want, made once. */
export interface Subject extends Description {
  readonly space: Space;
  readonly prepared: Prepared;
  readonly wishes: readonly Wish[];
  readonly problem: Problem;
  /** What is better, smaller each, in the order of the want's `better`. */
  objectivesOf(figures: Float64Array): Float64Array;
  /** Of a point: its design and figures, the array anew each time. */
  look(x: ArrayLike<number>): { readonly design: Design; readonly figures: Float64Array };
  /** The same of a design, whether the space has it or not, and whether every wish is held and no fault is there. */
  read(design: Design): { readonly figures: Float64Array; readonly holds: boolean };
}

export function subjectOf({ want, ask }: Description): Subject {
  const space = spaceOf(want);
  const prepared = prepare(ask);
  const evaluation = new Evaluation(prepared);
  const wishes = wishesOf(want, prepared.axisIndex);
  const faults = faultsOf(want, ask);
  const objectives = want.better.map((better) => objectiveOf(want, prepared, better));
  const figures = new Float64Array(FIGURES);
  const problem: Problem = {
    dims: space.genes.length,
    objectives: objectives.length,
    constraints: wishes.length + FAULTS,
    evaluate: (x, out, at) => {
      const design = space.decode(x);
      evaluation.figures(design, figures);
      let k = at;
      for (const objective of objectives) out[k++] = objective(figures);
      for (const wish of wishes) out[k++] = shortOf(wish, figures, design);
      for (const fault of faults(figures, design)) out[k++] = fault;
    },
  };
  const figuresOf = (design: Design): Float64Array => {
    const own = new Float64Array(FIGURES);
    evaluation.figures(design, own);
    return own;
  };
  const look = (x: ArrayLike<number>) => {
    const design = space.decode(x);
    return { design, figures: figuresOf(design) };
  };
  const read = (design: Design) => {
    const own = figuresOf(design);
    const isHeld = wishes.every((wish) => shortOf(wish, own, design) === 0);
    return { figures: own, holds: isHeld && faults(own, design).every((fault) => fault === 0) };
  };
  const objectivesOf = (own: Float64Array) => Float64Array.from(objectives, (objective) => objective(own));
  return { want, ask, space, prepared, wishes, problem, objectivesOf, look, read };
}

function objectiveOf(want: Want, prepared: Prepared, better: Better): (figures: Float64Array) => number {
  switch (better) {
    case 'travel':
      return (figures) => -figures[AT.free]!;
    case 'use':
      return (want.must.follow ? usedAlong : usedToHold)(want, prepared.axisIndex);
    case 'frequency':
      return (figures) => -figures[AT.lowest_hz]!;
    case 'price':
      return (figures) => figures[AT.price]!;
    case 'size':
      return (figures) => figures[AT.volume]!;
  }
}

/**
 * Wishes that contradict each other: which one to relax, by how much, the smallest step first. For each wish by itself the design is
 * looked for that holds all the others and falls least short of this one, beginning with what the search before came nearest with. What is told is rounded to the easier side, and the design
 * was evaluated and judged again with the wish so relaxed. A design that turns out to hold every wish is an answer of its own.
 */
import type { RigFiles } from '../rig/read.ts';
import type { Design } from './design.ts';
import { eased, givenWay, saferThan } from './eased.ts';
import { type Subject, describeProblem, subjectOf } from './problem-of.ts';
import { type Archive, emptyArchive, keep } from './search/archive.ts';
import { pointOf } from './search/point.ts';
import { type Evaluator, type Shape, evaluatedHere } from './search/problem.ts';
import { type RunOptions, outcome, run, searchFrom } from './search/search.ts';
import { insteadWords, weakWords } from './short-words.ts';
import { written } from './written.ts';
import { tooLarge, whereWords } from './too-large.ts';
import type { Want } from './want/want.ts';
import { FAULTS, type Amount, type Wish, shortOf } from './wishes.ts';

/** One wish that, relaxed so far, leaves a design. */
export interface Relaxed {
  /** Its key path in the want file. */
  readonly wish: string;
  readonly unit: string;
  readonly asked: Amount;
  /** What to ask instead, with all else as asked; null: no amount that a want file may ask is enough. */
  readonly possible: Amount | null;
  /** By how much it gives way, as a share of what was asked; more than 0. */
  readonly by: number;
  readonly words: string;
}

export interface Relaxing {
  /** In the order of how little each gives way; empty: no single wish is enough. */
  readonly relaxed: readonly Relaxed[];
  /** Designs that hold every wish after all; where there is one, no wish has to be relaxed. */
  readonly found: Archive;
  /** Designs that were looked at. */
  readonly evaluated: number;
}

export interface RelaxOptions extends RunOptions {
  readonly seed: number;
  /** Evaluations for each wish: one objective is found in some 500 (measured). */
  readonly each: number;
  /** Points that nearly held, from the search that found none that hold. */
  readonly known: readonly Float64Array[];
  /** What the given rig names beside it. */
  readonly files?: RigFiles;
}

export async function relax(subject: Subject, evaluator: Evaluator, options: RelaxOptions): Promise<Relaxing> {
  const relaxed: Relaxed[] = [];
  const found = emptyArchive();
  // The same look that agreed to what was told earlier: who follows it gets a design.
  let evaluated = await anyThatHold(subject, evaluator, found, options);
  for (const [k, wish] of subject.wishes.entries()) {
    if (options.signal?.aborted || found.points.length > 0) break;
    const seen = await nearestWithout(subject, evaluator, k, found, options);
    evaluated += seen.evaluated;
    const one = seen.design && found.points.length === 0 && (await relaxedTo(subject, wish, seen.design, options));
    if (one) relaxed.push(one);
  }
  return { relaxed: relaxed.sort((a, b) => a.by - b.by), found, evaluated };
}

/** Wishes that go with another: what is reached at once is a share of each travel, and without a stream it takes no torque. */
function goesWith(path: string): string | null {
  if (path === 'must.follow') return 'firm.use';
  return path.startsWith('must.') && path !== 'must.together' ? 'must.together' : null;
}

/** The design that holds all wishes but the kth, and falls least short of this one; null: none was found. */
async function nearestWithout(
  subject: Subject,
  evaluator: Evaluator,
  k: number,
  found: Archive,
  options: RelaxOptions,
): Promise<{ readonly design: Design | null; readonly evaluated: number }> {
  const { problem, wishes } = subject;
  const { path } = wishes[k]!;
  const other = wishes.findIndex((wish) => wish.path === goesWith(path));
  const without = other < 0 ? [k] : [k, other];
  const shape: Shape = { dims: problem.dims, objectives: 1, constraints: wishes.length + FAULTS - without.length };
  const search = searchFrom(options.known, shape, { subject: path, seed: options.seed, each: options.each });
  await run(search, easing(evaluator, problem, without, found), options);
  const { nearest, evaluated } = outcome([search]);
  return { design: nearest?.violation === 0 ? subject.space.decode(nearest.x) : null, evaluated };
}

/** How far beyond what a design gives is tried, shares of it: a search for it must find it again. */
const MARGINS = [0.01, 0.05, 0.2];

/** What to ask of a wish for this design to hold; null: nothing that it gives way by, or that the library would agree to. */
async function relaxedTo(subject: Subject, wish: Wish, design: Design, options: RelaxOptions): Promise<Relaxed | null> {
  const { figures } = subject.read(design);
  if (shortOf(wish, figures, design) === 0) return null;
  const { path, unit, asked } = wish;
  const told = { wish: path, unit, asked };
  const given = wish.given(figures, design);
  const weak = weakWords(subject, wish, design, figures);
  // Bodies that are in each other leave no gap to ask for.
  if (weak !== null && path === 'clearance.gap_mm') return null;
  if (weak !== null) return { ...told, possible: null, by: givenWay(asked, given), words: weak };
  for (const margin of MARGINS) {
    const possible = saferThan(wish, given, margin);
    const held = await heldWith(
      eased(subject.want, path, possible),
      { along: goesWith(path), design, margin },
      options,
    );
    if (!held) continue;
    if (path === 'must.follow')
      return { ...told, possible: null, ...smallerStream(subject, held.design, options.files) };
    const by = givenWay(asked, possible);
    return { ...told, possible, by, words: `${insteadWords(wish, possible)}${held.also}` };
  }
  return null;
}

/** Designs that the library is asked about, until it agrees to one. */
const FEW = 8;

interface Nearly {
  /** Wish that goes along, to be relaxed where it must be. */
  readonly along: string | null;
  readonly design: Design;
  readonly margin: number;
}

/**
 * A design that holds all that is wanted and that the library agrees to: this one, else one that is looked for, since corners and
 * ends lie elsewhere where less travel is asked. In words which wish goes along, relaxed how far.
 */
async function heldWith(
  want: Want,
  { along, design, margin }: Nearly,
  options: RelaxOptions,
): Promise<{ readonly design: Design; readonly also: string } | null> {
  const subject = subjectOf(describeProblem(want));
  const { figures, holds } = subject.read(design);
  const agreed = (own: Design): boolean => !('refused' in written(want, own, options.files ?? {}));
  if (holds && agreed(design)) return { design, also: '' };
  const other = subject.wishes.find(({ path }) => path === along);
  if (other && shortOf(other, figures, design) > 0) {
    const amount = saferThan(other, other.given(figures, design), margin);
    const held = await heldWith(eased(want, other.path, amount), { along: null, design, margin }, options);
    return held && { ...held, also: `, and with it ${insteadWords(other, amount)}` };
  }
  const found = emptyArchive();
  const isOver = (): boolean => found.points.length >= FEW;
  await anyThatHold(subject, evaluatedHere(subject.problem), found, { ...options, isOver });
  const own = found.points
    .slice(0, FEW)
    .map(({ x }) => subject.space.decode(x))
    .find(agreed);
  return own ? { design: own, also: '' } : null;
}

/** Puts designs that hold every wish into `found`. @returns how many were looked at */
async function anyThatHold(
  { problem }: Subject,
  evaluator: Evaluator,
  found: Archive,
  options: RelaxOptions,
): Promise<number> {
  const { seed, each, known } = options;
  const shape: Shape = { dims: problem.dims, objectives: 1, constraints: problem.constraints };
  const search = searchFrom(known, shape, { subject: 'any', seed, each });
  await run(search, easing(evaluator, problem, [], found), options);
  return outcome([search]).evaluated;
}

/** By what share the stream must be smaller at least, and where it is too large. */
function smallerStream({ want, ask }: Subject, design: Design, files: RigFiles = {}): { by: number; words: string } {
  const bare = 'must.follow: without it';
  const own = written({ ...want, must: { ...want.must, follow: null } }, design, files);
  const large = 'refused' in own || !ask.stream ? null : tooLarge(own.judged.rig, ask.stream);
  if (!large)
    return { by: 1, words: `${bare}, or with one that asks for less torque and keeps the plate from hanging loose` };
  const percent = Math.floor(100 * large.share);
  const smaller = percent > 0 ? `, or with its poses at ${String(percent)} % of their size` : '';
  return { by: 1 - percent / 100, words: `${bare}${smaller}: ${whereWords(large, design.plate_radius_mm)}` };
}

/** The same points, with the sum of some violations as the only objective; those that hold everything are kept in `found`. */
function easing(evaluator: Evaluator, shape: Shape, without: readonly number[], found: Archive): Evaluator {
  const { objectives, constraints, dims } = shape;
  const width = objectives + constraints;
  const rest = Array.from({ length: constraints }, (_, c) => c).filter((c) => !without.includes(c));
  let seen = 0;
  return {
    workers: evaluator.workers,
    close: () => evaluator.close(),
    async evaluate(xs: Float64Array, n: number) {
      const all = await evaluator.evaluate(xs.subarray(0, n * dims), n);
      const out = new Float64Array(n * (1 + rest.length));
      for (let i = 0; i < n; i++) {
        const x = xs.slice(i * dims, (i + 1) * dims);
        const point = pointOf(shape, x, all, i, seen++);
        if (point.violation === 0) keep(found, point);
        const own = all.subarray(i * width + objectives, (i + 1) * width);
        const at = i * (1 + rest.length);
        for (const k of without) out[at]! += own[k]!;
        rest.forEach((c, j) => (out[at + 1 + j] = own[c]!));
      }
      return out;
    },
  };
}

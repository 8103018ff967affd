/** What the library says of the points of a front, each looked at once, and why it refuses what it does. */
import type { RigFiles } from '../rig/read.ts';
import { isShortAsBuilt } from './as-built.ts';
import type { Design } from './design.ts';
import { Built } from './evaluate/built.ts';
import { leastTravel } from './free-travel.ts';
import type { Subject } from './problem-of.ts';
import { type Written, written } from './written.ts';

/** A point of a front. */
export interface Point {
  readonly x: ArrayLike<number>;
  readonly objectives: Float64Array;
}

export interface Held extends Written {
  readonly figures: Float64Array;
  readonly objectives: Float64Array;
  /**
   * 5th percentile of the least travel as built, as a share of what is asked, no more than bodies leave free as drawn; null: nothing is
   * asked, or it is built exactly.
   */
  readonly robust: number | null;
}

/** Why designs that the evaluator took for good were dropped, and how many, the most first. */
export type Dropped = readonly { readonly because: string; readonly designs: number }[];

export class Verdicts {
  private readonly subject: Subject;
  private readonly files: RigFiles;
  private readonly robust: (design: Design) => number | null;
  /** null: refused. */
  private readonly held = new Map<Point, Held | null>();
  /** Of points as they were found, `Held.robust` as far as legs decide it: narrower soft limits do not make it better. */
  private readonly built = new Map<Point, number | null>();
  private readonly reasons = new Map<string, number>();

  constructor(subject: Subject, files: RigFiles) {
    this.subject = subject;
    this.files = files;
    this.robust = robustness(subject);
  }

  get count(): number {
    return this.held.size;
  }

  get holding(): number {
    return [...this.held.values()].filter((held) => held !== null).length;
  }

  get dropped(): Dropped {
    const all = [...this.reasons].map(([because, designs]) => ({ because, designs }));
    return all.sort((a, b) => b.designs - a.designs);
  }

  isBuilt(point: Point): boolean {
    return this.built.has(point);
  }

  build(point: Point): void {
    this.built.set(point, this.robust(this.subject.space.decode(point.x)));
  }

  look(point: Point): void {
    const { subject, held, reasons, built } = this;
    const design = subject.space.decode(point.x);
    const verdict = written(subject.want, design, this.files);
    if ('refused' in verdict) {
      reasons.set(verdict.refused, (reasons.get(verdict.refused) ?? 0) + 1);
      held.set(point, null);
      return;
    }
    const isAsFound = verdict.design === design;
    const { figures } = subject.read(verdict.design);
    const objectives = isAsFound ? point.objectives : subject.objectivesOf(figures);
    const legs = isAsFound && built.has(point) ? built.get(point)! : this.robust(verdict.design);
    held.set(point, { ...verdict, figures, objectives, robust: this.robustOf(legs, verdict) });
  }

  private robustOf(legs: number | null, { judged }: Written): number | null {
    // The library agreed that nothing comes too near within what is asked: what is less than a whole is rounding.
    const bodies = Math.max(1, leastTravel(this.subject.want, judged.travel)?.share ?? 1);
    return legs === null ? null : Math.min(legs, bodies);
  }

  has(point: Point): boolean {
    return this.held.has(point);
  }

  /** null: it is refused, or was not looked at. */
  heldAt(point: Point): Held | null {
    return this.held.get(point) ?? null;
  }

  isRefused(point: Point): boolean {
    return this.held.get(point) === null;
  }

  /** As far as is known, it does what was asked as built. */
  isFirm(point: Point): boolean {
    const own = this.held.get(point);
    if (own === undefined) return !isShortAsBuilt({ robust: this.built.get(point) ?? null });
    return own !== null && !isShortAsBuilt(own);
  }

  /** Of the design as it was written. */
  objectivesOf(point: Point): Float64Array {
    return this.held.get(point)?.objectives ?? point.objectives;
  }
}

/** `Held.robust`, as far as legs decide it. */
function robustness({ want, prepared }: Subject): (design: Design) => number | null {
  const wanted = prepared.ask.must.travels;
  if (want.must.built_within_mm === 0 || !wanted.some((by) => by > 0)) return () => null;
  const built = new Built(prepared);
  return (design) => built.travels(design, wanted).share;
}

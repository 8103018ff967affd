/**
 * From what a search found to what is shown: a few designs that differ to a builder, each written as a rig file and judged by the
 * library. What the library refuses is dropped, and its reason counted.
 */
import type { RigFiles } from '../rig/read.ts';
import type { Design } from './design.ts';
import { bindsOf } from './binds.ts';
import { Built } from './evaluate/built.ts';
import { thinned } from './front/thin.ts';
import { type Judged, judge } from './judge.ts';
import type { Subject } from './problem-of.ts';
import { reasonsOf, slugOf } from './reasons.ts';
import { rigOf } from './rig-of.ts';
import type { Better, Want } from './want/want.ts';

/** One design that is shown. */
export interface Shown {
  /** Its rig file's name, and the rig's. */
  readonly file: string;
  readonly name: string;
  readonly why: string;
  readonly binds: readonly string[];
  readonly design: Design;
  readonly judged: Judged;
  /** As the search has them: smaller is better. */
  readonly objectives: readonly number[];
  /** 5th percentile of the least travel as built, as a share of what is asked; null: nothing is asked, or it is built exactly. */
  readonly robust: number | null;
}

export interface Front {
  readonly shown: readonly Shown[];
  /** Why designs that the evaluator took for good were dropped, and how many, the most first. */
  readonly dropped: readonly { readonly because: string; readonly designs: number }[];
}

/** A point of the front. */
interface Point {
  readonly x: ArrayLike<number>;
  readonly objectives: Float64Array;
}

/** What no builder would tell apart: a hundredth of travel or use, 0.1 Hz, half a unit of money, 10 cm³. */
const ALIKE: Readonly<Record<Better, number>> = { travel: 0.02, use: 0.01, frequency: 0.1, price: 0.5, size: 10 };
/** Designs that are shown, and judged at most. */
const MOST = 8;
const MOST_JUDGED = 60;

export function frontOf(subject: Subject, points: readonly Point[], files: RigFiles = {}): Front {
  const { want } = subject;
  const judged = new Map<Point, Held | null>();
  const reasons = new Map<string, number>();
  const alike = want.better.map((better) => ALIKE[better]);
  for (;;) {
    const left = points.filter((point) => judged.get(point) !== null);
    const few = thinned(
      left.map(({ objectives }) => objectives),
      { most: MOST, alike },
    ).map((i) => left[i]!);
    const fresh = few.filter((point) => !judged.has(point));
    if (fresh.length === 0 || judged.size >= MOST_JUDGED) {
      return { shown: told(subject, few, judged), dropped: counted(reasons) };
    }
    for (const point of fresh) {
      const verdict = judgedAt(subject, point, files);
      if ('refused' in verdict) reasons.set(verdict.refused, (reasons.get(verdict.refused) ?? 0) + 1);
      judged.set(point, 'refused' in verdict ? null : verdict);
    }
  }
}

const counted = (reasons: ReadonlyMap<string, number>): Front['dropped'] =>
  [...reasons].map(([because, designs]) => ({ because, designs })).sort((a, b) => b.designs - a.designs);

interface Held {
  readonly design: Design;
  readonly judged: Judged;
}

const judgedAt = ({ want, space }: Subject, { x }: Point, files: RigFiles): Held | { readonly refused: string } =>
  written(want, space.decode(x), files);

/** A design as a rig file, judged by the library. */
export function written(want: Want, design: Design, files: RigFiles): Held | { readonly refused: string } {
  const text = rigOf(want, design, want.name);
  if (text === null) return { refused: 'the given rig’s text has no place for a figure: it is shared by an anchor' };
  const judged = judge(want, design, text, files);
  return 'refused' in judged ? judged : { design, judged };
}

function told(subject: Subject, few: readonly Point[], judged: ReadonlyMap<Point, Held | null>): Shown[] {
  const { want } = subject;
  const robust = robustness(subject);
  const held = few.flatMap((point) => {
    const own = judged.get(point);
    return own ? [{ point, ...own }] : [];
  });
  const why = reasonsOf(
    held.map(({ point }) => point.objectives),
    want.better,
  );
  return held.map(({ point, design, judged: own }, i): Shown => {
    const name = `${want.name}-${String(i + 1)}`;
    const text = rigOf(want, design, name)!;
    return {
      file: `${String(i + 1)}-${slugOf(why[i]!)}.yaml`,
      name,
      why: why[i]!,
      binds: bindsOf(subject, point.x),
      design,
      judged: { ...own, text, rig: { ...own.rig, name } },
      objectives: [...point.objectives],
      robust: robust(design),
    };
  });
}

/** `Shown.robust` of a design. */
function robustness({ want, prepared }: Subject): (design: Design) => number | null {
  const wanted = prepared.ask.must.travels;
  if (want.must.built_within_mm === 0 || !wanted.some((by) => by > 0)) return () => null;
  const built = new Built(prepared);
  return (design) => built.travels(design, wanted).share;
}

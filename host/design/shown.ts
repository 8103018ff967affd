/**
 * From what a search found to what is shown: a few designs that differ to a builder, each written as a rig file and judged by the
 * library. What the library refuses is dropped, and its reason counted.
 */
import type { RigFiles } from '../rig/read.ts';
import { toRad } from '../rig/rig.ts';
import { isShortAsBuilt } from './as-built.ts';
import type { Design } from './design.ts';
import { bindsOf } from './binds.ts';
import { Built } from './evaluate/built.ts';
import { AT } from './figures.ts';
import { thinned } from './front/thin.ts';
import { type Judged, judge } from './judge.ts';
import type { Subject } from './problem-of.ts';
import { reasonsOf, slugOf } from './reasons.ts';
import { rigOf } from './rig-of.ts';
import { givenHolds } from './to-buy.ts';
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
  /** Least of all travels that are asked, each as a share of it; null: none is asked. */
  readonly travel_share: number | null;
  /** Cylinder around it at home, cm³: AT.volume. */
  readonly volume_cm3: number;
}

export interface Front {
  readonly shown: readonly Shown[];
  /** Why designs that the evaluator took for good were dropped, and how many, the most first. */
  readonly dropped: readonly { readonly because: string; readonly designs: number }[];
  /** By joint that is designed besides the legs: `axis_hold_nm` of the given rig. */
  readonly before_nm: Readonly<Record<string, number>>;
}

/** A point of the front. */
interface Point {
  readonly x: ArrayLike<number>;
  readonly objectives: Float64Array;
}

/** What no builder would tell apart: a hundredth of travel or use, 0.1 Hz, half a unit of money, 10 cm³. */
const ALIKE: Readonly<Record<Better, number>> = { travel: 0.02, use: 0.01, frequency: 0.1, price: 0.5, size: 10 };
/** Of the same parts from the shelf, figures that differ by a smaller share than this are one design. */
const ALIKE_SHARE = 0.04;
/** Designs that are shown, and judged at most. */
const MOST = 8;
const MOST_JUDGED = 60;

/** Designs that do what was asked as built come first; those that do it as drawn only fill up what is left of the eight. */
export function frontOf(subject: Subject, points: readonly Point[], files: RigFiles = {}): Front {
  const { want, space } = subject;
  const judged = new Map<Point, Held | null>();
  const reasons = new Map<string, number>();
  const robust = robustness(subject);
  const alike = want.better.map((better) => ALIKE[better]);
  const designs = new Map(points.map((point) => [point, space.decode(point.x)]));
  const few = (of: readonly Point[], first: readonly Point[] = []): Point[] =>
    thinned(
      of.map(({ objectives }) => objectives),
      {
        most: MOST,
        alike,
        same: (i, j) => isSame(of[i]!, of[j]!, designs),
        first: first.map((point) => of.indexOf(point)),
      },
    ).map((i) => of[i]!);
  const isFirm = (point: Point): boolean => {
    const own = judged.get(point);
    return own === undefined || (own !== null && !isShortAsBuilt(own));
  };
  for (;;) {
    const isDone = judged.size >= MOST_JUDGED;
    const firm = few(points.filter((point) => isFirm(point) && (!isDone || judged.has(point))));
    const rest = points.filter((point) => (isDone ? judged.get(point) : judged.get(point) !== null));
    const chosen = firm.length < MOST ? few(rest, firm) : firm;
    const fresh = chosen.filter((point) => !judged.has(point));
    if (fresh.length === 0) {
      return { shown: told(subject, chosen, judged), dropped: counted(reasons), before_nm: givenHolds(want) };
    }
    for (const point of fresh) {
      const verdict = judgedAt(subject, point, files);
      if ('refused' in verdict) reasons.set(verdict.refused, (reasons.get(verdict.refused) ?? 0) + 1);
      judged.set(point, 'refused' in verdict ? null : { ...verdict, robust: robust(verdict.design) });
    }
  }
}

/** Of the same parts from the shelf, and nearly the same in all that counts: the rest of what differs is where holes are drilled. */
function isSame(a: Point, b: Point, designs: ReadonlyMap<Point, Design>): boolean {
  const parts = (point: Point): string => {
    const { crank_mm, rod_mm, stroke_mm, servo, facing, axes } = designs.get(point)!;
    return JSON.stringify([crank_mm, rod_mm, stroke_mm, servo, facing, axes.map((axis) => axis.servo)]);
  };
  return (
    parts(a) === parts(b) &&
    a.objectives.every((value, k) => {
      const other = b.objectives[k]!;
      return Math.abs(value - other) <= ALIKE_SHARE * Math.max(Math.abs(value), Math.abs(other));
    })
  );
}

const counted = (reasons: ReadonlyMap<string, number>): Front['dropped'] =>
  [...reasons].map(([because, designs]) => ({ because, designs })).sort((a, b) => b.designs - a.designs);

interface Held {
  readonly design: Design;
  readonly judged: Judged;
  readonly robust: number | null;
}

const judgedAt = (
  { want, space }: Subject,
  { x }: Point,
  files: RigFiles,
): Omit<Held, 'robust'> | { readonly refused: string } => written(want, space.decode(x), files);

/** A design as a rig file, judged by the library. */
export function written(
  want: Want,
  design: Design,
  files: RigFiles,
): Omit<Held, 'robust'> | { readonly refused: string } {
  const text = rigOf(want, design, want.name);
  if (text === null) return { refused: 'the given rig’s text has no place for a figure: it is shared by an anchor' };
  const judged = judge(want, design, text, files);
  return 'refused' in judged ? judged : { design, judged };
}

function told(subject: Subject, few: readonly Point[], judged: ReadonlyMap<Point, Held | null>): Shown[] {
  const { want } = subject;
  const held = few.flatMap((point) => {
    const own = judged.get(point);
    return own ? [{ point, ...own }] : [];
  });
  const why = reasonsOf(
    held.map(({ point }) => point.objectives),
    want.better,
  );
  return held.map(({ point, design, robust, judged: own }, i): Shown => {
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
      robust,
      travel_share: travelShare(want, own),
      volume_cm3: subject.look(point.x).figures[AT.volume]!,
    };
  });
}

function travelShare({ must }: Want, { travel }: Judged): number | null {
  const shares = must.travel.flatMap(({ minus, plus }, k) => {
    const own = travel[k]!;
    const unit = own.unit === 'deg' ? toRad(1) : 1;
    return [...(minus < 0 ? [(own.minus * unit) / minus] : []), ...(plus > 0 ? [(own.plus * unit) / plus] : [])];
  });
  return shares.length === 0 ? null : Math.min(...shares);
}

/** `Shown.robust` of a design. */
function robustness({ want, prepared }: Subject): (design: Design) => number | null {
  const wanted = prepared.ask.must.travels;
  if (want.must.built_within_mm === 0 || !wanted.some((by) => by > 0)) return () => null;
  const built = new Built(prepared);
  return (design) => built.travels(design, wanted).share;
}

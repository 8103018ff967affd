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
import { type Judged, type Refused, judge } from './judge.ts';
import type { Subject } from './problem-of.ts';
import { reasonsOf, slugOf } from './reasons.ts';
import { rigOf } from './rig-of.ts';
import { limitsThatHold } from './soft-limits.ts';
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

/** What no builder would tell apart: two hundredths of travel, one of use, 0.1 Hz, half a unit of money, 10 cm³. */
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
  const objectivesOf = (point: Point): Float64Array => judged.get(point)?.objectives ?? point.objectives;
  const few = (of: readonly Point[], first: readonly Point[] = []): Point[] =>
    thinned(of.map(objectivesOf), {
      most: MOST,
      alike,
      same: (i, j) =>
        isSame(designs.get(of[i]!)!, designs.get(of[j]!)!) && isNear(objectivesOf(of[i]!), objectivesOf(of[j]!)),
      first: first.map((point) => of.indexOf(point)),
    }).map((i) => of[i]!);
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
      const verdict = written(want, designs.get(point)!, files);
      if ('refused' in verdict) {
        reasons.set(verdict.refused, (reasons.get(verdict.refused) ?? 0) + 1);
        judged.set(point, null);
        continue;
      }
      const { figures } = subject.read(verdict.design);
      const objectives = verdict.design === designs.get(point) ? point.objectives : subject.objectivesOf(figures);
      judged.set(point, { ...verdict, figures, objectives, robust: robust(verdict.design) });
    }
  }
}

/** Of the same parts from the shelf: the rest of what differs is where holes are drilled. */
function isSame(a: Design, b: Design): boolean {
  const parts = ({ crank_mm, rod_mm, stroke_mm, servo, facing, axes }: Design): string =>
    JSON.stringify([crank_mm, rod_mm, stroke_mm, servo, facing, axes.map((axis) => axis.servo)]);
  return parts(a) === parts(b);
}

/** Nearly the same in all that counts. */
const isNear = (a: Float64Array, b: Float64Array): boolean =>
  a.every((value, k) => Math.abs(value - b[k]!) <= ALIKE_SHARE * Math.max(Math.abs(value), Math.abs(b[k]!)));

const counted = (reasons: ReadonlyMap<string, number>): Front['dropped'] =>
  [...reasons].map(([because, designs]) => ({ because, designs })).sort((a, b) => b.designs - a.designs);

/** A design that the library agrees to: its soft limits may be narrower than the search had them. */
interface Written {
  readonly design: Design;
  readonly judged: Judged;
}

interface Held extends Written {
  readonly figures: Float64Array;
  readonly objectives: Float64Array;
  readonly robust: number | null;
}

/** A design as a rig file, judged by the library; its soft limits drawn in where its legs cannot hold all that they allow. */
export function written(want: Want, design: Design, files: RigFiles): Written | Refused {
  const asFound = writtenAs(want, design, files);
  if (!('refused' in asFound) || !asFound.too_wide) return asFound;
  const limits = limitsThatHold(asFound.too_wide);
  if (!limits) return asFound;
  const drawnIn = writtenAs(want, { ...design, limits }, files);
  return 'refused' in drawnIn
    ? { refused: `with soft limits narrow enough for its legs to hold: ${drawnIn.refused}` }
    : drawnIn;
}

function writtenAs(want: Want, design: Design, files: RigFiles): Written | Refused {
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
    held.map(({ objectives }) => objectives),
    want.better,
  );
  return held.map(({ point, design, figures, objectives, robust, judged: own }, i): Shown => {
    const name = `${want.name}-${String(i + 1)}`;
    const text = rigOf(want, design, name)!;
    return {
      file: `${String(i + 1)}-${slugOf(why[i]!)}.yaml`,
      name,
      why: why[i]!,
      binds: bindsOf(subject, point.x, { design, figures }),
      design,
      judged: { ...own, text, rig: { ...own.rig, name } },
      objectives: [...objectives],
      robust,
      travel_share: travelShare(want, own),
      volume_cm3: figures[AT.volume]!,
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

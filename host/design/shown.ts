/**
 * From what a search found to what is shown: a few designs that differ to a builder, each written as a rig file and judged by the
 * library. What the library refuses is dropped, and its reason counted.
 */
import type { RigFiles } from '../rig/read.ts';
import type { Design } from './design.ts';
import { bindsOf } from './binds.ts';
import { AT } from './figures.ts';
import { leastTravel } from './free-travel.ts';
import { thinned } from './front/thin.ts';
import type { Judged } from './judge.ts';
import type { Subject } from './problem-of.ts';
import { balancedOf, reasonsOf, slugOf } from './reasons.ts';
import { rigOf } from './rig-of.ts';
import { givenHolds } from './to-buy.ts';
import { type Dropped, type Held, type Point, Verdicts } from './verdicts.ts';
import type { Better, Want } from './want/want.ts';

/** One design that is shown. */
export interface Shown {
  /** Its rig file's name, and the rig's. */
  readonly file: string;
  readonly name: string;
  readonly why: string;
  /** It has the best balance of all that counts. */
  readonly balanced: boolean;
  readonly binds: readonly string[];
  readonly design: Design;
  readonly judged: Judged;
  /** As the search has them, smaller is better; of torque what the library says. */
  readonly objectives: readonly number[];
  /** `Held.robust`. */
  readonly robust: number | null;
  /** Least of all travels that are asked, each as a share of it; null: none is asked. */
  readonly travel_share: number | null;
  /** The axis of that, such as yaw. */
  readonly least_axis: string | null;
  /** Cylinder around it at home, cm³: AT.volume. */
  readonly volume_cm3: number;
}

export interface Front {
  readonly shown: readonly Shown[];
  readonly dropped: Dropped;
  /** By joint that is designed besides the legs: `axis_hold_nm` of the given rig. */
  readonly before_nm: Readonly<Record<string, number>>;
}

/** What no builder would tell apart: two hundredths of travel, one of use, 0.1 Hz, half a unit of money, 10 cm³. */
const ALIKE: Readonly<Record<Better, number>> = { travel: 0.02, use: 0.01, frequency: 0.1, price: 0.5, size: 10 };
/** The same by objective. */
export const alikeOf = ({ better }: Pick<Want, 'better'>): number[] => better.map((name) => ALIKE[name]);
/** Of the same parts from the shelf, figures that differ by a smaller share than this are one design. */
const ALIKE_SHARE = 0.04;
/** Designs that are shown at most. */
const MOST = 8;
/** Designs that are judged where as many hold as are shown; and at most, where fewer do. */
const JUDGED = 24;
const MOST_JUDGED = 60;

/** Designs that do what was asked as built come first; those that do it as drawn only fill up what is left of the eight. */
export function frontOf(subject: Subject, points: readonly Point[], files: RigFiles = {}): Front {
  const verdicts = new Verdicts(subject, files);
  const few = fewOf(subject, points, verdicts);
  for (;;) {
    const isDone = verdicts.count >= (verdicts.holding >= MOST ? JUDGED : MOST_JUDGED);
    const open = points.filter((point) => (isDone ? verdicts.heldAt(point) : !verdicts.isRefused(point)));
    const firm = few(open.filter((point) => verdicts.isFirm(point)));
    // To build one costs a tenth of judging it.
    const unbuilt = firm.filter((point) => !verdicts.isBuilt(point));
    if (unbuilt.length > 0) {
      unbuilt.forEach((point) => verdicts.build(point));
      continue;
    }
    const chosen = firm.length < MOST ? few(open, firm) : firm;
    const fresh = chosen.filter((point) => !verdicts.has(point));
    if (fresh.length > 0) fresh.forEach((point) => verdicts.look(point));
    else
      return { shown: told(subject, chosen, verdicts), dropped: verdicts.dropped, before_nm: givenHolds(subject.want) };
  }
}

/** The few of some points that somebody chooses between; `first` stay. */
function fewOf({ want, space }: Subject, points: readonly Point[], verdicts: Verdicts) {
  const alike = alikeOf(want);
  const parts = new Map(points.map((point) => [point, partsOf(space.decode(point.x))]));
  const isNear = (a: Float64Array, b: Float64Array): boolean =>
    a.every((value, k) => Math.abs(value - b[k]!) <= ALIKE_SHARE * Math.max(Math.abs(value), Math.abs(b[k]!)));
  return (of: readonly Point[], first: readonly Point[] = []): Point[] => {
    const objectives = of.map((point) => verdicts.objectivesOf(point));
    return thinned(objectives, {
      most: MOST,
      alike,
      same: (i, j) => parts.get(of[i]!) === parts.get(of[j]!) && isNear(objectives[i]!, objectives[j]!),
      first: first.map((point) => of.indexOf(point)),
    }).map((i) => of[i]!);
  };
}

/** What comes from the shelf: the rest of what differs is where holes are drilled. */
const partsOf = ({ crank_mm, rod_mm, stroke_mm, servo, facing, axes }: Design): string =>
  JSON.stringify([crank_mm, rod_mm, stroke_mm, servo, facing, axes.map((axis) => axis.servo)]);

function told(subject: Subject, few: readonly Point[], verdicts: Verdicts): Shown[] {
  const { want } = subject;
  const held = few.flatMap((point) => {
    const own = verdicts.heldAt(point);
    return own ? [{ point, ...own, objectives: toldOf(want, own) }] : [];
  });
  const all = held.map(({ objectives }) => objectives);
  const alike = alikeOf(want);
  const why = reasonsOf(all, want.better, alike);
  const middle = held.length > 0 ? balancedOf(all, want.better.length, alike) : -1;
  return held.map(({ point, design, figures, objectives, robust, judged: own }, i): Shown => {
    const name = `${want.name}-${String(i + 1)}`;
    const text = rigOf(want, design, name)!;
    const least = leastTravel(want, own.travel);
    return {
      file: `${String(i + 1)}-${slugOf(why[i]!)}.yaml`,
      name,
      why: why[i]!,
      balanced: i === middle,
      binds: bindsOf(subject, point.x, { design, figures }),
      design,
      judged: { ...own, text, rig: { ...own.rig, name } },
      objectives: [...objectives],
      robust,
      travel_share: least?.share ?? null,
      least_axis: least?.axis ?? null,
      volume_cm3: figures[AT.volume]!,
    };
  });
}

/** Torque is shown with its joint and its place, which the library knows: it is ranked by the same figure. */
const toldOf = ({ better }: Want, { objectives, judged }: Held): Float64Array =>
  objectives.map((value, k) => (better[k] === 'use' ? judged.torque_used.use : value));

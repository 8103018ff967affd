/** What a design stands against: walls of the room, ends of the stock, wishes that are held with nothing to spare. */
import { toDeg, toShown } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import type { Design } from './design.ts';
import type { Subject } from './problem-of.ts';
import type { Gene } from './space.ts';
import { type Amount, type Wish, amountWords } from './wishes.ts';

/** A size within this share of its range of an end stands there. */
const AT_END = 0.005;
/** A wish is tight where asking this share more would break it. */
const TIGHT = 0.02;

interface Read {
  readonly design: Design;
  readonly figures: Float64Array;
}

/** Words, walls first: `room.base_radius_mm: 75 mm, all of it`. */
export function bindsOf({ space, wishes, want }: Subject, x: ArrayLike<number>, { design, figures }: Read): string[] {
  const ends = space.genes.flatMap((gene, i) => endOf(gene, x[i]!, want.room) ?? []);
  // What is reached at once is told up to what was asked only: it never has anything to spare.
  const tight = wishes.filter((wish) => wish.path !== 'must.together' && wish.slack(figures, design) < TIGHT);
  return [
    ...ends,
    ...tight.map((wish) => tightWords(wish, wish.given(figures, design))),
    ...drawnInWords(want, design, space.decode(x)),
  ];
}

type Rooms = Subject['want']['room'];

/** Null: it stands in the middle, or the end that it stands at is none that anybody could move. */
function endOf({ path, sizes, unit }: Gene, x: number, room: Rooms): string | null {
  const isLow = x <= ('list' in sizes ? 1 / sizes.list.length - Number.EPSILON : AT_END);
  const isHigh = x >= ('list' in sizes ? 1 - 1 / sizes.list.length : 1 - AT_END);
  if (isLow === isHigh || unit === null) return null;
  const end = 'list' in sizes ? sizes.list.at(isLow ? 0 : -1)! : isLow ? sizes.lowest : sizes.highest;
  const shown = unit === 'deg' ? `${short(toDeg(end))} deg` : `${short(end, 3)}${unit === '' ? '' : ` ${unit}`}`;
  const wall =
    path === 'stock.base_radius_mm' ? 'base_radius_mm' : path === 'stock.plate_radius_mm' ? 'plate_radius_mm' : null;
  if (wall && isHigh && end >= room[wall]) return `room.${wall}: ${shown}, all of it`;
  return `${path}: ${shown}, the ${isLow ? 'least' : 'most'} there is`;
}

function tightWords({ path, unit, asked }: Wish, given: Amount): string {
  const [most, has] = [amountWords(asked, unit), amountWords(given, unit)];
  return `${path}: ${most}, ${most === has ? 'nothing to spare' : `it has ${has}`}`;
}

/** Where the search had wider soft limits: soft-limits.ts. */
function drawnInWords({ base }: Subject['want'], { limits }: Design, found: Design): string[] {
  const leg = base.joints[0];
  if (!limits || !leg || (found.limits && found.limits.every((limit, i) => limit === limits[i]))) return [];
  const amount = limits.map((value) => toShown(leg, value)) as [number, number];
  const key = `platform.limit_${leg.unit}`;
  return [`${key}: ${amountWords(amount, leg.unit)}, drawn in: with wider limits a leg could not hold everywhere`];
}

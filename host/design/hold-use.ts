/** Where a design holds hardest, of the places that it is looked at: home, where travels end, corners, and home with joints at their limits. */
import { Demand } from '../load/demand.ts';
import { placeAnswer, postureOf } from '../load/places.ts';
import { placeWords } from '../load/words.ts';
import { HOME, type Rig } from '../rig/rig.ts';
import { together } from '../rig/words.ts';
import { cornersOf, endsOf } from './asked-poses.ts';
import type { Want } from './want/want.ts';

/** The largest share of a servo's torque that something takes: which joint's it is, and where or when, in words. */
export interface Hardest {
  readonly use: number;
  readonly joint: string;
  readonly where: string;
}

/** Of what was found no shorter than asked, so that a travel's end is in reach. */
const INSIDE = 1 - 1e-4;

/**
 * Largest share of stall torque to hold, of the legs and the joints that are designed, as the search has it (evaluate/stations.ts).
 * @param rig with the want's margins; Infinity: somewhere it does not stand.
 */
export function hardestHold(want: Want, rig: Rig, free: ReadonlySet<string>): Hardest {
  const demand = new Demand(rig);
  const own = rig.joints.flatMap(({ kind, name }, i) => (kind === 'leg' || free.has(name) ? [i] : []));
  const poses = [HOME, ...endsOf(want, INSIDE), ...cornersOf(want, want.must.together)];
  const places = poses.flatMap((pose) => postureOf(rig, pose) ?? []);
  const home = places[0];
  const nowhere = { use: Infinity, joint: '', where: '' };
  if (!home || places.length < poses.length) return nowhere;
  const leaning = [...turnedOf(want, rig)].flatMap((i) =>
    [rig.joints[i]!.lo, rig.joints[i]!.hi].map((at) => ({ ...home, q: home.q.map((q, k) => (k === i ? at : q)) })),
  );
  let most: Hardest = { ...nowhere, use: -1 };
  for (const place of [...places, ...leaning]) {
    if (!demand.hold(place)) return nowhere;
    for (const i of own) {
      const use = demand.share(i);
      if (use > most.use) most = { use, joint: rig.joints[i]!.name, where: placeWords(placeAnswer(rig, place)) };
    }
  }
  return most;
}

/** Joints that carry the platform, and those that are designed. */
function turnedOf({ axes }: Want, { joints, platform }: Rig): Set<number> {
  const found = new Set(axes.map(({ index }) => index));
  for (let on = platform?.on ?? null; on !== null;) {
    const i = joints.findIndex(({ name }) => name === on);
    found.add(i);
    on = joints[i]?.axis?.on ?? null;
  }
  return found;
}

/** Those places in words. */
export function holdPlaces({ must, axes, base }: Want): string {
  const isAsked = must.travel.some(({ minus, plus }) => minus < 0 || plus > 0);
  const leans = axes.length > 0 || (base.platform?.on ?? null) !== null;
  const places = [
    'at home',
    ...(isAsked ? ['where each travel that is asked ends'] : []),
    ...(isAsked && must.together > 0 ? ['in the corners of what is asked at once'] : []),
    ...(leans ? ['with joints beneath the platform or designed at their limits'] : []),
  ];
  return together(places);
}

/**
 * Where the weights of a rig are looked at: a joint over its soft limits with the rest at home, the legs at poses of a stream
 * or at poses that the platform can stand in.
 */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { type Pose, type Rig, HOME } from '../../rig/rig.ts';
import { inverse, whatStops } from '../kinematics/inverse.ts';
import type { LegPlace, Place } from '../servo/limits.ts';
import { Mechanism } from './mechanism.ts';

const PLACES = 61;
const DIRECTIONS = 64;
const SEED = 11;
const BISECTIONS = 12;
/** Further than any platform of a prop goes: mm, rad. */
const FURTHEST = [150, 150, 150, 1.5, 1.5, 1.5];

/** A place of the whole rig: coordinates of all joints, and the plate's pose. */
export interface Posture {
  readonly q: readonly number[];
  readonly pose: Pose;
}

/** Everything at home. */
export const homePosture = (rig: Rig): Posture => ({ q: rig.joints.map(({ home }) => home), pose: HOME });

/** Everything where it is parked; null: the legs do not reach that. */
export const restPosture = (rig: Rig): Posture | null =>
  postureAt(
    rig,
    rig.platform?.rest ?? HOME,
    rig.joints.flatMap(({ kind, rest }) => (kind === 'leg' ? [] : [rest])),
  );

/**
 * Joint i over its soft limits, in ascending order, with the greatest inertia of the postures, and what it takes most and least to
 * hold toward plus: two places at one coordinate where postures differ, since one bounds `plus` and the other `minus`. No leg.
 * Postures beyond a singular pose count for nothing.
 */
export function axisPlaces(rig: Rig, mechanism: Mechanism, i: number, postures: readonly Posture[]): Place[] {
  const { lo, hi, axis } = rig.joints[i]!;
  // A load of its own feels nothing of the others.
  const felt = axis ? postures.filter(sameSide(rig, mechanism)) : [homePosture(rig)];
  const n = rig.joints.length;
  const places: Place[] = [];
  for (let k = 0; k < PLACES; k++) {
    const at = lo + ((hi - lo) * k) / (PLACES - 1);
    let [least, most, inertia] = [Infinity, -Infinity, 0];
    for (const { q, pose } of felt) {
      if (!mechanism.at(q.with(i, at), pose)) continue;
      const held = mechanism.gravity[i]!;
      [least, most] = [Math.min(least, held), Math.max(most, held)];
      inertia = Math.max(inertia, mechanism.mass[n * i + i]!);
    }
    if (most === -Infinity) places.push({ at, hold: 0, inertia });
    else for (const hold of most > least ? [most, least] : [most]) places.push({ at, hold, inertia });
  }
  return places;
}

/**
 * Whether the platform can come to a posture from home, as far as singular poses tell; the mechanism stands there then. Beyond
 * a singular pose it cannot get with its legs alone, for in between the plate hangs loose and falls.
 */
export function sameSide(rig: Rig, mechanism: Mechanism): (posture: Posture) => boolean {
  const home = homePosture(rig);
  // Where home itself is singular there are no sides to tell.
  const side = mechanism.at(home.q, home.pose) ? mechanism.side : 0;
  return ({ q, pose }) => mechanism.at(q, pose) && (side === 0 || mechanism.side === side);
}

/** The legs at these postures, but for those beyond a singular pose. */
export function legPlaces(rig: Rig, mechanism: Mechanism, postures: readonly Posture[]): LegPlace[] {
  const n = rig.joints.length;
  const getsTo = sameSide(rig, mechanism);
  return postures.flatMap((posture) => {
    if (!getsTo(posture)) return [];
    const { gravity, mass } = mechanism;
    const row = (i: number): number => {
      let sum = 0;
      for (let j = 0; j < 6; j++) sum += Math.abs(mass[n * i + j]!);
      return sum;
    };
    const legs = [0, 1, 2, 3, 4, 5];
    return [{ hold: legs.map((i) => gravity[i]!), inertia: legs.map(row) }];
  });
}

/**
 * Postures that the platform can stand in: from home in directions drawn by a seeded generator, half way to what stops it and
 * just before that, with its carriers at either end of their soft limits and at home. Where a singular pose comes first, half
 * way to that alone: just before it no servo is strong enough. Without a platform: home, and each joint at either end of its
 * soft limits with the rest at home.
 */
export function standingPostures(rig: Rig): Posture[] {
  const { platform } = rig;
  const home = homePosture(rig);
  if (!platform)
    return [home, ...rig.joints.flatMap(({ lo, hi }, i) => [lo, hi].map((at) => ({ ...home, q: home.q.with(i, at) })))];
  const random = xoroshiro128plus(SEED);
  const postures = [home];
  const getsTo = sameSide(rig, new Mechanism(rig));
  for (let k = 0; k < DIRECTIONS; k++) {
    const way = FURTHEST.map((most) => most * (2 * uniformFloat64(random) - 1));
    const along = (share: number): Pose => way.map((step) => share * step) as unknown as Pose;
    const others = rig.joints.slice(6).map(({ lo: low, hi: high, home: at }) => [low, at, high][k % 3]!);
    const posture = (share: number): Posture | null => {
      const there = postureAt(rig, along(share), others);
      return there && getsTo(there) ? there : null;
    };
    const end = lastShare((share) => !whatStops(rig, along(share)) && posture(share) !== null);
    const isLoose = whatStops(rig, along(end.after)) === null;
    for (const share of isLoose ? [end.last / 2] : [end.last / 2, end.last]) {
      const there = posture(share);
      if (there) postures.push(there);
    }
  }
  return postures;
}

/** Of the way from 0 to 1 the last share that goes, and one just after it that does not. */
function lastShare(goes: (share: number) => boolean): { readonly last: number; readonly after: number } {
  let [last, after] = [0, 1];
  for (let step = 0; step < BISECTIONS; step++) {
    const middle = (last + after) / 2;
    if (goes(middle)) last = middle;
    else after = middle;
  }
  return { last, after };
}

/** A pose of the platform with the other joints at these coordinates; null: out of reach. */
export function postureAt(rig: Rig, pose: Pose, others: readonly number[]): Posture | null {
  const legs = rig.platform ? inverse(rig.platform, pose) : [];
  return legs === null ? null : { q: [...legs, ...others], pose };
}

/** How far the idle life goes: what the rig file asks for, but no further than the prop reaches. */
import { whatStops } from '../physics/kinematics/inverse.ts';
import { type Amount, type Night, columnPlaces } from '../rig/night/night.ts';
import { type Rig, toDeg } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import type { CueFault } from './cue-faults.ts';
import { POSE } from './layout.ts';
import { homeAt } from './sample.ts';

type Idle = NonNullable<Night['idle']>;

/** An amount that was cut: in mm or rad. */
export interface Cut extends Amount {
  readonly asked: number;
}

export interface IdleReach {
  readonly look: readonly Amount[];
  readonly breath: readonly Amount[];
  /** What of it goes less far than asked for. */
  readonly cut: readonly (Cut & { readonly key: 'look' | 'breath' })[];
}

/** Halvings in the search of how much is within reach. */
const HALVINGS = 12;

/** Where a value stands in idle life: a lid is open, the rest at home. mm or rad. */
export const idlePlace = (rig: Rig, idle: Idle | null, place: number): number =>
  idle?.lids.find((lid) => lid.place === place)?.open ?? homeAt(rig, place);

/** What of the idle life is within reach, whatever of it comes together. */
export function idleReach(rig: Rig, idle: Idle): IdleReach {
  const both = new Map<number, number>();
  for (const { place, by } of [...idle.look, ...idle.breath]) both.set(place, (both.get(place) ?? 0) + by);
  const pose = poseShares(rig, both);
  const shareOf = (place: number): number => {
    if (place < POSE) return pose(place);
    const joint = rig.joints[place - POSE];
    const at = idlePlace(rig, idle, place);
    const room = joint ? Math.max(0, Math.min(at - joint.lo, joint.hi - at)) : 0;
    const by = both.get(place) ?? 0;
    return by > room ? room / by : 1;
  };
  const within = (amounts: readonly Amount[]): Cut[] =>
    amounts.map(({ place, by }) => ({ place, by: by * shareOf(place), asked: by }));
  const [look, breath] = [within(idle.look), within(idle.breath)];
  const bare = ({ place, by }: Cut): Amount => ({ place, by });
  const cutOf = (key: 'look' | 'breath', amounts: readonly Cut[]) =>
    amounts.filter((it) => it.by < it.asked).map((it) => ({ ...it, key }));
  return { look: look.map(bare), breath: breath.map(bare), cut: [...cutOf('look', look), ...cutOf('breath', breath)] };
}

/**
 * Of each of the pose's amounts the largest share with which every combination is within reach. What is out of reach by itself is cut
 * alone where that suffices; else all are cut alike.
 */
function poseShares(rig: Rig, both: ReadonlyMap<number, number>): (place: number) => number {
  const moving = [...both].filter(([place, by]) => place < POSE && by > 0);
  const whole = (): number => 1;
  if (!rig.platform || moving.length === 0) return whole;
  const isReached = (amounts: readonly (readonly [number, number])[], shareOf: (place: number) => number): boolean =>
    combinations(amounts.length).every((signs) => {
      const pose = [0, 0, 0, 0, 0, 0];
      amounts.forEach(([place, by], i) => (pose[place] = signs[i]! * by * shareOf(place)));
      return whatStops(rig, pose) === null;
    });
  if (isReached(moving, whole)) return whole;
  const alone = new Map(moving.map((one) => [one[0], largestShare((share) => isReached([one], () => share))] as const));
  const tooFar = (share: number) => (place: number) => {
    const most = alone.get(place) ?? 1;
    return most < 1 ? most * share : 1;
  };
  const ofTooFar = largestShare((share) => isReached(moving, tooFar(share)));
  if (ofTooFar > 0 && ofTooFar < 1) return tooFar(ofTooFar);
  const ofAll = largestShare((share) => isReached(moving, () => share));
  return () => ofAll;
}

/** The largest share that is reached, within 1 / 2^HALVINGS; 0: none is. */
function largestShare(isReached: (share: number) => boolean): number {
  if (isReached(1)) return 1;
  let [share, step] = [0, 0.5];
  for (let n = 0; n < HALVINGS; n++, step /= 2) if (isReached(share + step)) share += step;
  return share;
}

/** What of the idle life was cut, at its key of the rig's file. */
export const idleFaults = (rig: Rig, idle: IdleReach | null): CueFault[] => {
  const columns = [...columnPlaces(rig.joints, rig.platform !== null)];
  return (idle?.cut ?? []).map(({ key, place, by, asked }) => {
    const column = columns.find(([, at]) => at === place)?.[0] ?? '';
    const [said, unit] = column.endsWith('_mm') ? [short, 'mm'] : [(rad: number) => short(toDeg(rad)), 'deg'];
    return {
      path: ['night', 'idle', key, column],
      message: `found ${said(asked)} to either side of home; with the rest of idle life the prop reaches ${said(by)} ${unit}, and goes no further`,
      severity: 'warning',
    };
  });
};

/** All of -1, 0 and 1, n at a time. */
const combinations = (n: number): number[][] =>
  n === 0 ? [[]] : combinations(n - 1).flatMap((some) => [-1, 0, 1].map((sign) => [...some, sign]));

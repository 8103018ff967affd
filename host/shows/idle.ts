/** How far the idle life goes: what the rig file asks for, but no further than the prop reaches. */
import { whatStops } from '../physics/kinematics/inverse.ts';
import type { Amount, Night } from '../rig/night/night.ts';
import type { Rig } from '../rig/rig.ts';
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
  readonly cut: readonly Cut[];
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
  const pose = poseShare(rig, both);
  const shareOf = (place: number): number => {
    if (place < POSE) return pose;
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
  return { look: look.map(bare), breath: breath.map(bare), cut: [...look, ...breath].filter((it) => it.by < it.asked) };
}

/** The largest share of the pose's amounts of which every combination is within reach. */
function poseShare(rig: Rig, both: ReadonlyMap<number, number>): number {
  const moving = [...both].filter(([place, by]) => place < POSE && by > 0);
  if (!rig.platform || moving.length === 0) return 1;
  const reached = (share: number): boolean =>
    combinations(moving.length).every((signs) => {
      const pose = [0, 0, 0, 0, 0, 0];
      moving.forEach(([place, by], i) => (pose[place] = signs[i]! * by * share));
      return whatStops(rig, pose) === null;
    });
  if (reached(1)) return 1;
  let [share, step] = [0, 0.5];
  for (let n = 0; n < HALVINGS; n++, step /= 2) if (reached(share + step)) share += step;
  return share;
}

/** All of -1, 0 and 1, n at a time. */
const combinations = (n: number): number[][] =>
  n === 0 ? [[]] : combinations(n - 1).flatMap((some) => [-1, 0, 1].map((sign) => [...some, sign]));

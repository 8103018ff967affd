/** How much of a travel the bodies of a platform leave free: up to where two of them come nearer than the gap that is asked for. */
import { type Room, roomAt } from '../physics/kinematics/bodies.ts';
import { inverse } from '../physics/kinematics/inverse.ts';
import { type PoseAxis, poseAt } from '../physics/kinematics/travel.ts';
import type { Clearance } from '../rig/clearance.ts';
import type { Platform, Pose } from '../rig/rig.ts';
import { unitAlong } from './axes.ts';

export interface FreeTravel {
  /** mm or rad, 0 or more; bodies are still apart here. */
  readonly by: number;
  /** The two bodies that are too near just behind; null: none is, all of the travel is free. */
  readonly between: Room['between'] | null;
}

/** What a travel is along. */
export interface Way {
  readonly from: Pose;
  readonly axis: PoseAxis;
  readonly sign: 1 | -1;
  /** How far the legs go, mm or rad. */
  readonly most: number;
}

/** Steps of a way; each is looked at in its middle too. */
const STEPS = 12;
/** Narrowest part of a step that is looked at where bodies come near the gap. */
const PARTS = 16;
/** How near the first place is pinned down, as a share of the way. */
const NEAR = 1e-5;

/**
 * In steps, halved where the room comes near the gap for its curvature over the step, down to 1/16 of it: a place that is thinner
 * (0.5 % of the way) may be stepped over. The first place is then told to 1e-5 of the way, on its free side.
 */
export function freeAlong(platform: Platform, clearance: Clearance, way: Way): FreeTravel {
  const search = new Search(platform, clearance, way);
  let before = search.look(0);
  if (before.mm < clearance.gap_mm) return { by: 0, between: before.between };
  for (let n = 1; n <= STEPS; n++) {
    const next = search.look((way.most * n) / STEPS);
    const found = search.between(before, next);
    if (found) return found;
    before = next;
  }
  return { by: way.most, between: null };
}

/** NaN: the legs do not reach there, which is not for bodies to tell. */
interface Look extends Room {
  readonly at: number;
}

const NOWHERE = { mm: NaN, between: ['', ''] } as const satisfies Room;

class Search {
  private readonly platform: Platform;
  private readonly clearance: Clearance;
  private readonly way: Way;

  constructor(platform: Platform, clearance: Clearance, way: Way) {
    this.platform = platform;
    this.clearance = clearance;
    this.way = way;
  }

  look(at: number): Look {
    const { platform, clearance } = this;
    const { from, axis, sign } = this.way;
    const pose = poseAt(from, unitAlong(axis, sign), at);
    const legs = inverse(platform, pose);
    return { at, ...(legs ? roomAt(platform, clearance, legs, pose) : NOWHERE) };
  }

  /** The first place after a, which is free, up to b; null: none. */
  between(a: Look, b: Look): FreeTravel | null {
    const { most } = this.way;
    const { gap_mm } = this.clearance;
    const width = b.at - a.at;
    const isTight = b.mm < gap_mm;
    if (!(width > (isTight ? NEAR * most : most / (STEPS * PARTS))))
      return isTight ? { by: a.at, between: b.between } : null;
    const middle = this.look((a.at + b.at) / 2);
    const bent = Math.abs(middle.mm - (a.mm + b.mm) / 2);
    if (Math.min(a.mm, middle.mm, b.mm) - gap_mm > 2 * bent) return null;
    return this.between(a, middle) ?? (middle.mm < gap_mm ? null : this.between(middle, b));
  }
}

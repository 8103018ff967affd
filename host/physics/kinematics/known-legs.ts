/** A platform's legs at poses asked one after another: while the pose stays the same they are known, and nothing is worked out. */
import type { Platform } from '../../rig/rig.ts';
import { inverseInto } from './inverse.ts';

export class KnownLegs {
  /** leg1 … leg6 at the pose last asked for, rad or mm; NaN: does not reach. Not to be written. */
  readonly legs = new Float64Array(6);
  /** How often they were worked out. */
  solved = 0;
  private readonly platform: Platform;
  private readonly pose = new Float64Array(6).fill(NaN);
  private isReached = false;

  constructor(platform: Platform) {
    this.platform = platform;
  }

  /** @param pose mm and rad; what follows its six figures is not read. @returns whether all legs reach it. */
  at(pose: ArrayLike<number>): boolean {
    let isSame = true;
    for (let k = 0; k < 6; k++) {
      if (this.pose[k] === pose[k]) continue;
      this.pose[k] = pose[k]!;
      isSame = false;
    }
    if (isSame) return this.isReached;
    this.solved++;
    this.isReached = inverseInto(this.platform, this.pose, this.legs);
    return this.isReached;
  }
}

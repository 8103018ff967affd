/** Each joint's use as the eye can follow it: up at once, down slowly. */

/** Of what is above the present, this much is left after one look. */
const LEFT = 0.93;

export class Peaks {
  /** By joint; NaN: not known. */
  readonly most: Float64Array;

  constructor(joints: number) {
    this.most = new Float64Array(joints).fill(NaN);
  }

  push(use: ArrayLike<number>): void {
    const { most } = this;
    for (let i = 0; i < most.length; i++) {
      const now = use[i]!;
      // What is beyond all measure fades from a little more than all.
      const was = Math.min(most[i]!, 1.5);
      most[i] = was > now ? now + LEFT * (was - now) : now;
    }
  }
}

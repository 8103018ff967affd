/**
 * Efforts that fall with a rate along straight pieces: a servo's loop between the two sides of its servo line, dry friction, the
 * teeth of a gear. Each is looked at for a rate and then stands for its tangent there; Newton's method on the tangents finds the
 * rates at which all of them hold (end-rates.ts). In the joint's own units.
 */
import type { Joint } from '../../rig/rig.ts';
import { fastest, stallOf } from '../servo/servo-line.ts';

/** A straight middle between an upper and a lower bound. */
class Bounded {
  effort = 0;
  /** By how much the effort falls for each unit of rate. */
  slope = 0;
  /** 1: at its upper bound, -1: at its lower one. */
  side: -1 | 0 | 1 = 0;

  /**
   * From bound to bound it goes by way of the middle: Newton's method could jump to and fro for ever.
   * @returns which piece it stands on.
   */
  protected pick(middle: number, upper: number, lower: number): -1 | 0 | 1 {
    const side = middle > upper ? 1 : middle < lower ? -1 : 0;
    return side * this.side < 0 ? 0 : side;
  }

  /** @returns whether this is another piece than the last. */
  protected stand(side: -1 | 0 | 1, effort: number, slope: number): boolean {
    const isOther = side !== this.side || slope !== this.slope;
    this.side = side;
    this.effort = effort;
    this.slope = slope;
    return isOther;
  }
}

/**
 * A servo's loop, held - damping·rate, within the servo line: stall torque in braking, and in driving a straight line that goes on
 * below nothing past no-load speed, where a motor brakes by itself.
 */
export class LoopInLine extends Bounded {
  /** What the loop alone would give. */
  asked = 0;
  private readonly stall: number;
  /** By how much the line falls for each unit of rate in driving. */
  private readonly fall: number;

  constructor(joint: Joint) {
    super();
    const top = fastest(joint);
    this.stall = stallOf(joint) ?? Infinity;
    this.fall = top === null || this.stall === Infinity ? 0 : this.stall / top;
  }

  look(rate: number, held: number, damping: number): boolean {
    const { stall, fall } = this;
    const up = rate > 0 ? fall : 0;
    const down = rate < 0 ? fall : 0;
    const upper = stall - up * rate;
    const lower = -stall - down * rate;
    this.asked = held - damping * rate;
    const side = this.pick(this.asked, upper, lower);
    if (side === 0) return this.stand(0, this.asked, damping);
    return side > 0 ? this.stand(1, upper, up) : this.stand(-1, lower, down);
  }
}

/** Dry friction: so much against any motion, and in proportion to rates within `within`. */
export class Friction extends Bounded {
  private readonly most: number;
  private readonly within: number;

  constructor(most: number, within: number) {
    super();
    this.most = most;
    this.within = within;
  }

  look(rate: number): boolean {
    const { most, within } = this;
    const slope = most / within;
    const side = this.pick(-slope * rate, most, -most);
    return side === 0 ? this.stand(0, -slope * rate, slope) : this.stand(side, side * most, 0);
  }
}

/** What a gear's teeth do to the rotor by its rate against its load: nothing within the play, and never a pull. */
export class Teeth extends Bounded {
  /** @param side 1: the rotor is pressed on from above, -1: from below, 0: within the play; @param push at rest, from the rotor. */
  look(rate: number, side: number, push: number, damping: number): boolean {
    if (side === 0) return this.stand(0, 0, 0);
    const middle = -push - damping * rate;
    const at = this.pick(middle, side > 0 ? 0 : Infinity, side > 0 ? -Infinity : 0);
    return at === 0 ? this.stand(0, middle, damping) : this.stand(at, 0, 0);
  }
}

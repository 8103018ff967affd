/**
 * How far one joint goes past: beyond everything that is asked of it within 0.8 s before or after, or within its braking time
 * where that is longer. A joint that is only late is not past: what was asked since it last stood on or crossed what was asked
 * counts as well, and as much time before that. Memory does not grow with time. Rad or mm.
 */
import { type Joint, toRad } from '../rig/rig.ts';
import { SlidingMax } from './sliding-max.ts';

/** To either side of an instant, s (ours: a prop that is still out there after that long is seen to stand there). */
const WITHIN_S = 0.8;
/** So long a braking time is looked over at most, s: no prop brakes for longer. */
const MOST_S = 30;
/** Nearer than this, in shown units, a joint is on its target. */
const ON_TARGET = 0.01;

/** How far to either side of an instant what is asked of a joint counts, s. */
export const pastWindow_s = ({ speed, plus, minus }: Pick<Joint, 'speed' | 'plus' | 'minus'>): number =>
  Math.min(MOST_S, Math.max(WITHIN_S, speed / plus, speed / minus));

/** One look: where the joint was since the look before, and whether it stood on or crossed its target. */
interface Shown {
  at_s: number;
  lowest: number;
  highest: number;
  /** At the look itself. */
  delivered: number;
  isOn: boolean;
}

export class PastMeasure {
  /** The furthest it went past, and when. */
  past = 0;
  at_s = 0;
  private readonly within_s: number;
  private readonly onTarget: number;
  /** What is asked, and its negative, about the look that is judged. */
  private readonly highs = new SlidingMax();
  private readonly lows = new SlidingMax();
  /** Looks that wait for what is asked after them: a ring, its length a power of two. */
  private waiting: Shown[] = [];
  private first = 0;
  private next = 0;
  /** Everything asked since it was last on its target; without bounds until it first is. */
  private high = Infinity;
  private low = -Infinity;
  private side = NaN;
  private asked_s = -Infinity;
  private instant_s = NaN;
  private atInstant = 0;

  constructor(joint: Joint) {
    this.within_s = pastWindow_s(joint);
    this.onTarget = joint.unit === 'deg' ? toRad(ON_TARGET) : ON_TARGET;
    this.grow();
  }

  /**
   * The next look. @param between, asked what is asked half way since the look before, and now; NaN: nothing, or what cannot be
   * reached, and nothing counts as past it. @param lowest, highest since the look before; @param delivered now.
   */
  look(at_s: number, between: number, asked: number, lowest: number, highest: number, delivered: number): void {
    // Written so that NaN has no bound.
    const high = between <= asked ? asked : asked <= between ? between : Infinity;
    const low = between <= asked ? between : asked <= between ? asked : -Infinity;
    this.highs.push(at_s, high);
    this.lows.push(at_s, -low);
    this.asked_s = at_s;
    const off = delivered - asked;
    const side = Math.sign(off);
    const isOn = Math.abs(off) <= this.onTarget || side * this.side < 0;
    this.side = side;
    if (this.next - this.first === this.waiting.length) this.grow();
    const shown = this.waiting[this.next++ & (this.waiting.length - 1)]!;
    shown.at_s = at_s;
    shown.lowest = lowest;
    shown.highest = highest;
    shown.delivered = delivered;
    shown.isOn = isOn;
    this.judge(at_s - this.within_s);
  }

  /** Nothing more is asked: judges what still waits. */
  end(): void {
    this.judge(this.asked_s);
  }

  /** Begins to watch for an instant, that of the look just made; `pastAtInstant` tells of the last one. */
  watchInstant(at_s: number): void {
    this.instant_s = at_s;
    this.atInstant = 0;
  }

  /** How far past it was at that instant, when `end` has been called. */
  get pastAtInstant(): number {
    return this.atInstant;
  }

  private judge(upTo_s: number): void {
    const { waiting, highs, lows } = this;
    while (this.first < this.next) {
      const { at_s, lowest, highest, delivered, isOn } = waiting[this.first & (waiting.length - 1)]!;
      if (!(at_s <= upTo_s)) return;
      this.first++;
      highs.dropBefore(at_s - this.within_s);
      lows.dropBefore(at_s - this.within_s);
      if (highs.max > this.high) this.high = highs.max;
      if (-lows.max < this.low) this.low = -lows.max;
      // Since the look before it may still have been on its way: what it came from counts until the look itself.
      let past = Math.max(highest - this.high, this.low - lowest);
      if (isOn) {
        this.high = highs.max;
        this.low = -lows.max;
        past = Math.max(past, delivered - this.high, this.low - delivered);
      }
      if (at_s === this.instant_s) this.atInstant = Math.max(0, past);
      if (past > this.past) {
        this.past = past;
        this.at_s = at_s;
      }
    }
  }

  private grow(): void {
    const { waiting } = this;
    const kept = Array.from(
      { length: this.next - this.first },
      (_, k) => waiting[(this.first + k) & (waiting.length - 1)]!,
    );
    const room = Math.max(64, 2 * waiting.length);
    this.waiting = Array.from(
      { length: room },
      (_, k) => kept[k] ?? { at_s: 0, lowest: 0, highest: 0, delivered: 0, isOn: false },
    );
    this.first = 0;
    this.next = kept.length;
  }
}

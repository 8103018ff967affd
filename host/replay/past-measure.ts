/**
 * How far one joint goes past: beyond everything that is asked of it within 0.8 s before or after, or within its braking time
 * where that is longer. A joint that is only late is not past: what was asked since it last stood on or crossed its target counts
 * as well, and as much time before that. Memory does not grow with time. Rad or mm.
 */
import { type Joint, toRad } from '../rig/rig.ts';

/** To either side of an instant, s (ours: a prop that is still out there after that long is seen to stand there). */
const WITHIN_S = 0.8;
/** So long a braking time is looked over at most, s: no prop brakes for longer. */
const MOST_S = 30;
/** Nearer than this, in shown units, a joint is on its target; less past it is none. */
const ON_TARGET = 0.01;

/** How far to either side of an instant what is asked of a joint counts, s. */
export const pastWindow_s = ({ speed, plus, minus }: Pick<Joint, 'speed' | 'plus' | 'minus'>): number =>
  Math.min(MOST_S, Math.max(WITHIN_S, speed / plus, speed / minus));

/** Figures of one look in the ring, by place. */
const AT = 0;
const ASKED_LOW = 1;
const ASKED_HIGH = 2;
const LOWEST = 3;
const HIGHEST = 4;
const DELIVERED = 5;
/** 1: it stood on its target or had crossed it since the look before. */
const ON = 6;
const FIGURES = 7;

export class PastMeasure {
  /** The furthest it went past, and when. */
  past = 0;
  at_s = 0;
  private readonly within_s: number;
  private readonly onTarget: number;
  /** Looks, the oldest at `oldest`, the next to be judged at `waits`; places are counted on and on. */
  private looks = new Float64Array(FIGURES * 128);
  private room = 128;
  private oldest = 0;
  private waits = 0;
  private next = 0;
  /** Everything asked since it was last on its target; without bounds until it first is. */
  private high = Infinity;
  private low = -Infinity;
  /** On its target when last judged: high and low are found when they are wanted. */
  private wasOn = false;
  private side = NaN;
  private askedBefore = NaN;
  private instant_s = NaN;
  private atInstant = 0;

  constructor(joint: Joint) {
    this.within_s = pastWindow_s(joint);
    this.onTarget = joint.unit === 'deg' ? toRad(ON_TARGET) : ON_TARGET;
  }

  /**
   * The next look. @param between, asked what is asked half way since the look before, and now; NaN: nothing, or what cannot be
   * reached, and nothing counts as past it. @param lowest, highest since the look before; @param delivered now.
   */
  look(at_s: number, between: number, asked: number, lowest: number, highest: number, delivered: number): void {
    if (this.next - this.oldest === this.room) this.grow();
    const off = delivered - asked;
    const side = Math.sign(off);
    const before = Number.isNaN(this.askedBefore) ? asked : this.askedBefore;
    const { looks } = this;
    const i = this.place(this.next++);
    looks[i + AT] = at_s;
    // NaN has no bounds.
    const isAsked = !Number.isNaN(between + asked);
    looks[i + ASKED_LOW] = isAsked ? Math.min(before, between, asked) : -Infinity;
    looks[i + ASKED_HIGH] = isAsked ? Math.max(before, between, asked) : Infinity;
    looks[i + LOWEST] = lowest;
    looks[i + HIGHEST] = highest;
    looks[i + DELIVERED] = delivered;
    looks[i + ON] = Math.abs(off) <= this.onTarget || side * this.side < 0 ? 1 : 0;
    this.side = side;
    this.askedBefore = asked;
    this.judgeUpTo(at_s - this.within_s);
  }

  /** Nothing more is asked: judges what still waits. */
  end(): void {
    this.judgeUpTo(Infinity);
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

  private judgeUpTo(upTo_s: number): void {
    const { looks } = this;
    while (this.waits < this.next) {
      const i = this.place(this.waits);
      const at_s = looks[i + AT]!;
      if (!(at_s <= upTo_s)) return;
      const isOn = looks[i + ON] === 1;
      const over = Math.max(looks[i + HIGHEST]! - looks[i + ASKED_HIGH]!, looks[i + ASKED_LOW]! - looks[i + LOWEST]!);
      // One that follows what is asked is not past.
      if (!(isOn && over <= this.onTarget)) this.judge(i, isOn);
      this.wasOn = isOn;
      this.waits++;
      // The look before is kept too: the next one may ask what was asked about it.
      while (this.oldest < this.waits - 1 && looks[this.place(this.oldest) + AT]! < at_s - 2 * this.within_s)
        this.oldest++;
    }
  }

  private judge(i: number, isOn: boolean): void {
    const { looks } = this;
    const at_s = looks[i + AT]!;
    const before_s = this.waits > this.oldest ? looks[this.place(this.waits - 1) + AT]! : at_s;
    if (this.wasOn) this.askAfresh(before_s);
    this.ask(before_s + this.within_s, at_s + this.within_s);
    // Since the look before it may still have been on its way: what it came from counts until the look itself.
    let past = Math.max(looks[i + HIGHEST]! - this.high, this.low - looks[i + LOWEST]!);
    if (isOn) {
      this.askAfresh(at_s);
      past = Math.max(past, looks[i + DELIVERED]! - this.high, this.low - looks[i + DELIVERED]!);
    }
    if (at_s === this.instant_s) this.atInstant = Math.max(0, past);
    if (past > this.past) {
      this.past = past;
      this.at_s = at_s;
    }
  }

  /** Counts what is asked about an instant, and nothing else. */
  private askAfresh(about_s: number): void {
    this.high = -Infinity;
    this.low = Infinity;
    this.ask(about_s - this.within_s, about_s + this.within_s);
  }

  /** Counts what is asked between two times too. */
  private ask(from_s: number, to_s: number): void {
    const { looks } = this;
    for (let n = this.next - 1; n >= this.oldest; n--) {
      const i = this.place(n);
      const at_s = looks[i + AT]!;
      if (at_s < from_s) break;
      if (at_s > to_s) continue;
      if (looks[i + ASKED_HIGH]! > this.high) this.high = looks[i + ASKED_HIGH]!;
      if (looks[i + ASKED_LOW]! < this.low) this.low = looks[i + ASKED_LOW]!;
    }
  }

  private place(n: number): number {
    return FIGURES * (n & (this.room - 1));
  }

  private grow(): void {
    const { looks, room } = this;
    this.room = 2 * room;
    this.looks = new Float64Array(FIGURES * this.room);
    for (let n = this.oldest; n < this.next; n++) {
      const from = FIGURES * (n & (room - 1));
      this.looks.set(looks.subarray(from, from + FIGURES), this.place(n));
    }
  }
}

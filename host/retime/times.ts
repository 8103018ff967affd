/**
 * When each point of a stretch plays. Slowing one place moves all that follows; behind a front that is put off until someone
 * looks there, so that going through a long stretch from front to back costs no more than its length.
 */
export class Times {
  /** Since the stretch began, s; behind the front all by the same amount too early. */
  readonly at_s: Float64Array;
  /** The last point whose time is right. */
  front: number;
  private readonly s: Float64Array;
  private owed_s = 0;

  /** @param s stream times of the points */
  constructor(s: Float64Array) {
    this.s = s;
    this.at_s = new Float64Array(s.length);
    this.front = s.length - 1;
  }

  get isWhole(): boolean {
    return this.front === this.s.length - 1;
  }

  /** The pace changed from point `first` on, at no point behind the front. */
  renew(x: Float64Array, first: number): void {
    const { s, at_s, front } = this;
    const before_s = at_s[front]!;
    for (let i = Math.max(0, first - 1); i < front; i++)
      at_s[i + 1] = at_s[i]! + (2 * (s[i + 1]! - s[i]!)) / (Math.sqrt(x[i]!) + Math.sqrt(x[i + 1]!));
    this.owed_s += at_s[front]! - before_s;
  }

  /** Puts the front back to a point before it. */
  drawBack(point: number): void {
    if (this.owed_s !== 0 && !this.isWhole) throw new Error('the times behind the front are not right');
    this.owed_s = 0;
    this.front = point;
  }

  /** Moves the front on to a point; nothing when it is there already. */
  cover(point: number): void {
    const { at_s, owed_s } = this;
    const to = Math.min(point, at_s.length - 1);
    for (; this.front < to; this.front++) at_s[this.front + 1]! += owed_s;
  }
}

/**
 * The largest value of a signal within a window that slides along with time: each value is kept only as long as no later one is
 * as large. Memory is that of one window at most.
 *
 * Source: D. Lemire, "Streaming maximum-minimum filter using no more than three comparisons per element", Nordic Journal of
 * Computing 13(4), 2006.
 */
export class SlidingMax {
  /** A ring of candidates, each smaller and later than the one before; its length is a power of two. */
  private times = new Float64Array(16);
  private values = new Float64Array(16);
  private first = 0;
  private next = 0;

  /** The next value; times never decrease. */
  push(t_s: number, value: number): void {
    const { values } = this;
    const mask = values.length - 1;
    while (this.next > this.first && values[(this.next - 1) & mask]! <= value) this.next--;
    if (this.next - this.first === values.length) this.grow();
    const place = this.next & (this.values.length - 1);
    this.times[place] = t_s;
    this.values[place] = value;
    this.next++;
  }

  /** Forgets what is earlier than `t_s`. */
  dropBefore(t_s: number): void {
    while (this.first < this.next && this.times[this.first & (this.times.length - 1)]! < t_s) this.first++;
  }

  /** -Infinity where the window is empty. */
  get max(): number {
    return this.first < this.next ? this.values[this.first & (this.values.length - 1)]! : -Infinity;
  }

  private grow(): void {
    const { times, values } = this;
    const mask = times.length - 1;
    this.times = new Float64Array(2 * times.length);
    this.values = new Float64Array(2 * times.length);
    for (let k = this.first; k < this.next; k++) {
      this.times[k - this.first] = times[k & mask]!;
      this.values[k - this.first] = values[k & mask]!;
    }
    this.next -= this.first;
    this.first = 0;
  }
}

/** Points of a path that are marked: cheap to look through and to clear where they lie close together, however long the path. */
export class Marks {
  /** 1 where marked. */
  readonly at: Uint8Array;
  /** The first and the last mark; length and -1 when there is none. */
  first: number;
  last = -1;

  constructor(points: number) {
    this.at = new Uint8Array(points);
    this.first = points;
  }

  add(i: number): void {
    this.at[i] = 1;
    if (i < this.first) this.first = i;
    if (i > this.last) this.last = i;
  }

  addAll(): this {
    this.at.fill(1);
    this.first = 0;
    this.last = this.at.length - 1;
    return this;
  }

  addOther({ at, first, last }: Marks): void {
    for (let i = first; i <= last; i++) if (at[i] === 1) this.add(i);
  }

  clear(): void {
    this.at.fill(0, this.first, this.last + 1);
    this.first = this.at.length;
    this.last = -1;
  }
}

/**
 * What the ticks of a take ask of its joints, kept by length of the take, with the sum of each length: after an edit, only the
 * lengths that it touches are written and summed anew, the others are shared with what was known before.
 */
import { CUTS, HeatPass, LengthSum, type Moment, lengthOf } from '../../../load/along.ts';
import type { Demand } from '../../../load/demand.ts';
import type { Joint } from '../../../rig/rig.ts';

/** Figures of a joint at a tick that are kept: rate, effort at the servo, use, share, needed. */
const FIGURES = 5;
const SHARE = 3;

/** Of one length: its ticks from `from` on. */
interface Length {
  readonly from: number;
  /** By tick: 1 where the pose is within reach. */
  readonly known: Uint8Array;
  readonly figures: Float64Array;
  readonly currents: Float64Array;
  sum: LengthSum;
}

/** The ticks of a take: the instant of the first, s, and the time from one to the next. */
export interface Span {
  readonly first_s: number;
  readonly dt_s: number;
  readonly ticks: number;
}

export class Lengths {
  readonly ticks: number;
  readonly all: Length[];
  private readonly n: number;
  private readonly span: Span;

  /** @param n joints; @param all another's, to be shared */
  constructor(n: number, span: Span, all = emptyLengths(n, span.ticks)) {
    this.n = n;
    this.span = span;
    this.ticks = span.ticks;
    this.all = all;
  }

  /** The same for a take that differs from tick `from` to before `to`: nothing is known there yet. */
  anew(span: Span, from: number, to: number): Lengths {
    const all = [...this.all];
    for (let c = lengthOf(from, this.ticks); c <= lengthOf(to - 1, this.ticks); c++) {
      const { from: start, known, figures, currents, sum } = all[c]!;
      const fresh = known.slice().fill(0, Math.max(0, from - start), Math.max(0, to - start));
      all[c] = { from: start, known: fresh, figures: figures.slice(), currents: currents.slice(), sum };
    }
    return new Lengths(this.n, span, all);
  }

  /** What is asked at tick k, which is within reach. */
  put(k: number, demand: Demand): void {
    const { from, known, figures, currents } = this.all[lengthOf(k, this.ticks)]!;
    known[k - from] = 1;
    currents[k - from] = demand.current();
    for (let i = 0, at = FIGURES * this.n * (k - from); i < this.n; i++, at += FIGURES) {
      figures[at] = demand.rate[i]!;
      figures[at + 1] = demand.atServo(i);
      figures[at + 2] = demand.use(i);
      figures[at + SHARE] = demand.share(i);
      figures[at + 4] = demand.needed(i);
    }
  }

  /** Sums the lengths that ticks `from` to before `to` are in. */
  sumUp(from: number, to: number): void {
    for (let c = lengthOf(from, this.ticks); c <= lengthOf(to - 1, this.ticks); c++)
      this.all[c]!.sum = sumOf(this.all[c]!, this.n, this.span);
  }

  /** By joint: a sum of squares depends on its order, and a run goes on over ends of lengths. */
  heats(joints: readonly Joint[]): HeatPass[] {
    const { first_s, dt_s } = this.span;
    const heats = joints.map((joint) => new HeatPass(joint, dt_s));
    for (const { from, known, figures } of this.all)
      for (let k = 0, at = SHARE; k < known.length; k++) {
        if (known[k] === 0) at += FIGURES * this.n;
        else for (let i = 0; i < this.n; i++, at += FIGURES) heats[i]!.add(figures[at]!, first_s + (from + k) * dt_s);
      }
    return heats;
  }
}

function emptyLengths(n: number, ticks: number): Length[] {
  const counts = new Uint32Array(CUTS);
  for (let k = 0; k < ticks; k++) counts[lengthOf(k, ticks)]!++;
  let from = 0;
  return Array.from(counts, (count) => {
    const length: Length = {
      from,
      known: new Uint8Array(count),
      figures: new Float64Array(FIGURES * n * count),
      currents: new Float64Array(count),
      sum: new LengthSum(n),
    };
    from += count;
    return length;
  });
}

function sumOf({ from, known, figures, currents }: Length, n: number, { first_s, dt_s }: Span): LengthSum {
  const sum = new LengthSum(n);
  const rate = new Float64Array(n);
  let [at, k] = [0, 0];
  const moment: Moment = {
    rate,
    atServo: (i) => figures[at + FIGURES * i + 1]!,
    use: (i) => figures[at + FIGURES * i + 2]!,
    needed: (i) => figures[at + FIGURES * i + 4]!,
    current: () => currents[k]!,
  };
  for (; k < known.length; k++, at += FIGURES * n) {
    if (known[k] === 0) continue;
    for (let i = 0; i < n; i++) rate[i] = figures[at + FIGURES * i]!;
    sum.add(moment, first_s + (from + k) * dt_s);
  }
  return sum;
}

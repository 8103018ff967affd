/**
 * Softens what has no stillness to take time from: around what asks for too much the curve becomes the nearest one within
 * limits. Some of the way is lost; what is where is not.
 */
import type { Curve } from './curve.ts';
import type { Asked, Judge } from './judge.ts';
import type { Lone } from './lone.ts';
import type { Between } from './bounded.ts';
import { FIXED, type Wanted, nearest } from './nearest.ts';
import { type Range, joined } from './ranges.ts';
import { type Stroke, strokesOf } from './stroke.ts';

/** Room around what asks for too much: as long as the largest move takes, and so much longer, s; where that is not enough, more. */
const NEAR_S = 0.05;
const TRIES = [
  { wider: 1, isSoft: false },
  { wider: 2, isSoft: false },
  { wider: 4, isSoft: false },
  // What the stream's first or last value leaves no time for: that value is lost.
  { wider: 4, isSoft: true },
  { wider: 16, isSoft: true },
  { wider: Infinity, isSoft: true },
] as const;
/** Where limits fade with speed, up to this share of the speed at which they are gone, with what is left there (ours). */
const OF_GONE = 0.4;
const PLANNED = 0.985;
const ROUNDS = 16;
const AT_MOST = 0.6;

export class ByNearest {
  private readonly lone: Lone;
  private readonly curve: Curve;
  private readonly judge: Judge;
  /** How far the joint moves in all. */
  private readonly size: number;
  private readonly strokes: readonly Stroke[];

  constructor(lone: Lone, curve: Curve, judge: Judge) {
    this.lone = lone;
    this.curve = curve;
    this.judge = judge;
    this.size = -leastOf(curve.was.map((value) => -value)) - leastOf(curve.was);
    this.strokes = strokesOf(curve.now, lone, curve.clock);
  }

  /**
   * Changes the curve.
   * @param found what asks for too much in it. @param mayLose whether the stream's first and last value may be lost.
   * @returns where it was changed, in new frames.
   */
  soften(found: readonly Asked[], mayLose: boolean): Range[] {
    const done: Range[] = [];
    const { perFrame } = this.curve.clock;
    let left = found;
    for (const { wider, isSoft } of TRIES) {
      if (left.length === 0 || (isSoft && !mayLose)) break;
      const spans = this.spansOf(left, wider, isSoft);
      done.push(...spans.filter((span) => this.softenSpan(span)));
      left = spans.flatMap(({ from, to }) =>
        this.judge.atTicks(this.curve.now, Math.max(0, from - 2) * perFrame, (to + 2) * perFrame),
      );
    }
    return joined(done, 1);
  }

  /** Free frames; with soft ends the stream's first and last are among them, and a frame beyond. */
  private spansOf(found: readonly Asked[], wider: number, isSoft: boolean): Range[] {
    const { perFrame, lastFrame } = this.curve.clock;
    const around = this.near(wider) + this.near(1);
    const [first, last] = isSoft ? [-1, lastFrame + 1] : [1, lastFrame - 1];
    const spans = found.map(({ at }) => {
      const from = Math.floor(at / perFrame) - around;
      const to = Math.ceil(at / perFrame) + around;
      return { from: from <= 1 ? first : from, to: to >= lastFrame - 1 ? last : to };
    });
    return joined(spans, 2 * FIXED).filter(({ from, to }) => to >= from);
  }

  /** Bounds of so many steps from frame `from` on: each goes the way that the stroke nearest to it went, so that none is added. */
  private stepsFrom(from: number, count: number): Between {
    const { perFrame } = this.curve.clock;
    const { strokes } = this;
    const steps = even(count, -Infinity, Infinity);
    for (let k = 0, next = 0; k < count && strokes.length > 0; k++) {
      const at = (from + k + 0.5) * perFrame;
      while (next + 1 < strokes.length && strokes[next]!.to + strokes[next + 1]!.from < 2 * at) next++;
      if (strokes[next]!.sign > 0) steps.lo[k] = 0;
      else steps.hi[k] = 0;
    }
    return steps;
  }

  /** Frames that the largest move takes within limits, and a little more. */
  private near(wider: number): number {
    const { perFrame, step_s } = this.curve.clock;
    const { speed, plus, minus } = steady(this.lone);
    return Math.ceil((wider * (this.size / speed + speed / Math.min(plus, minus) + NEAR_S)) / (step_s * perFrame));
  }

  /** False: no curve within limits was found, and nothing is changed. */
  private softenSpan(span: Range): boolean {
    const { curve, judge, lone } = this;
    const { perFrame, step_s } = curve.clock;
    const frame_s = perFrame * step_s;
    const wanted = this.wantedIn(span);
    const limits = steady(lone);
    const [begin, end] = [Math.max(0, span.from - 2) * perFrame, (span.to + 2) * perFrame];
    const before = curve.now.slice();
    let [slower, softer] = [PLANNED, PLANNED];
    for (let round = 0; round < ROUNDS; round++) {
      const values = nearest(wanted, {
        step: slower * limits.speed * frame_s,
        plus: softer * limits.plus * frame_s ** 2,
        minus: softer * limits.minus * frame_s ** 2,
      });
      if (!values) break;
      this.put(span, values);
      const still = judge.anyTime(curve.now, begin, end);
      if (still.length === 0) return true;
      const by = (key: 'speed' | 'accel' | 'torque'): number =>
        Math.max(AT_MOST, Math.min(1, judge.wanted / Math.max(...still.map((asked) => asked[key]))));
      slower *= by('speed') * Math.sqrt(by('torque'));
      softer *= by('accel') * by('torque');
    }
    curve.now.set(before);
    return false;
  }

  private wantedIn({ from, to }: Range): Wanted {
    const { curve, lone } = this;
    const { lastFrame } = curve.clock;
    const valueAt = (f: number): number => (f >= lastFrame ? curve.end : curve.frame(f));
    const values = Float64Array.from({ length: to - from + 1 + 2 * FIXED }, (_, k) => valueAt(from - FIXED + k));
    return {
      values,
      within: even(values.length, ...bandOf(values, lone)),
      steps: this.stepsFrom(from - FIXED, values.length - 1),
      isSoft: { begin: from < 0, end: to > lastFrame },
    };
  }

  private put({ from, to }: Range, values: Float64Array): void {
    const { curve } = this;
    const { lastFrame } = curve.clock;
    const first = Math.max(0, from);
    const inside = values.subarray(first - from, Math.min(to, lastFrame) - from + 1);
    curve.put(first, to === lastFrame - 1 ? [...inside, curve.end] : inside);
  }
}

/** Limits that do not fade, within those of the joint. */
function steady({ bounds: { speed, plus, minus, plus_gone, minus_gone } }: Lone): {
  readonly speed: number;
  readonly plus: number;
  readonly minus: number;
} {
  const most = Math.min(speed, OF_GONE * plus_gone, OF_GONE * minus_gone);
  return { speed: most, plus: plus * (1 - most / plus_gone), minus: minus * (1 - most / minus_gone) };
}

const even = (count: number, lo: number, hi: number): Between => ({
  lo: new Float64Array(count).fill(lo),
  hi: new Float64Array(count).fill(hi),
});

/** The lowest and the highest of the values, no further than the soft limits. */
const bandOf = (values: Float64Array, { joint }: Lone): [lo: number, hi: number] => [
  Math.max(joint.lo, Math.min(joint.hi, leastOf(values))),
  Math.min(joint.hi, Math.max(joint.lo, -leastOf(values.map((value) => -value)))),
];

const leastOf = (values: Float64Array): number => values.reduce((a, b) => Math.min(a, b));

/**
 * Softens what has no stillness to take time from: around what asks for too much the curve becomes the nearest one within
 * limits. Some of the way is lost; what is where is not.
 */
import type { Curve } from './curve.ts';
import type { Asked, Judge } from './judge.ts';
import type { Lone } from './lone.ts';
import { FIXED, type StepBounds, nearest } from './nearest.ts';
import { type Range, joined } from './ranges.ts';

/** Room around what asks for too much: braking and speeding up again, and so much more, s (ours). */
const ROOM_S = 0.1;
const WIDENED = 3;
/** The curve stays between the lowest and the highest that it was for as long as it takes to stop, and so much longer, s. */
const NEAR_S = 0.05;
/** Where limits fade with speed, up to this share of the speed at which they are gone, with what is left there (ours). */
const OF_GONE = 0.4;
const PLANNED = 0.985;
const ROUNDS = 16;
const AT_MOST = 0.6;

export class ByNearest {
  private readonly lone: Lone;
  private readonly curve: Curve;
  private readonly judge: Judge;

  constructor(lone: Lone, curve: Curve, judge: Judge) {
    this.lone = lone;
    this.curve = curve;
    this.judge = judge;
  }

  /** Changes the curve. @param found what asks for too much in it. @returns where it was changed, in new frames. */
  soften(found: readonly Asked[]): Range[] {
    const done: Range[] = [];
    let left = found;
    for (let wider = 1; left.length > 0 && wider <= WIDENED; wider++) {
      const spans = this.spansOf(left, wider);
      for (const span of spans) this.softenSpan(span);
      done.push(...spans);
      const { perFrame } = this.curve.clock;
      left = spans.flatMap(({ from, to }) =>
        this.judge.atTicks(this.curve.now, (from - 2) * perFrame, (to + 2) * perFrame),
      );
    }
    return joined(done, 1);
  }

  private spansOf(found: readonly Asked[], wider: number): Range[] {
    const { perFrame, step_s, lastFrame } = this.curve.clock;
    const around = Math.ceil((wider * (2 * this.braking_s() + ROOM_S)) / (step_s * perFrame));
    const spans = found.map(({ at }) => ({
      from: Math.max(1, Math.floor(at / perFrame) - around),
      to: Math.min(lastFrame - 1, Math.ceil(at / perFrame) + around),
    }));
    return joined(spans, 2 * FIXED).filter(({ from, to }) => to >= from);
  }

  private braking_s(): number {
    const { speed, plus, minus } = steady(this.lone);
    return speed / Math.min(plus, minus);
  }

  private softenSpan({ from, to }: Range): void {
    const { curve, judge, lone } = this;
    const { perFrame, step_s } = curve.clock;
    const frame_s = perFrame * step_s;
    const wanted = Float64Array.from({ length: to - from + 1 + 2 * FIXED }, (_, k) => curve.frame(from - FIXED + k));
    const near = Math.ceil((this.braking_s() + NEAR_S) / frame_s);
    const [lo, hi] = around(wanted, near, lone);
    const limits = steady(lone);
    let [slower, softer] = [PLANNED, PLANNED];
    for (let round = 0; round < ROUNDS; round++) {
      const bounds: StepBounds = {
        step: slower * limits.speed * frame_s,
        plus: softer * limits.plus * frame_s ** 2,
        minus: softer * limits.minus * frame_s ** 2,
      };
      curve.put(from, nearest(wanted, lo, hi, bounds));
      const still = judge.anyTime(curve.now, (from - 2) * perFrame, (to + 2) * perFrame);
      if (still.length === 0) return;
      const by = (key: 'speed' | 'accel' | 'torque'): number =>
        Math.max(AT_MOST, Math.min(1, 0.997 / Math.max(...still.map((asked) => asked[key]))));
      slower *= by('speed') * Math.sqrt(by('torque'));
      softer *= by('accel') * by('torque');
    }
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

/** By value: the least and the most of those up to so many away, no further than the soft limits. */
function around(values: Float64Array, near: number, { joint }: Lone): readonly [lo: Float64Array, hi: Float64Array] {
  const those = (k: number): Float64Array => values.subarray(Math.max(0, k - near), k + near + 1);
  const lo = values.map((_, k) => Math.max(joint.lo, Math.min(...those(k))));
  return [lo, values.map((_, k) => Math.max(lo[k]!, Math.min(joint.hi, Math.max(...those(k)))))];
}

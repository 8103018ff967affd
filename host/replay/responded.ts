/**
 * What is asked once the rig's responses have changed it, as a simulation tells it tick by tick: a curve in the time of the stream, as the
 * stream is one; and how far it is from the stream.
 */
import { type Joint, toDeg } from '../rig/rig.ts';
import type { ResponseTrouble } from '../controller/controller.ts';
import type { Interpolant } from '../stream/interpolate.ts';
import type { PlayTimes } from './play-times.ts';
import type { MovedAnswer, ResponseFaults } from './result.ts';

const POSE = 6;
/** Ticks kept at first; a power of two. */
const ROOM = 256;
/** Less than this moves nothing, mm or deg: single precision leaves more than nothing. */
const MOVES = 0.005;

/** What is moved evenly is moved most when it begins, not where rounding has it: mm or rad. */
const FURTHER = 1e-5;

/** When what is asked on a tick belongs to the stream: `after_us` after its instant on the playback clock's. */
export interface Clock {
  readonly times: PlayTimes;
  readonly after_us: number;
}

export class Responded {
  readonly size: number;
  private readonly stream: Interpolant;
  private readonly columns: readonly string[];
  private readonly homes: readonly number[];
  private readonly legs: number;
  private readonly clock: Clock;
  /** Ticks from `oldest` to `next`, counted on and on: instants, us, and rows as a stream has them. */
  private room = ROOM;
  private instants = new Float64Array(ROOM);
  private rows: Float64Array;
  private oldest = 0;
  private next = 0;
  private readonly asked: Float64Array;
  private readonly answered: Float64Array;
  private readonly moved: Float64Array;
  private readonly movedAt_s: Float64Array;

  /** How often what was asked for was no number, and when first; and how they failed. */
  private dropped = 0;
  private dropped_us = 0;
  private failure: { readonly cause: 'fuel' | 'trap'; readonly at_us: number } | null = null;

  /** @param columns of a stream of the rig, those of the pose first where it has a platform; @param legs how many joints are legs */
  constructor(stream: Interpolant, columns: readonly string[], joints: readonly Joint[], legs: number, clock: Clock) {
    const row = (): Float64Array => new Float64Array(stream.size);
    this.size = stream.size;
    this.stream = stream;
    this.columns = columns;
    this.homes = joints.slice(legs).map(({ home }) => home);
    this.legs = legs;
    this.clock = clock;
    this.rows = new Float64Array(ROOM * stream.size);
    [this.asked, this.answered, this.moved, this.movedAt_s] = [row(), row(), row(), row()];
  }

  /** A tick. values: the pose, then every joint (Controller.responded). */
  push(at_us: number, values: Float32Array, trouble: ResponseTrouble): void {
    if (trouble.dropped > 0 || trouble.failed !== null) this.note(at_us, trouble);
    if (this.next - this.oldest === this.room) this.grow();
    const slot = this.next++ & (this.room - 1);
    this.instants[slot] = at_us;
    const from = slot * this.size;
    for (let k = 0; k < this.size; k++) this.rows[from + k] = values[k < POSE ? k : k + this.legs]!;
  }

  /** As Interpolant has it: at times that never decrease. Between two ticks a straight line; before the first and behind the last, what they ask. */
  evaluate(stream_s: number, out: Float64Array): void {
    const at_us = this.clock.times.at_us(stream_s) + this.clock.after_us;
    while (this.next - this.oldest > 2 && this.instant(this.oldest + 1) <= at_us) this.oldest++;
    if (this.next === 0) return void out.fill(0);
    const last = Math.min(this.oldest + 1, this.next - 1);
    const [a_us, b_us] = [this.instant(this.oldest), this.instant(last)];
    const share = b_us > a_us ? Math.min(1, Math.max(0, (at_us - a_us) / (b_us - a_us))) : 1;
    const [a, b] = [this.oldest, last].map((n) => (n & (this.room - 1)) * this.size) as [number, number];
    for (let k = 0; k < this.size; k++) out[k] = this.rows[a + k]! + (this.rows[b + k]! - this.rows[a + k]!) * share;
  }

  /** Compares with the stream at the time last evaluated. What it leaves alone is at home. */
  compare(stream_s: number, at_s: number): void {
    const { asked, answered, moved, legs } = this;
    this.stream.evaluate(stream_s, asked);
    this.evaluate(stream_s, answered);
    for (let k = legs > 0 ? 0 : POSE; k < this.size; k++) {
      const from = Number.isNaN(asked[k]!) ? this.homes[k - POSE]! : asked[k]!;
      const by = Math.abs(answered[k]! - from);
      if (!(by > moved[k]! + FURTHER)) continue;
      moved[k] = by;
      this.movedAt_s[k] = at_s;
    }
  }

  /** The furthest first; what was not moved is left out. */
  answer(): MovedAnswer[] {
    const first = this.legs > 0 ? 0 : POSE;
    return this.columns
      .map((column, i) => {
        const moved = this.moved[first + i]!;
        return { column, moved: column.endsWith('_deg') ? toDeg(moved) : moved, at_s: this.movedAt_s[first + i]! };
      })
      .filter(({ moved }) => moved > MOVES)
      .sort((a, b) => b.moved - a.moved);
  }

  private note(at_us: number, { dropped, failed }: ResponseTrouble): void {
    if (dropped > 0 && this.dropped === 0) this.dropped_us = at_us;
    this.dropped += dropped;
    if (failed !== null) this.failure ??= { cause: failed, at_us };
  }

  /** What went wrong with them; null: nothing. */
  faults(): ResponseFaults | null {
    const { dropped, dropped_us, failure } = this;
    if (dropped === 0 && failure === null) return null;
    const when = (at_us: number): { at_s: number | null; up_s: number } => {
      const at_s = this.clock.times.fromFirst_s(at_us - this.clock.after_us);
      return { at_s: at_s >= 0 ? at_s : null, up_s: at_us / 1e6 };
    };
    return {
      failed: failure && { cause: failure.cause, ...when(failure.at_us) },
      dropped: dropped === 0 ? null : { count: dropped, ...when(dropped_us) },
    };
  }

  private instant(n: number): number {
    return this.instants[n & (this.room - 1)]!;
  }

  private grow(): void {
    const { instants, rows, room, size } = this;
    this.room = 2 * room;
    this.instants = new Float64Array(this.room);
    this.rows = new Float64Array(this.room * size);
    for (let n = this.oldest; n < this.next; n++) {
      const [from, to] = [n & (room - 1), n & (this.room - 1)];
      this.instants[to] = instants[from]!;
      this.rows.set(rows.subarray(from * size, (from + 1) * size), to * size);
    }
  }
}

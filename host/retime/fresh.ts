/** The new frames of a stretch while its pace is looked for, with enough around them that ticks at its ends are right. */
import { StoredStream } from '../stream/stored.ts';
import { type Paced, eachFrame } from './paced.ts';
import type { Whole } from './whole.ts';

/** Ticks look so far beyond a stretch's ends, in ticks; the frame after that shapes the slopes. */
const TICKS_AROUND = 4;
const FRAMES_AROUND = 2;

/** How many frames before or after one (by the sign of `step`) matter to ticks there; time increases with the frame's number. */
function around(time: (k: number) => number, from: number, last: number, step: 1 | -1, tick_s: number): number {
  let k = 0;
  while (from + step * k !== last && Math.abs(time(from + step * k) - time(from)) < TICKS_AROUND * tick_s) k++;
  for (let more = 0; more < FRAMES_AROUND && from + step * k !== last; more++) k++;
  return k;
}

export class FreshFrames {
  readonly stream: StoredStream;
  private readonly whole: Whole;
  private readonly paced: Paced;
  /** Frames before the stretch; and the last point whose frame is where it belongs. */
  private readonly before: number;
  private right: number;

  /**
   * @param paced the stretch; its times may change later: `place`.
   */
  constructor(whole: Whole, paced: Paced) {
    this.whole = whole;
    this.paced = paced;
    this.stream = new StoredStream(whole.stream.size - 6);
    this.before = this.pushEarlier(paced.span.from);
    eachFrame(paced, whole.stream, (i, values) => {
      this.stream.pushRow(paced.at_s[i]!, values);
    });
    this.pushLater();
    this.right = paced.s.length - 1;
  }

  private get tick_s(): number {
    return 1 / this.whole.motion.rig.motion.tick_hz;
  }

  private pushEarlier(from: number): number {
    const { stream } = this.whole;
    const count = around((f) => stream.time(f), from, 0, -1, this.tick_s);
    for (let f = from - count; f < from; f++) this.stream.pushRow(stream.time(f) - stream.time(from), stream.row(f));
    return count;
  }

  private pushLater(): void {
    const { stream } = this.whole;
    const { span, at_s } = this.paced;
    const count = around((f) => stream.time(f), span.to, stream.count - 1, 1, this.tick_s);
    for (let f = span.to + 1; f <= span.to + count; f++)
      this.stream.pushRow(at_s.at(-1)! + stream.time(f) - stream.time(span.to), stream.row(f));
  }

  /** Puts frames where they belong, whose times changed from point `first` on and are right up to `last`. */
  place(first: number, last: number): void {
    const { stream } = this.whole;
    const { span, at_s } = this.paced;
    for (let i = Math.min(first, this.right + 1); i <= last; i++) this.stream.setTime(this.before + i, at_s[i]!);
    this.right = last;
    if (last < at_s.length - 1) return;
    for (let k = this.before + at_s.length, f = span.to + 1; k < this.stream.count; k++, f++)
      this.stream.setTime(k, at_s[last]! + stream.time(f) - stream.time(span.to));
  }
}

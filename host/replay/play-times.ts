/** When a stream is played, on the controller's clock: which instants are its own, and which come after it. */

/** After the last frame, so that what lags behind or goes past is still seen. */
export const TAIL_S = 0.5;

export class PlayTimes {
  /** The stream's last instant, us; Infinity: its end is not known yet, -Infinity: it never plays on. */
  end_us = Infinity;
  /** It was given up before it was over. */
  halted = false;
  private origin_us = Infinity;
  private first_s = 0;

  /** Stream time 0 is at origin_us, and the first frame at first_s. */
  begin(origin_us: number, first_s: number): void {
    this.origin_us = origin_us;
    this.first_s = first_s;
  }

  halt(): void {
    this.halted = true;
    this.end_us = -Infinity;
  }

  /** The time of the stream, s. */
  stream_s(at_us: number): number {
    return (at_us - this.origin_us) / 1e6;
  }

  /** When that time of the stream is, us. */
  at_us(stream_s: number): number {
    return this.origin_us + stream_s * 1e6;
  }

  /** Seconds since the first frame. */
  since_s(stream_s: number): number {
    return Math.max(0, stream_s - this.first_s);
  }

  /** Seconds since the first frame, negative before it. */
  fromFirst_s(at_us: number): number {
    return this.stream_s(at_us) - this.first_s;
  }

  hasBegun(at_us: number): boolean {
    return this.stream_s(at_us) >= this.first_s;
  }

  plays(at_us: number): boolean {
    return this.hasBegun(at_us) && at_us <= this.end_us;
  }

  isTail(at_us: number): boolean {
    return at_us > this.end_us && at_us <= this.end_us + TAIL_S * 1e6;
  }
}

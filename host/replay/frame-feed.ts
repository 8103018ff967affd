/** The frames of a stream one after another, with one in hand, in memory that does not grow with it. */
import type { Rig } from '../rig/rig.ts';
import { type Frame, type StreamBatch, type StreamSource, readStream } from '../stream/read.ts';

export class FrameFeed {
  private batch: readonly Frame[] = [];
  private next = 0;
  private readonly batches: AsyncGenerator<StreamBatch, void>;

  private constructor(batches: AsyncGenerator<StreamBatch, void>) {
    this.batches = batches;
  }

  static async of(source: StreamSource, rig: Rig): Promise<FrameFeed> {
    const feed = new FrameFeed(readStream(source, rig));
    await feed.refill();
    return feed;
  }

  /** The frame in hand; undefined at the end. */
  peek(): Frame | undefined {
    return this.batch[this.next];
  }

  /** Takes the frame in hand. Resolve the promise, when there is one, before the next peek. */
  skip(): Promise<void> | undefined {
    this.next++;
    return this.next < this.batch.length ? undefined : this.refill();
  }

  private async refill(): Promise<void> {
    this.batch = [];
    this.next = 0;
    for (;;) {
      const next = await this.batches.next();
      if (next.done === true) return;
      if (next.value.frames.length === 0) continue;
      this.batch = next.value.frames;
      return;
    }
  }
}

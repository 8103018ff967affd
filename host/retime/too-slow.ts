/** Where slowing ends: a place that would take so many times as long is told of, and nothing is made of the stream. */

/** Of a stretch with what is around it. Ours: a show that goes so slowly is none, and looking for its pace takes minutes. */
export const MOST_SLOWER = 20;

/** Thrown from deep within the search, caught by `retime`. Frames of the stream as it was. */
export class TooSlow extends Error {
  readonly from: number;
  readonly to: number;

  constructor({ from, to }: { readonly from: number; readonly to: number }) {
    super('this would be slowed without end');
    this.from = from;
    this.to = to;
  }
}

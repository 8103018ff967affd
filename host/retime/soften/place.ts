/**
 * When strokes begin that have become longer: each with its middle as near to where it was as those before and after it allow,
 * in the sense of least squares: isotonic regression by pooling what is out of order.
 *
 * Source: R. E. Barlow, D. J. Bartholomew, J. M. Bremner, H. D. Brunk, "Statistical Inference under Order Restrictions", 1972:
 * the pool-adjacent-violators algorithm (from memory); with bounds, the same result cut off at them.
 */

/** How long a stroke takes up to its middle and after it, and where its middle was, s. */
export interface Timed {
  readonly before_s: number;
  readonly after_s: number;
  readonly middle_s: number;
}

/** Strokes that touch: of number `from` up to `to`, exclusive. */
export interface Block {
  readonly from: number;
  readonly to: number;
}

export interface Placed {
  readonly middles_s: readonly number[];
  readonly blocks: readonly Block[];
}

/** Places strokes between two instants, none beginning before the other has ended; null: there is no room for them all. */
export function place(strokes: readonly Timed[], from_s: number, to_s: number): Placed | null {
  // Seen with all strokes taken out of time, their middles need only be in order.
  const packed: number[] = [];
  let taken_s = 0;
  for (const { before_s, after_s } of strokes) {
    packed.push(taken_s + before_s);
    taken_s += before_s + after_s;
  }
  if (!(taken_s <= to_s - from_s + 1e-9)) return null;
  const pools: { sum: number; count: number }[] = [];
  const mean = ({ sum, count }: { sum: number; count: number }): number => sum / count;
  for (const [k, { middle_s }] of strokes.entries()) {
    let pool = { sum: middle_s - packed[k]!, count: 1 };
    for (let last = pools.at(-1); last && mean(last) > mean(pool); last = pools.at(-1)) {
      pools.pop();
      pool = { sum: pool.sum + last.sum, count: pool.count + last.count };
    }
    pools.push(pool);
  }
  const middles_s: number[] = [];
  const blocks: Block[] = [];
  for (const pool of pools) {
    const from = middles_s.length;
    const at_s = Math.max(from_s, Math.min(to_s - taken_s, mean(pool)));
    for (let k = 0; k < pool.count; k++) middles_s.push(at_s + packed[from + k]!);
    blocks.push({ from, to: middles_s.length });
  }
  return { middles_s, blocks };
}

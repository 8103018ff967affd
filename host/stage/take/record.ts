/** A recording of the hand: what it asked for while a take played, as samples at 50 frames a second to lay over the take. */
import { mixed } from './edit.ts';
import { FRAME_HZ } from './take.ts';

/** What is there and what is recorded run into each other over this long at either end, s. */
export const FADE_S = 0.2;

/** Values at 50 frames a second that run into what is under them at both ends; where that is NaN they stand as they are. */
export const faded = (values: Float64Array, under: (n: number) => number): Float64Array =>
  values.map((now, n) => {
    const was = under(n);
    return Number.isNaN(was) ? now : mixed(was, now, Math.min(n, values.length - 1 - n) / FRAME_HZ / FADE_S);
  });

export class Recording {
  private readonly times: number[] = [];
  private readonly rows: (readonly number[])[] = [];
  readonly columns: readonly string[];

  constructor(columns: readonly string[]) {
    this.columns = columns;
  }

  /** What the hand asks at an instant of the take, in the order of the columns; instants that do not come later are passed over. */
  push(t_s: number, values: readonly number[]): void {
    if (t_s <= (this.times.at(-1) ?? -Infinity)) return;
    this.times.push(t_s);
    this.rows.push(values);
  }

  get seconds(): number {
    return this.times.length === 0 ? 0 : this.times.at(-1)! - this.times[0]!;
  }

  /**
   * The layer between two instants, straight between what was sampled; null: nothing was recorded there.
   * @param under what the columns do without it, to run into at both ends
   */
  layer(
    from_s: number,
    to_s: number,
    under: (column: string, t_s: number) => number,
  ): { readonly from_s: number; readonly samples: Map<string, Float64Array> } | null {
    const [begin_s, end_s] = [
      Math.max(from_s, this.times[0] ?? Infinity),
      Math.min(to_s, this.times.at(-1) ?? -Infinity),
    ];
    const [first, last] = [Math.ceil(begin_s * FRAME_HZ - 1e-6), Math.floor(end_s * FRAME_HZ + 1e-6)];
    if (!(last > first)) return null;
    const samples = new Map<string, Float64Array>();
    this.columns.forEach((column, k) => {
      const values = Float64Array.from({ length: last - first + 1 }, (_, n) => this.at((first + n) / FRAME_HZ, k));
      samples.set(
        column,
        faded(values, (n) => under(column, (first + n) / FRAME_HZ)),
      );
    });
    return { from_s: first / FRAME_HZ, samples };
  }

  private at(t_s: number, column: number): number {
    const { times, rows } = this;
    const next = times.findIndex((time) => time >= t_s);
    if (next < 0) return rows.at(-1)![column]!;
    if (next === 0) return rows[0]![column]!;
    const share = (t_s - times[next - 1]!) / (times[next]! - times[next - 1]!);
    const from = rows[next - 1]![column]!;
    return from + share * (rows[next]![column]! - from);
  }
}

/** Takes figures out of the file: their value goes to the rig, where they come from is kept beside it by key path. */
import type { Figure, Needed } from './fields.ts';
import type { Source } from './rig.ts';

export class Sources {
  /** Of the figures that say where they come from, or that are unknown. */
  readonly map = new Map<string, Source>();

  /** The figure's value; null: unknown, or not in the file. */
  take(path: string, figure: Figure | undefined): number | null {
    if (figure === undefined || typeof figure === 'number') return figure ?? null;
    if (figure === 'unknown') {
      this.map.set(path, { from: 'unknown', within_percent: null });
      return null;
    }
    this.map.set(path, { from: figure.from ?? 'given', within_percent: figure.within_percent ?? null });
    return figure.value;
  }

  /** The value of a figure that cannot be unknown. */
  must(path: string, figure: Needed): number {
    return this.take(path, figure) ?? NaN;
  }
}

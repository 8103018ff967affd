/** Sizes of a want file: one, a list, or a range with or without a step. */
import type { SizesFile } from './schema.ts';
import type { Sizes } from './want.ts';

/** In rising order, each once. */
export function sizesOf(given: SizesFile, unit = 1): Sizes {
  if (typeof given === 'number') return { list: [given * unit] };
  const list = (sizes: readonly number[]): Sizes => ({
    list: [...new Set(sizes)].sort((a, b) => a - b).map((size) => size * unit),
  });
  if (Array.isArray(given)) return list(given);
  const { from, to, step } = given as { from: number; to: number; step?: number };
  if (step === undefined) return from < to ? { lowest: from * unit, highest: to * unit } : { list: [from * unit] };
  // A step of 0.1 is none in binary: the count is what is exact.
  return list(
    Array.from({ length: Math.floor((to - from) / step + 1e-9) + 1 }, (_, i) => Number((from + i * step).toFixed(9))),
  );
}

export const lowestOf = (sizes: Sizes): number => ('list' in sizes ? (sizes.list[0] ?? NaN) : sizes.lowest);

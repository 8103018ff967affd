/** Ranges of whole numbers, both ends included. */
export interface Range {
  readonly from: number;
  readonly to: number;
}

/** The ranges in order; those with fewer than `apart` numbers between them are one. */
export function joined(ranges: readonly Range[], apart: number): Range[] {
  const all: Range[] = [];
  for (const range of [...ranges].sort((a, b) => a.from - b.from)) {
    const last = all.at(-1);
    if (last && range.from - last.to <= apart)
      all[all.length - 1] = { from: last.from, to: Math.max(last.to, range.to) };
    else all.push(range);
  }
  return all;
}

/** Boxes of the words in an SVG, out of its own markup, by advance widths from outside: those of DejaVu Sans, a wide face. */

export interface Box {
  readonly words: string;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/**
 * Advance widths in thousandths of an em: DejaVu Sans 2.37, as a browser measures them at 1000 px. The widest face that a
 * system-ui stack commonly leads to. What is not listed is taken as 0.64 em, its digits, or 0.79 em, its widest other capital.
 */
const ADVANCE: Readonly<Record<string, number>> = {
  ' ': 318, '\u00a0': 318, '.': 318, ',': 318, ':': 337, ';': 337, '[': 390, ']': 390, '(': 390, ')': 390, '|': 337, '\'': 275, '’': 318,
  i: 278, j: 278, l: 278, f: 352, t: 392, r: 411, s: 521, c: 550, k: 579, v: 592, x: 592, y: 592, z: 525, a: 613, e: 615, m: 974, w: 818,
  M: 863, W: 989, I: 295, J: 295, '−': 838, '+': 838, '=': 838, '%': 950, '×': 838,
}; // prettier-ignore

const advance = (words: string, size: number): number =>
  (Array.from(words).reduce((sum, c) => sum + (ADVANCE[c] ?? (/[A-Z]/.test(c) ? 790 : 640)), 0) * size) / 1000;

const plain = (words: string): string =>
  words
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&');

/** Every text of the SVG; sizes in its units by class, the first that fits. */
export function boxesOf(svg: string, sizes: Readonly<Record<string, number>>): readonly Box[] {
  const texts = svg.matchAll(/<text class="([^"]*)" x="([^"]*)" y="([^"]*)" text-anchor="([^"]*)">([^<]*)<\/text>/g);
  return [...texts].map(([, kind = '', x = '', y = '', anchor, inner = '']) => {
    const words = plain(inner);
    const size = sizes[Object.keys(sizes).find((name) => kind.split(' ').includes(name)) ?? ''] ?? NaN;
    const width = advance(words, size);
    const left = Number(x) - (anchor === 'middle' ? width / 2 : anchor === 'end' ? width : 0);
    return { words, left, right: left + width, top: Number(y) - 0.8 * size, bottom: Number(y) + 0.22 * size };
  });
}

/** Pairs that overlap; not finite counts as overlapping. */
export function overlaps(boxes: readonly Box[]): readonly string[] {
  return boxes.flatMap((a, i) =>
    boxes
      .slice(i + 1)
      .filter((b) => !(a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top))
      .map((b) => `${a.words} / ${b.words}`),
  );
}

/** Boxes as STL text, by hand. */
type Point = readonly [number, number, number];

/** Corner `at`, `size` wide; `keep` triangles of its twelve; `inward`: every triangle wound the other way. */
export function boxStl([a, b, c]: Point, [x, y, z]: Point, { keep = 12, inward = false } = {}): string {
  const corner = (k: number): Point => [a + (k & 1 ? x : 0), b + (k & 2 ? y : 0), c + (k & 4 ? z : 0)];
  const quads = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ] as const;
  const triangles = quads.flatMap(([p, q, r, s]) => [
    [p, q, r],
    [p, r, s],
  ]);
  const facets = triangles.slice(0, keep).map((corners) => {
    const turned = inward ? [...corners].reverse() : corners;
    const vertices = turned.map((k) => `vertex ${corner(k).join(' ')}`).join('\n');
    return `facet normal 0 0 0\nouter loop\n${vertices}\nendloop\nendfacet`;
  });
  return `solid box\n${facets.join('\n')}\nendsolid box\n`;
}

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

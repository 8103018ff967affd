/**
 * Triangles of an STL file, binary or text (3D Systems, StereoLithography Interface Specification, 1989; from memory). The
 * format has no unit: mm are taken, as is common practice. What its normals say is not read: the order of corners tells the outside.
 */

/** Corners of triangles, x, y, z of three each, mm: nine numbers a triangle, seen from outside against the clock. */
export type Triangles = Float64Array;

export interface MeshProblem {
  readonly problem: string;
}

const HEADER_BYTES = 84;
const TRIANGLE_BYTES = 50;
/** More are more than a print needs, and slow here (ours). */
const MOST_TRIANGLES = 1_000_000;

/** The triangles in a file, or in words why there are none. */
export function readStl(bytes: Uint8Array): Triangles | MeshProblem {
  const triangles = readBinary(bytes) ?? readText(bytes);
  if ('problem' in triangles) return triangles;
  if (triangles.length === 0) return { problem: 'this is no STL file: there is no triangle in it' };
  return triangles.every(Number.isFinite)
    ? triangles
    : { problem: 'a corner of this mesh is no number: export it again' };
}

const tooMany = (count: number): MeshProblem => ({
  problem: `this mesh has ${String(count)} triangles; allowed: up to ${String(MOST_TRIANGLES)}: export it more coarsely`,
});

/** Null: it is not binary. The size tells: "solid" begins many a binary file too. */
function readBinary(bytes: Uint8Array): Triangles | MeshProblem | null {
  if (bytes.length < HEADER_BYTES) return null;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const count = view.getUint32(80, true);
  if (bytes.length !== HEADER_BYTES + count * TRIANGLE_BYTES) return null;
  if (count > MOST_TRIANGLES) return tooMany(count);
  // Each: a normal of three f32, nine f32 of corners, two bytes that mean nothing.
  return Float64Array.from({ length: 9 * count }, (_, i) =>
    view.getFloat32(HEADER_BYTES + TRIANGLE_BYTES * Math.floor(i / 9) + 12 + 4 * (i % 9), true),
  );
}

function readText(bytes: Uint8Array): Triangles | MeshProblem {
  const text = new TextDecoder().decode(bytes);
  if (!/^\s*solid\b/i.test(text))
    return {
      problem: 'this is no STL file: neither text that begins with solid, nor binary of the size that it tells',
    };
  const numbers: number[] = [];
  for (const [, x, y, z] of text.matchAll(/\bvertex\s+(\S+)\s+(\S+)\s+(\S+)/gi)) {
    numbers.push(Number(x), Number(y), Number(z));
    if (numbers.length > 9 * MOST_TRIANGLES) return tooMany(numbers.length / 9);
  }
  const facets = text.match(/\bendfacet\b/gi)?.length ?? 0;
  if (numbers.length !== 9 * facets || !/\bendsolid\b/i.test(text))
    return { problem: 'this STL file breaks off, or one of its facets has not three corners: export it again' };
  return Float64Array.from(numbers);
}

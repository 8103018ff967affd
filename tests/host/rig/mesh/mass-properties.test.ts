/** Exact figures of meshes against closed forms (Meriam & Kraige, Dynamics, table D/4; from memory), and meshes that have none. */
import { describe, expect, it } from 'vitest';
import { type MassProperties, massProperties } from '../../../../host/rig/mesh/mass-properties.ts';
import { type MeshProblem, type Triangles, readStl } from '../../../../host/rig/mesh/stl.ts';

type Point = readonly [number, number, number];
type Face = readonly [number, number, number];

const meshOf = (points: readonly Point[], faces: readonly Face[]): Triangles =>
  Float64Array.from(faces.flatMap((face) => face.flatMap((k) => [...points[k]!])));

/** From `at` on, `size` wide; corners counted x first. */
function box([a, b, c]: Point, [x, y, z]: Point): Triangles {
  const points = [0, 1, 2, 3, 4, 5, 6, 7].map((k): Point => [
    a + (k & 1 ? x : 0),
    b + (k & 2 ? y : 0),
    c + (k & 4 ? z : 0),
  ]);
  const quads = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ] as const;
  return meshOf(
    points,
    quads.flatMap(([p, q, r, s]): Face[] => [
      [p, q, r],
      [p, r, s],
    ]),
  );
}

/** An octahedron whose triangles were cut in four `times` times, every corner on the unit sphere, times `radius`. */
function sphere(radius: number, times: number): Triangles {
  const [px, mx, py, my, pz, mz]: Point[] = [
    [1, 0, 0],
    [-1, 0, 0],
    [0, 1, 0],
    [0, -1, 0],
    [0, 0, 1],
    [0, 0, -1],
  ] as never;
  let faces = [
    [px, py, pz],
    [py, mx, pz],
    [mx, my, pz],
    [my, px, pz],
    [py, px, mz],
    [mx, py, mz],
    [my, mx, mz],
    [px, my, mz],
  ] as Point[][];
  const between = (a: Point, b: Point): Point => {
    const sum = [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
    return sum.map((value) => value / Math.hypot(...sum)) as unknown as Point;
  };
  for (let k = 0; k < times; k++)
    faces = faces.flatMap((face) => {
      const [a, b, c] = face as unknown as [Point, Point, Point];
      const [ab, bc, ca] = [between(a, b), between(b, c), between(c, a)];
      return [
        [a, ab, ca],
        [ab, b, bc],
        [ca, bc, c],
        [ab, bc, ca],
      ];
    });
  return Float64Array.from(faces.flat(2).map((value) => radius * value));
}

function of(mesh: Triangles | MeshProblem): MassProperties {
  const figures = 'problem' in mesh ? mesh : massProperties(mesh);
  if ('problem' in figures) throw new Error(figures.problem);
  return figures;
}
const near = (values: readonly number[], wanted: readonly number[], within: number): void => {
  values.forEach((value, i) => {
    expect(Math.abs(value - wanted[i]!)).toBeLessThan(within);
  });
  expect(values.length).toBe(wanted.length);
};
const problemOf = (mesh: Triangles): string => (massProperties(mesh) as MeshProblem).problem;

const BRICK = box([10, -20, 5], [30, 40, 50]);
const BRICK_INERTIA = [(40 ** 2 + 50 ** 2) / 12, 0, 0, 0, (50 ** 2 + 30 ** 2) / 12, 0, 0, 0, (30 ** 2 + 40 ** 2) / 12];

describe('closed forms', () => {
  it('a box', () => {
    const { volume_mm3, centre_mm, inertia_mm2 } = of(BRICK);
    near([volume_mm3], [60_000], 1e-7);
    near(centre_mm, [25, 0, 30], 1e-11);
    near(inertia_mm2, BRICK_INERTIA, 1e-9);
  });

  it('the tetrahedron 0, x, y, z of unit edges: V = 1/6, centre 1/4, means of x² 1/10 and of x·y 1/20', () => {
    const mesh = meshOf(
      [
        [0, 0, 0],
        [1, 0, 0],
        [0, 1, 0],
        [0, 0, 1],
      ],
      [
        [0, 2, 1],
        [0, 1, 3],
        [0, 3, 2],
        [1, 2, 3],
      ],
    );
    const { volume_mm3, centre_mm, inertia_mm2 } = of(mesh);
    near([volume_mm3, ...centre_mm], [1 / 6, 1 / 4, 1 / 4, 1 / 4], 1e-14);
    const [on, off] = [2 * (1 / 10 - 1 / 16), -(1 / 20 - 1 / 16)];
    near(inertia_mm2, [on, off, off, off, on, off, off, off, on], 1e-14);
  });

  it('a sphere, ever nearer the finer it is: a quarter of the error for each cut', () => {
    const errors = [3, 4].map((times) => Math.abs(of(sphere(60, times)).inertia_mm2[0] / (0.4 * 60 ** 2) - 1));
    expect(errors[1]).toBeLessThan(0.01);
    expect(errors[0]! / errors[1]!).toBeGreaterThan(3.7);
    expect(errors[0]! / errors[1]!).toBeLessThan(4.3);
  });

  it('a hollow box: the inner wall, wound inwards, takes away', () => {
    const inner = box([-1, -1, -1], [2, 2, 2]);
    const inside = inner.map((_, i) => inner[9 * Math.floor(i / 9) + 3 * (2 - Math.floor((i % 9) / 3)) + (i % 3)]!);
    const { volume_mm3, inertia_mm2 } = of(Float64Array.from([...box([-2, -2, -2], [4, 4, 4]), ...inside]));
    near([volume_mm3], [64 - 8], 1e-12);
    near([inertia_mm2[0]], [(64 * (32 / 12) - 8 * (8 / 12)) / 56], 1e-12);
  });

  it('stands a kilometre off, or is wound inwards throughout', () => {
    near(of(box([1e6, 1e6, 1e6], [30, 40, 50])).inertia_mm2, BRICK_INERTIA, 1e-6);
    const inwards = BRICK.map((_, i) => BRICK[9 * Math.floor(i / 9) + 3 * (2 - Math.floor((i % 9) / 3)) + (i % 3)]!);
    near(of(inwards).inertia_mm2, BRICK_INERTIA, 1e-9);
  });
});

describe('no closed mesh', () => {
  it('with a hole, a triangle turned over, a triangle twice, or flat', () => {
    expect(problemOf(BRICK.slice(9))).toMatch(/not closed: 3 edges have no neighbour, 0 come twice/);
    const turned = BRICK.slice();
    turned.set(BRICK.slice(3, 6), 0);
    turned.set(BRICK.slice(0, 3), 3);
    expect(problemOf(turned)).toMatch(/not closed: 3 edges .* 3 come twice/);
    expect(problemOf(Float64Array.from([...BRICK, ...BRICK.slice(0, 9)]))).toMatch(/3 come twice/);
    expect(problemOf(box([0, 0, 0], [30, 40, 0]))).toMatch(/not closed|no volume/);
  });
});

function binary(mesh: Triangles): Uint8Array {
  const bytes = new Uint8Array(84 + (50 * mesh.length) / 9);
  bytes.set(new TextEncoder().encode('solid, and yet binary'));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, mesh.length / 9, true);
  mesh.forEach((value, i) => {
    view.setFloat32(84 + 50 * Math.floor(i / 9) + 12 + 4 * (i % 9), value, true);
  });
  return bytes;
}

function ascii(mesh: Triangles): Uint8Array {
  const facets = Array.from({ length: mesh.length / 9 }, (_, k) => {
    const corners = [0, 3, 6].map(
      (at) => `vertex ${[...mesh.slice(9 * k + at, 9 * k + at + 3)].map((v) => v.toExponential()).join(' ')}`,
    );
    return `facet normal 0 0 0\n outer loop\n  ${corners.join('\n  ')}\n endloop\nendfacet`;
  });
  return new TextEncoder().encode(`solid brick\n${facets.join('\n')}\nendsolid brick\n`);
}

describe('STL', () => {
  it('binary and text hold the same mesh', () => {
    expect(readStl(binary(BRICK))).toEqual(BRICK);
    expect(readStl(ascii(BRICK))).toEqual(BRICK);
  });

  it('cut short, empty, of no numbers, or something else, is words', () => {
    const words = (bytes: Uint8Array): string => (readStl(bytes) as MeshProblem).problem;
    expect(words(ascii(BRICK).slice(0, 900))).toContain('breaks off');
    expect(words(binary(BRICK).slice(0, 500))).toContain('breaks off');
    expect(words(new Uint8Array(0))).toContain('no STL file');
    expect(words(binary(new Float64Array(0)))).toContain('no triangle');
    expect(words(binary(BRICK.with(4, NaN)))).toContain('no number');
    expect(words(new TextEncoder().encode('rig: owl'))).toContain('no STL file');
  });
});

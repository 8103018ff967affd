/** A part's mesh in a rig file. A box's inertia: m/12·(b² + c²) (Meriam & Kraige, Dynamics, table D/4; from memory). */
import { describe, expect, it } from 'vitest';
import { bodyOf } from '../../../../host/physics/dynamics/inertia.ts';
import { readRig } from '../../../../host/rig/read.ts';
import { OWL } from '../owl.ts';
import { boxStl, bytesOf } from './boxes.ts';

const SHELL = 'shape: { ellipsoid_shell: { radii_mm: [60, 55, 50] } }';
const text = OWL.replace(SHELL, 'shape: { mesh: cad/head.stl }');
const read = (stl: string | { readonly problem: string }, rig = text) =>
  readRig(rig, 'owl.yaml', {
    mesh: (path) =>
      path !== 'cad/head.stl' ? { problem: `asked for ${path}` } : typeof stl === 'string' ? bytesOf(stl) : stl,
  });
const SOLID = boxStl([-20, 0, -5], [80, 60, 120]);

describe('a mesh in the rig file', () => {
  it('gives centre of mass, inertia and box, with at_mm where its origin stands', () => {
    const { rig, problems } = read(SOLID);
    expect(problems.filter(({ path }) => path.includes('mesh'))).toEqual([]);
    const shell = rig?.parts[0];
    expect(shell?.at_mm).toEqual([20, 30, 38 + 55]);
    expect(shell?.shape).toMatchObject({ kind: 'mesh', file: 'cad/head.stl', size_mm: [80, 60, 120] });
    const inertia = bodyOf(shell!)?.inertia_kgm2 ?? [];
    const about = (b: number, c: number): number => ((0.62 / 12) * (b * b + c * c)) / 1e6;
    const expected = [about(60, 120), 0, 0, 0, about(80, 120), 0, 0, 0, about(80, 60)];
    expected.forEach((value, k) => {
      expect(Math.abs((inertia[k] ?? NaN) - value)).toBeLessThan(1e-12);
    });
  });

  it('keeps the products of inertia of a body that stands askew', () => {
    const both = boxStl([0, 0, 0], [20, 20, 20]).replace('endsolid box\n', '') + boxStl([60, 40, 0], [20, 20, 20]);
    const { rig } = read(both.replace(/endsolid box\nsolid box\n|(?<=endfacet\n)solid box\n/, ''));
    // Two halves at ∓(30, 20, 0) from the middle: Ixy = -Σ m·x·y.
    expect(bodyOf(rig!.parts[0]!)?.inertia_kgm2[1]).toBeCloseTo(-0.62 * 30 * 20 * 1e-6, 12);
  });

  it.each([
    ['a file that is missing', { problem: 'there is no such file' }, /cad\/head\.stl: there is no such file/],
    ['what is no STL', 'o cube\nv 1 2 3\n', /this is no STL file/],
    ['an open surface', boxStl([0, 0, 0], [80, 60, 120], { keep: 11 }), /not closed: 3 edges have no neighbour/],
    ['metres', boxStl([0, 0, 0], [0.08, 0.06, 0.12]), /measures 0\.08 × 0\.06 × 0\.12, read as mm: .* exported in m\b/],
    ['a stray size', boxStl([0, 0, 0], [80_000, 60, 120]), /a longest side from 2 to 10000 mm/],
  ])('%s is an error in words, at the key', (_, stl, words) => {
    const { rig, problems } = read(stl);
    expect(rig).toBeNull();
    const [problem] = problems.filter(({ severity }) => severity === 'error');
    expect(problem).toMatchObject({ path: 'parts.shell.shape.mesh', line: 18 });
    expect(problem?.message).toMatch(words);
  });

  it.each([
    [
      'inside out',
      boxStl([-20, 0, -5], [80, 60, 120], { inward: true }),
      /inside out\); its centre and inertia are right/,
    ],
    ['inches', boxStl([0, 0, 0], [3.1, 2.4, 4.7]), /kg\/m³: was it exported in inches instead of mm\?/],
    ['centimetres', boxStl([0, 0, 0], [8, 6, 2]), /kg\/m³: was it exported in (cm|inches) instead of mm\?/],
    ['a far too light body', boxStl([0, 0, 0], [900, 900, 900]), /0\.85 kg\/m³: is the mesh in mm/],
  ])('%s is a warning', (_, stl, words) => {
    const { rig, problems } = read(stl);
    expect(rig).not.toBeNull();
    const said = problems.filter(({ path }) => path === 'parts.shell.shape.mesh');
    expect(said.map(({ severity, message }) => [severity, words.test(message)])).toEqual([['warning', true]]);
  });

  it('turned inside out has the same figures', () => {
    const [right, turned] = [false, true].map(
      (inward) => read(boxStl([-20, 0, -5], [80, 60, 120], { inward })).rig?.parts[0],
    );
    expect(JSON.stringify(bodyOf(turned!))).toBe(JSON.stringify(bodyOf(right!)));
  });

  it.each(['/tmp/head.stl', '../head.stl', 'cad/../../head.stl', 'C:/head.stl', 'cad\\\\head.stl', '~/head.stl', ''])(
    'is not looked for outside the rig’s folder: %s',
    (path) => {
      const { rig, problems } = read(SOLID, text.replace('cad/head.stl', `"${path}"`));
      expect(rig).toBeNull();
      expect(problems.find(({ severity }) => severity === 'error')?.message).toMatch(/in the folder of the rig file/);
    },
  );

  it('needs somebody to hand it out', () => {
    expect(readRig(text).problems.some(({ message }) => message.includes('can’t be read here'))).toBe(true);
  });

  it('is one way of five to say a shape, and none beside inertia_kgmm2', () => {
    const two = text.replace('mesh: cad/head.stl', 'mesh: cad/head.stl, box: { size_mm: [1, 1, 1] }');
    expect(read(SOLID, two).rig).toBeNull();
  });
});

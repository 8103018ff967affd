/** The mesh of a part: its centre and inertia, or in words what keeps it from having them. Its bytes are the caller's to fetch. */
import type { MeshShape, Vec3 } from '../rig.ts';
import { scale, sub } from '../rotation.ts';
import { short } from '../words.ts';
import { massProperties } from './mass-properties.ts';
import { type MeshProblem, readStl } from './stl.ts';

/** Bytes of a file by its path in the rig file, which is relative to the rig file; or why there are none. */
export type ReadMesh = (path: string) => Uint8Array | MeshProblem;

export interface PartMesh {
  readonly shape: MeshShape;
  /** Of its mass, in the mesh's frame. */
  readonly centre_mm: Vec3;
  readonly warnings: readonly string[];
}

/** The mesh at `path` as the shape of a part of `mass_kg`; null: not known. */
export function meshOf(path: string, read: ReadMesh | undefined, mass_kg: number | null): PartMesh | MeshProblem {
  if (!read) return { problem: 'a mesh can’t be read here, where the rig file’s folder is not known' };
  const bytes = read(path);
  if ('problem' in bytes) return bytes;
  const triangles = readStl(bytes);
  if ('problem' in triangles) return triangles;
  const found = massProperties(triangles);
  if ('problem' in found) return found;
  const { centre_mm, middle_mm, size_mm, inertia_mm2, volume_mm3, insideOut } = found;
  const wrongSize = sizeWords(size_mm);
  if (wrongSize !== null) return { problem: wrongSize };
  const dense = mass_kg === null ? null : densityWords(mass_kg, volume_mm3);
  return {
    shape: {
      kind: 'mesh',
      file: path,
      origin_mm: scale(centre_mm, -1),
      middle_mm: sub(middle_mm, centre_mm),
      size_mm,
      inertia_mm2,
    },
    centre_mm,
    warnings: [...(insideOut ? [INSIDE_OUT] : []), ...(dense === null ? [] : [dense])],
  };
}

const INSIDE_OUT =
  'its triangles face inward (inside out); its centre and inertia are right all the same. Flip its normals before printing';

/** Of a part's longest side, mm: less or more is another unit, or a slip (ours). */
const SIDE_MM = [2, 10_000] as const;

function sizeWords(size_mm: Vec3): string | null {
  const longest = Math.max(...size_mm);
  const [least, most] = SIDE_MM;
  if (longest >= least && longest <= most) return null;
  const box = size_mm.map((side) => String(Number(side.toPrecision(3)))).join(' × ');
  const guess =
    longest < least ? 'it was probably exported in m' : 'it was probably exported in µm, or holds a stray corner';
  return `measures ${box}, read as mm: STL has no unit, and ${guess}. Export it in mm; allowed: a longest side from ${String(least)} to ${String(most)} mm`;
}

/** kg/m³: below any solid foam, above gold (19,300; CRC Handbook, from memory). */
const DENSITY = [5, 20_000] as const;

const UNITS = [
  ['m', 1000],
  ['inches', 25.4],
  ['cm', 10],
] as const;
/** A printed, cast or carved part, kg/m³ (usual; ours). */
const USUAL = [50, 9000] as const;

/** What speaks against a mass in a volume; null: nothing. */
function densityWords(mass_kg: number, volume_mm3: number): string | null {
  const density = mass_kg / (volume_mm3 * 1e-9);
  const [least, most] = DENSITY;
  if (mass_kg === 0 || (density >= least && density <= most)) return null;
  const unit = UNITS.find(([, mm]) => density / mm ** 3 >= USUAL[0] && density / mm ** 3 <= USUAL[1]);
  const guess =
    density > most && unit
      ? `was it exported in ${unit[0]} instead of mm?`
      : 'is the mesh in mm, hollow where the part is, and all of it?';
  return `${String(mass_kg)} kg in ${short(volume_mm3 / 1000, 3)} cm³ would be ${density.toPrecision(2)} kg/m³: ${guess}`;
}

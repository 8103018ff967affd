/** The parts of a rig file: what weighs. */
import { type ReadMesh, meshOf } from './mesh/part-mesh.ts';
import type { Say } from './problem.ts';
import type { Part, Shape } from './rig.ts';
import { add } from './rotation.ts';
import type { PartFile } from './schema.ts';
import type { Sources } from './sources.ts';

/** By their place in the file; without `readMesh`, and where a mesh is not right, the part has no shape and that is told. */
export function buildParts(
  files: ReadonlyMap<number, PartFile>,
  readMesh: ReadMesh | undefined,
  sources: Sources,
  say: Say,
): Part[] {
  return [...files].map(([i, file]) => {
    const part = plainPart(file, sources);
    const path = file.shape?.mesh;
    if (path === undefined) return part;
    const made = meshOf(path, readMesh, part.mass_kg);
    const at = ['parts', i, 'shape', 'mesh'];
    if ('problem' in made) {
      say.error(at, `${path}: ${made.problem}`);
      return part;
    }
    for (const words of made.warnings) say.warning(at, `${path}: ${words}`);
    return { ...part, at_mm: add(part.at_mm, made.centre_mm), shape: made.shape };
  });
}

/** All but its mesh. */
function plainPart(file: PartFile, sources: Sources): Part {
  return {
    name: file.name,
    on: file.on,
    mass_kg: sources.take(`parts.${file.name}.mass_kg`, file.mass_kg),
    at_mm: file.at_mm,
    shape: plainShape(file.shape ?? {}),
    inertia_kgmm2: file.inertia_kgmm2 ?? null,
    fitted: file.fitted,
  };
}

function plainShape({ ellipsoid_shell, ellipsoid, box, cylinder }: NonNullable<PartFile['shape']>): Shape | null {
  if (ellipsoid_shell) return { kind: 'ellipsoid_shell', ...ellipsoid_shell };
  if (ellipsoid) return { kind: 'ellipsoid', ...ellipsoid };
  if (box) return { kind: 'box', ...box };
  return cylinder ? { kind: 'cylinder', ...cylinder } : null;
}

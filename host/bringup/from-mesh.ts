/** `mesh`: centre of mass and inertia of a part from its drawing, a closed mesh, and its weight. */
import type { FigureChange } from '../rig/edit.ts';
import {
  type Measurement,
  type Outcome,
  type Readings,
  type Refused,
  type Subject,
  refused,
  rounded,
} from './measurement.ts';
import { massProperties } from '../rig/mesh/mass-properties.ts';
import { type Uncertain, exactly, propagate } from './propagate.ts';
import { MASS, massOf, plainPart } from './subjects.ts';

const AXES = ['x', 'y', 'z'] as const;

export const MESH: Measurement = {
  what: 'mesh',
  summary: 'centre of mass and inertia of a part: its STL file and its weight',
  how: 'Export the part as STL in mm, in the frame that its at_mm is in (the moving plate, a joint or the base), as one closed body of even density: a print with thin infill is a shell, so draw it hollow.',
  source: 'exact integrals over the polyhedron (B. Mirtich 1996; D. Eberly, Polyhedral Mass Properties)',
  caution:
    'Caution: a mesh knows no screws, servos and cables. Weigh the part, and check its balance by hand before it moves.',
  of: [['part']],
  stl: true,
  readings: [MASS],
  work,
};

function work(subject: Subject, readings: Readings): Outcome | Refused {
  const place = plainPart(subject);
  if ('problem' in place) return place;
  const { part, index } = place;
  const figures = subject.triangles ? massProperties(subject.triangles) : { problem: 'is missing: the mesh' };
  if ('problem' in figures) return refused('--stl', figures.problem);
  const mass = massOf(readings, `parts.${part.name}.mass_kg`, part.mass_kg);
  if ('problem' in mass) return mass;
  const { volume_mm3, centre_mm, inertia_mm2 } = figures;
  const inertia = [0, 4, 8].map((at) => propagate((kg) => kg * inertia_mm2[at]!, mass));
  const found = (what: string, unit: string, figure: Uncertain) => ({ what, unit, ...figure });
  return {
    found: [
      found('volume', 'cm³', exactly(volume_mm3 / 1000)),
      ...AXES.map((axis, k) => found(`centre of mass, ${axis}`, 'mm', exactly(centre_mm[k]!))),
      ...AXES.map((axis, k) => found(`inertia about its centre, ${axis}`, 'kg·mm²', inertia[k]!)),
    ],
    words: [
      'exact for the mesh; the tolerance is that of its weight alone',
      'a rig file has no place for products of inertia: a part that stands askew of the axes loses them',
      ...(part.shape ? [`${part.name} has a shape in the rig: delete it, and its inertia is written as well`] : []),
    ],
    changes: [
      ...centre_mm.map((value, k): FigureChange => ({
        path: ['parts', index, 'at_mm', k],
        to: Math.round(value * 100) / 100 || 0,
      })),
      ...(part.shape
        ? []
        : [{ path: ['parts', index, 'inertia_kgmm2'], to: inertia.map(({ value }) => rounded(value)) }]),
    ],
  };
}

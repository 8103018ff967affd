/**
 * How heavy a part is and how hard to turn: inertia of the shapes of the rig file, and of several bodies fixed to each other.
 * SI: kg, m, kg·m². Inertia tensors are about the centre of mass, row-major 3×3, symmetric.
 */
import { ballRadius_mm } from '../../rig/ball.ts';
import type { Part, Shape, Vec3 } from '../../rig/rig.ts';
import { type Mat3, mulMat, mulVec, transpose } from '../../rig/rotation.ts';

/** A rigid body in some frame. */
export interface Body {
  readonly mass_kg: number;
  readonly com_m: Vec3;
  readonly inertia_kgm2: Mat3;
}

export const NOTHING: Body = { mass_kg: 0, com_m: [0, 0, 0], inertia_kgm2: [0, 0, 0, 0, 0, 0, 0, 0, 0] };

const MM = 1e-3;

/**
 * A part as a body in its carrier's frame. Shapes stand along the carrier's axes; a part with neither shape nor inertia is taken
 * as a solid ball (ball.ts). Null: its mass is not known.
 */
export function bodyOf({ mass_kg, at_mm, shape, inertia_kgmm2 }: Part): Body | null {
  if (mass_kg === null) return null;
  const inertia = inertia_kgmm2
    ? diagonal(inertia_kgmm2[0], inertia_kgmm2[1], inertia_kgmm2[2], MM * MM)
    : shapeInertia(shape ?? assumedShape(mass_kg), mass_kg);
  return { mass_kg, com_m: [at_mm[0] * MM, at_mm[1] * MM, at_mm[2] * MM], inertia_kgm2: inertia };
}

/** What a part without a shape is taken for. */
export function assumedShape(mass_kg: number): Shape {
  const radius_mm = ballRadius_mm(mass_kg);
  return { kind: 'ellipsoid', radii_mm: [radius_mm, radius_mm, radius_mm] };
}

/**
 * Inertia of a shape about its centre, kg·m². Solids are of even density (Meriam & Kraige, Dynamics, table D/4; from memory).
 * An ellipsoid's shell is thin and of even wall thickness, as printed and vacuum-formed ones are; that has no closed form,
 * and a shell between two similar ellipsoids, m/3·(b² + c²), is thin at its waist.
 */
export function shapeInertia(shape: Shape, mass_kg: number): Mat3 {
  switch (shape.kind) {
    case 'ellipsoid':
      return fromMeanSquares(squares(shape.radii_mm, 1 / 5), mass_kg);
    case 'ellipsoid_shell':
      return fromMeanSquares(shellMeanSquares(shape.radii_mm), mass_kg);
    case 'box':
      return fromMeanSquares(squares(shape.size_mm, 1 / 12), mass_kg);
    case 'cylinder': {
      const { radius_mm: r, length_mm: h, along } = shape;
      const axial = (mass_kg * r * r * MM * MM) / 2;
      const across = (mass_kg * (3 * r * r + h * h) * MM * MM) / 12;
      const length = Math.hypot(...along);
      const a = along.map((part) => part / length) as unknown as Vec3;
      return symmetric((i, j) => (i === j ? across : 0) + (axial - across) * a[i]! * a[j]!);
    }
    case 'mesh':
      return symmetric((i, j) => mass_kg * MM * MM * shape.inertia_mm2[3 * i + j]!);
  }
}

/** Mean squares of x, y and z over a body's mass (mm²) to its inertia: about x, m·(mean y² + mean z²). */
function fromMeanSquares([xx, yy, zz]: Vec3, mass_kg: number): Mat3 {
  return diagonal(yy + zz, zz + xx, xx + yy, mass_kg * MM * MM);
}

const squares = ([x, y, z]: Vec3, k: number): Vec3 => [k * x * x, k * y * y, k * z * z];

/** Points of the three-point Gauss rule on -1 … 1, and their weights. */
const GAUSS = [
  [-Math.sqrt(0.6), 5 / 9],
  [0, 8 / 9],
  [Math.sqrt(0.6), 5 / 9],
] as const;
const BANDS = 24;
const SECTORS = 96;

/**
 * Mean squares of x, y, z over the surface of an ellipsoid, mm²: the integral over u = cos θ and φ of the surface element
 * √(b²c²·s²cos²φ + a²c²·s²sin²φ + a²b²·u²), s² = 1 - u². Right to 5e-7 for radii of up to 1 : 4 (tests).
 */
function shellMeanSquares(radii_mm: Vec3): Vec3 {
  const known = knownShells.get(radii_mm);
  if (known) return known;
  const found = surfaceMeanSquares(radii_mm);
  knownShells.set(radii_mm, found);
  return found;
}

const knownShells = new WeakMap<Vec3, Vec3>();

function surfaceMeanSquares([a, b, c]: Vec3): Vec3 {
  let area = 0;
  const sum = [0, 0, 0];
  for (let band = 0; band < BANDS; band++)
    for (const [node, weight] of GAUSS) {
      const u = (band + (node + 1) / 2) / BANDS;
      const s2 = 1 - u * u;
      for (let k = 0; k < SECTORS; k++) {
        const phi = ((k + 0.5) / SECTORS) * (Math.PI / 2);
        const x2 = s2 * Math.cos(phi) ** 2;
        const y2 = s2 * Math.sin(phi) ** 2;
        const d = weight * Math.sqrt(b * b * c * c * x2 + a * a * c * c * y2 + a * a * b * b * u * u);
        area += d;
        sum[0]! += d * a * a * x2;
        sum[1]! += d * b * b * y2;
        sum[2]! += d * c * c * u * u;
      }
    }
  return [sum[0]! / area, sum[1]! / area, sum[2]! / area];
}

/** The body in another frame: v becomes turn·v + shift. */
export function movedBody(body: Body, turn: Mat3, shift_m: Vec3): Body {
  const [x, y, z] = mulVec(turn, body.com_m);
  return {
    mass_kg: body.mass_kg,
    com_m: [x + shift_m[0], y + shift_m[1], z + shift_m[2]],
    inertia_kgm2: mulMat(turn, mulMat(body.inertia_kgm2, transpose(turn))),
  };
}

/** Bodies of one frame, fixed to each other: I = Σ I_k + m_k(|d|²·1 - d·dᵀ), d from the common centre (parallel axes). */
export function together(bodies: readonly Body[]): Body {
  const mass_kg = bodies.reduce((sum, body) => sum + body.mass_kg, 0);
  if (mass_kg === 0) return NOTHING;
  const mean = (k: 0 | 1 | 2): number => bodies.reduce((sum, body) => sum + body.mass_kg * body.com_m[k], 0) / mass_kg;
  const com_m: Vec3 = [mean(0), mean(1), mean(2)];
  const inertia_kgm2 = symmetric((i, j) =>
    bodies.reduce((sum, body) => {
      const d = body.com_m.map((at, k) => at - com_m[k]!);
      const square = d.reduce((all, part) => all + part * part, 0);
      return sum + body.inertia_kgm2[3 * i + j]! + body.mass_kg * ((i === j ? square : 0) - d[i]! * d[j]!);
    }, 0),
  );
  return { mass_kg, com_m, inertia_kgm2 };
}

const diagonal = (x: number, y: number, z: number, k: number): Mat3 => [k * x, 0, 0, 0, k * y, 0, 0, 0, k * z];

const symmetric = (entry: (i: number, j: number) => number): Mat3 =>
  [0, 1, 2].flatMap((i) => [0, 1, 2].map((j) => entry(i, j))) as unknown as Mat3;

/**
 * A part as a body in its carrier's frame: its mesh, and the points that its outline is the hull of. A part without a shape is a ball
 * of its mass, as dense as water. mm.
 */
import * as THREE from 'three';
import type { MeshShape, Part, Shape, Vec3 } from '../../../rig/rig.ts';
import type { Paints } from './skin.ts';

const ROUND = 48;
/** How far the line around a body stands off it, mm. */
const CONTOUR_MM = 0.7;
/** kg/mm³ of water. */
const DENSITY = 1e-6;
const SMALLEST_KG = 0.005;

/** What an outline is made of: an ellipsoid shows another edge to every eye, the rest has corners. */
export type Outline =
  | { readonly kind: 'ellipsoid'; readonly at_mm: Vec3; readonly radii_mm: Vec3 }
  | { readonly kind: 'corners'; readonly points_mm: readonly Vec3[] };

const ballRadius = (mass_kg: number): number => Math.cbrt((3 * mass_kg) / (4 * Math.PI * DENSITY));

/** What is drawn of a mesh is its box, as the reports do, until the mesh has come; its outline stays the box's. */
export type Drawn = Exclude<Shape, { readonly kind: 'mesh' }>;

/** The shape that a part is drawn with. */
export function shapeOf(part: Part): Drawn {
  if (part.shape?.kind === 'mesh') return { kind: 'box', size_mm: part.shape.size_mm };
  if (part.shape) return part.shape;
  const radius = ballRadius(Math.max(part.mass_kg ?? 0, SMALLEST_KG));
  return { kind: 'ellipsoid', radii_mm: [radius, radius, radius] };
}

/** The middle of what is drawn, in its carrier's frame. */
function middleOf({ shape, at_mm }: Part): Vec3 {
  if (shape?.kind !== 'mesh') return at_mm;
  const { middle_mm } = shape;
  return [at_mm[0] + middle_mm[0], at_mm[1] + middle_mm[1], at_mm[2] + middle_mm[2]];
}

function geometry(shape: Drawn, more_mm: number): THREE.BufferGeometry {
  switch (shape.kind) {
    case 'ellipsoid':
    case 'ellipsoid_shell': {
      const [a, b, c] = shape.radii_mm;
      return new THREE.SphereGeometry(1, ROUND, ROUND / 2).scale(a + more_mm, b + more_mm, c + more_mm);
    }
    case 'box': {
      const [a, b, c] = shape.size_mm;
      return new THREE.BoxGeometry(a + 2 * more_mm, b + 2 * more_mm, c + 2 * more_mm);
    }
    case 'cylinder': {
      const { radius_mm, length_mm, along } = shape;
      const turn = new THREE.Quaternion().setFromUnitVectors(Y, new THREE.Vector3(...along).normalize());
      const round = new THREE.CylinderGeometry(
        radius_mm + more_mm,
        radius_mm + more_mm,
        length_mm + 2 * more_mm,
        ROUND,
      );
      return round.applyQuaternion(turn);
    }
  }
}

const Y = new THREE.Vector3(0, 1, 0);

/** @param solid drawn with a line around it; else looked through, with its edges. */
export function bodyMesh(part: Part, paints: Paints, solid: boolean): THREE.Mesh {
  const shape = shapeOf(part);
  const mesh = new THREE.Mesh(geometry(shape, 0), solid ? paints.part : paints.body);
  if (solid) mesh.add(new THREE.Mesh(geometry(shape, CONTOUR_MM), paints.contour));
  else mesh.add(new THREE.LineSegments(new THREE.EdgesGeometry(mesh.geometry, 40), paints.thread));
  mesh.position.set(...middleOf(part));
  mesh.name = part.name;
  return mesh;
}

/** The line around a mesh: the same surface, further out by the line's width, seen from inside. */
export function contourOf(of: THREE.BufferGeometry): THREE.BufferGeometry {
  const geometry = of.clone();
  const [position, normal] = [geometry.getAttribute('position'), geometry.getAttribute('normal')];
  for (let i = 0; i < position.count; i++)
    position.setXYZ(
      i,
      position.getX(i) + CONTOUR_MM * normal.getX(i),
      position.getY(i) + CONTOUR_MM * normal.getY(i),
      position.getZ(i) + CONTOUR_MM * normal.getZ(i),
    );
  return geometry;
}

/**
 * Draws the body of a part by its mesh from now on.
 * @param body what `bodyMesh` made of it @param mesh in its own frame, mm; it is moved
 * @returns what is drawn otherwise now
 */
export function showMesh(
  body: THREE.Mesh,
  { origin_mm, middle_mm }: MeshShape,
  mesh: THREE.BufferGeometry,
): THREE.Mesh[] {
  // What a file says of its normals is often nothing: by the corners' order they are known.
  mesh.computeVertexNormals();
  mesh.translate(origin_mm[0] - middle_mm[0], origin_mm[1] - middle_mm[1], origin_mm[2] - middle_mm[2]);
  const around = body.children[0];
  body.geometry = mesh;
  // A body that is looked through keeps its box's edges.
  if (!(around instanceof THREE.Mesh)) return [body];
  const line = around as THREE.Mesh;
  line.geometry = contourOf(mesh);
  return [body, line];
}

/** What the part's outline is the hull of, in its carrier's frame. */
export function outlineOf(part: Part): Outline {
  const shape = shapeOf(part);
  if (shape.kind === 'ellipsoid' || shape.kind === 'ellipsoid_shell')
    return { kind: 'ellipsoid', at_mm: middleOf(part), radii_mm: shape.radii_mm };
  const [x, y, z] = middleOf(part);
  const points_mm = cornersOf(geometry(shape, 0)).map(([a, b, c]): Vec3 => [x + a, y + b, z + c]);
  return { kind: 'corners', points_mm };
}

/** A geometry's corners, each once, mm. */
export function cornersOf(of: THREE.BufferGeometry): Vec3[] {
  const position = of.getAttribute('position');
  const corners = new Map<string, Vec3>();
  for (let i = 0; i < position.count; i++) {
    const corner: Vec3 = [position.getX(i), position.getY(i), position.getZ(i)];
    corners.set(corner.map((at) => at.toFixed(3)).join(), corner);
  }
  return [...corners.values()];
}

/** Whether a part lies within an ellipsoid of another on the same carrier, so that nobody sees it. */
export function isWithin(part: Part, other: Part): boolean {
  const around = shapeOf(other);
  if (part === other || part.on !== other.on || !('radii_mm' in around)) return false;
  const { radii_mm: r } = around;
  const reaches = (point: Vec3): number => Math.hypot(...point.map((at, k) => (at - other.at_mm[k]!) / r[k]!));
  const outline = outlineOf(part);
  if (outline.kind === 'corners') return outline.points_mm.every((point) => reaches(point) < 1);
  return [0, 1, 2].every((k) =>
    [-1, 1].every(
      (side) =>
        reaches(outline.at_mm.map((at, m) => at + (m === k ? side * outline.radii_mm[k]! : 0)) as unknown as Vec3) < 1,
    ),
  );
}

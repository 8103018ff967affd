/**
 * What makes a head a character: its eyes, and the joints that have no axis of their own in the file, each as something that swings
 * where it sits. What they look like is guessed from their names; that they move, and by how much, is the rig's. What the head would
 * hide is drawn at its surface, straight ahead of where it sits.
 */
import * as THREE from 'three';
import { type Frame } from '../../../report/draw/frames.ts';
import type { Joint, Part, Rig, Vec3 } from '../../../rig/rig.ts';
import { add, axisMatrix, dot, mulVecT, rpyMatrix, scale, sub } from '../../../rig/rotation.ts';
import { lanesOf } from '../../take/lanes.ts';
import { contourOf, cornersOf, shapeOf } from './bodies.ts';
import type { Paints } from './skin.ts';

/** Something on the moving plate, in its frame; `at` gives where it stands at an angle of its joint. */
export interface Feature {
  readonly mesh: THREE.Mesh;
  /** Among the rig's joints; -1: it stays. */
  readonly joint: number;
  readonly at: (angle_rad: number) => Frame;
  /** Of its outline, in its own frame, mm. */
  readonly points_mm: readonly Vec3[];
}

/** Ahead, left and up of the character, in the moving plate's frame. */
interface Ways {
  readonly ahead: Vec3;
  readonly left: Vec3;
  readonly up: Vec3;
}

function waysOf(rig: Rig): Ways {
  const mount = rpyMatrix(rig.platform?.mount.rpy_rad ?? [0, 0, 0]);
  const turned = (way: Vec3): Vec3 => mulVecT(mount, way);
  return { ahead: turned([1, 0, 0]), left: turned([0, 1, 0]), up: turned([0, 0, 1]) };
}

/** The point moved ahead to where it comes out of the head's ellipsoids. */
function surfaced(rig: Rig, point: Vec3, { ahead }: Ways): Vec3 {
  let most = 0;
  for (const part of rig.parts) {
    if (part.on !== 'moving' || !part.shape?.kind.startsWith('ellipsoid')) continue;
    const { radii_mm } = part.shape as { readonly radii_mm: Vec3 };
    const flat = (v: Vec3): Vec3 => [v[0] / radii_mm[0], v[1] / radii_mm[1], v[2] / radii_mm[2]];
    const [from, way] = [flat(sub(point, part.at_mm)), flat(ahead)];
    const [a, b, c] = [dot(way, way), dot(from, way), dot(from, from) - 1];
    if (c < 0) most = Math.max(most, (-b + Math.sqrt(b * b - a * c)) / a);
  }
  return add(point, scale(ahead, most));
}

const Y = new THREE.Vector3(0, 1, 0);

/** A horn from the origin along a way, mm. */
function horn(along: Vec3, length_mm: number, radius_mm: number, flat: number): THREE.BufferGeometry {
  const cone = new THREE.ConeGeometry(radius_mm, length_mm, 24).translate(0, length_mm / 2, 0).scale(1, 1, flat);
  const turn = new THREE.Quaternion().setFromUnitVectors(Y, new THREE.Vector3(...along).normalize());
  return cone.applyQuaternion(turn);
}

/** Swings about `axis` through `pivot_mm`, so many times its joint's angle. */
const swing =
  (pivot_mm: Vec3, axis: Vec3, times: number) =>
  (angle_rad: number): Frame => ({ turn: axisMatrix(axis, times * angle_rad), origin_mm: pivot_mm });

/** @param coarse the same with fewer corners, where it has very many: for its outline */
const feature = (
  geometry: THREE.BufferGeometry,
  paint: THREE.Material,
  joint: number,
  at: Feature['at'],
  coarse = geometry,
): Feature => ({
  mesh: new THREE.Mesh(geometry, paint),
  joint,
  at,
  points_mm: cornersOf(coarse),
});

interface Eyes {
  readonly radius_mm: number;
  /** Left and right, at the head's surface. */
  readonly centres_mm: readonly Vec3[];
}

/** Two balls within the part that is called eyes; null: there is none. */
function eyesOf(rig: Rig, ways: Ways): Eyes | null {
  const part = rig.parts.find(({ on, name }) => on === 'moving' && /eye/i.test(name));
  if (!part) return null;
  const half = (way: Vec3): number => halfExtent(part, way);
  const radius_mm = Math.min(half(ways.up), half(ways.left) / 2) * 1.15;
  const aside = Math.max(radius_mm * 1.05, half(ways.left) - radius_mm);
  const centres_mm = [1, -1].map((side) => {
    const at = surfaced(rig, add(part.at_mm, scale(ways.left, side * aside)), ways);
    return sub(at, scale(ways.ahead, radius_mm * 0.8));
  });
  return { radius_mm, centres_mm };
}

function halfExtent(part: Part, way: Vec3): number {
  const shape = shapeOf(part);
  if (shape.kind === 'box')
    return Math.abs(dot(shape.size_mm, [Math.abs(way[0]), Math.abs(way[1]), Math.abs(way[2])])) / 2;
  if (shape.kind === 'cylinder') return shape.radius_mm;
  return dot(shape.radii_mm, [Math.abs(way[0]), Math.abs(way[1]), Math.abs(way[2])]);
}

function eyeFeatures(rig: Rig, { radius_mm, centres_mm }: Eyes, ways: Ways, paints: Paints, turns: number): Feature[] {
  const name = rig.joints[turns]?.name ?? '';
  const axis = /pitch|tilt|up|vert/i.test(name) ? ways.left : ways.up;
  return centres_mm.map((centre) => {
    const ball = new THREE.SphereGeometry(radius_mm, 32, 24);
    const made = feature(ball, paints.white, turns, swing(centre, axis, 1));
    const pupil = new THREE.Mesh(new THREE.SphereGeometry(radius_mm * 0.62, 24, 16), paints.dark);
    pupil.position.set(...scale(ways.ahead, radius_mm * 0.46));
    made.mesh.add(pupil);
    return made;
  });
}

/** The pale round that a face has about each eye. */
function faceRounds({ radius_mm, centres_mm }: Eyes, ways: Ways, paints: Paints): Feature[] {
  return centres_mm.map((centre, i) => {
    const round = new THREE.SphereGeometry(radius_mm, 40, 24).scale(1.62, 0.34, 1.62);
    const outward = add(ways.ahead, scale(ways.left, i === 0 ? 0.3 : -0.3));
    const turn = new THREE.Quaternion().setFromUnitVectors(Y, new THREE.Vector3(...outward).normalize());
    const at = add(centre, scale(ways.ahead, radius_mm * 0.3));
    return feature(round.applyQuaternion(turn), paints.pale, -1, swing(at, ways.left, 0));
  });
}

/** How far the edge of a lid that is shut lies below straight ahead. */
const SHUT_RAD = 0.34;

/** Half a ball whose edge lies in the plane that is seen straight ahead, so far up from there. */
function cap(radius_mm: number, up_rad: number, { ahead, up }: Ways, corners = 32): THREE.BufferGeometry {
  const half = new THREE.SphereGeometry(radius_mm, corners, corners / 4, 0, 2 * Math.PI, 0, Math.PI / 2);
  const pole = add(scale(ahead, Math.cos(up_rad)), scale(up, Math.sin(up_rad)));
  return half.applyQuaternion(new THREE.Quaternion().setFromUnitVectors(Y, new THREE.Vector3(...pole)));
}

/** Over each eye half a ball, shut at 0 and lifted by its joint's angle, and one below that stays. */
function lids({ radius_mm, centres_mm }: Eyes, joint: number, ways: Ways, paints: Paints): Feature[] {
  const upper = cap(radius_mm * 1.1, Math.PI / 2 - SHUT_RAD, ways);
  const coarse = cap(radius_mm * 1.1, Math.PI / 2 - SHUT_RAD, ways, 16);
  const lower = cap(radius_mm * 1.08, -Math.PI / 2 - SHUT_RAD, ways);
  return centres_mm.flatMap((centre) => [
    feature(upper, paints.lid, joint, swing(centre, ways.left, -1), coarse),
    feature(lower, paints.lid, -1, swing(centre, ways.left, 0)),
  ]);
}

/** How long a joint's load is for the eye: it weighs at half of that. */
const lengthOf = ({ load }: Joint): number => 2 * (load?.arm_mm ?? 12);

function swinging(rig: Rig, joint: number, lane: string, ways: Ways, paints: Paints, eyes: Eyes | null): Feature[] {
  const one = rig.joints[joint]!;
  if (!one.at_mm) return [];
  if (lane === 'Lids' && eyes) return lids(eyes, joint, ways, paints);
  if (lane === 'Eyes' && eyes) return [];
  const length = lengthOf(one);
  if (lane === 'Ears') {
    const aside = headHalf(rig, ways.left) * 0.55;
    return [1, -1].map((side) => {
      const way = add(ways.up, scale(ways.left, 0.45 * side));
      const pivot = add(one.at_mm!, scale(ways.left, side * aside));
      const root = sub(pivot, scale(ways.up, length * 0.35));
      return feature(horn(way, length, length * 0.3, 0.55), paints.face, joint, swing(root, ways.left, 1));
    });
  }
  const at = surfaced(rig, one.at_mm, ways);
  if (lane === 'Mouth') {
    const root = sub(at, scale(ways.ahead, length * 0.3));
    const way = add(ways.ahead, scale(ways.up, -0.45));
    return [feature(horn(way, length * 0.75, length * 0.2, 0.9), paints.crank, joint, swing(root, ways.left, 1))];
  }
  return [feature(horn(ways.ahead, length, length * 0.3, 0.3), paints.face, joint, swing(at, ways.left, 1))];
}

function headHalf(rig: Rig, way: Vec3): number {
  const halves = rig.parts.filter(({ on, shape }) => on === 'moving' && shape).map((part) => halfExtent(part, way));
  return Math.max(10, ...halves);
}

/** A part called beak or bill, without a shape, is a horn that points ahead and down. */
function beak(rig: Rig, part: Part, ways: Ways, paints: Paints): Feature {
  const radius = halfExtent(part, ways.ahead);
  const root = sub(surfaced(rig, part.at_mm, ways), scale(ways.ahead, radius * 0.35));
  const way = add(ways.ahead, scale(ways.up, -0.75));
  return feature(
    horn(way, radius * 1.5, radius * 0.46, 0.9),
    paints.face,
    -1,
    swing(add(root, scale(ways.up, radius * 0.3)), ways.left, 0),
  );
}

/** Whether a part is drawn as a feature rather than as its body. */
export const isFeature = (part: Part): boolean =>
  part.on === 'moving' && part.shape === null && /beak|bill/i.test(part.name);

/** All features of the moving plate; none without a platform. */
export function featuresOf(rig: Rig, paints: Paints): Feature[] {
  if (!rig.platform) return [];
  const ways = waysOf(rig);
  const eyes = eyesOf(rig, ways);
  const laneOf = (name: string): string =>
    lanesOf(rig).find(({ columns }) => columns.includes(`${name}_deg`))?.name ?? '';
  const turnsEyes = rig.joints.findIndex(({ name, kind, axis }) => kind === 'axis' && !axis && laneOf(name) === 'Eyes');
  const all = [
    ...(eyes ? [...faceRounds(eyes, ways, paints), ...eyeFeatures(rig, eyes, ways, paints, turnsEyes)] : []),
    ...rig.parts.filter(isFeature).map((part) => beak(rig, part, ways, paints)),
    ...rig.joints.flatMap(({ kind, axis, name }, i) =>
      kind === 'axis' && !axis ? swinging(rig, i, laneOf(name), ways, paints, eyes) : [],
    ),
  ];
  for (const { mesh } of all) mesh.add(new THREE.Mesh(contourOf(mesh.geometry), paints.contour));
  return all;
}

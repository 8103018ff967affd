/**
 * Room between the bodies of a platform at a pose: cranks and rods as capsules (segments with a thickness), servos' bodies as boxes,
 * the two plates as discs. What is joined is not looked at: a crank and its own rod, a crank and its own servo. Parts that ride along
 * are not known here. mm, in the base's frame.
 */
import type { Clearance } from '../../rig/clearance.ts';
import { legVector } from '../../rig/legs.ts';
import { plateRadius_mm } from '../../rig/plates.ts';
import type { Leg, Platform, Pose, Vec3 } from '../../rig/rig.ts';
import { add, dot, mulVec, mulVecT, rpyMatrix, scale, sub } from '../../rig/rotation.ts';
import { faceBehindRod_mm, inwardAlongShaft } from '../../rig/servo-body.ts';
import { boxToBox, boxToDisc, segmentToBox } from './boxes.ts';

interface Capsule {
  readonly name: string;
  readonly kind: 'crank' | 'rod';
  readonly leg: number;
  readonly from: Vec3;
  readonly to: Vec3;
  readonly radius: number;
}

/** Two bodies, and how much room is between them; below 0: they touch. */
export interface Room {
  readonly mm: number;
  readonly between: readonly [string, string];
}

/** The least room between two bodies where legs with these coordinates (rad or mm) hold the plate at a pose. */
export function roomAt(platform: Platform, clearance: Clearance, coordinates: ArrayLike<number>, pose: Pose): Room {
  const capsules = [0, 1, 2, 3, 4, 5].flatMap((i) => legCapsules(platform, clearance, i, coordinates[i]!, pose));
  const rooms = capsules.flatMap((one, k) =>
    capsules.slice(0, k).flatMap((other): Room[] => {
      if (one.leg === other.leg) return [];
      return [{ mm: segmentDistance(one, other) - one.radius - other.radius, between: [other.name, one.name] }];
    }),
  );
  const others =
    platform.drive === 'crank'
      ? [
          ...capsules.flatMap((one) => plateRooms(platform, clearance, one, pose)),
          ...servoRooms(platform, clearance, capsules, pose),
        ]
      : [];
  return [...rooms, ...others].reduce((least, room) => (room.mm < least.mm ? room : least));
}

const nameOf = (i: number, what: string): string => `leg${String(i + 1)}’s ${what}`;

function legCapsules(platform: Platform, clearance: Clearance, i: number, at: number, pose: Pose): Capsule[] {
  const { base_mm: base, azimuth_rad } = platform.legs[i]!;
  const rod = clearance.rod_thick_mm / 2;
  const end = add(base, legVector(platform, i, pose));
  if (platform.drive === 'linear')
    return [{ name: nameOf(i, 'actuator'), kind: 'rod', leg: i, from: base, to: end, radius: rod }];
  const [x, y] = [Math.cos(azimuth_rad), Math.sin(azimuth_rad)];
  const reach = platform.crank_mm * Math.cos(at);
  const tip = add(base, [reach * x, reach * y, platform.crank_mm * Math.sin(at)]);
  const horn = clearance.horn_thick_mm / 2;
  const beside = scale([-y, x, 0], (rod + horn) * inwardAlongShaft(base[0], base[1], x, y));
  return [
    { name: nameOf(i, 'crank'), kind: 'crank', leg: i, from: add(base, beside), to: add(tip, beside), radius: horn },
    { name: nameOf(i, 'rod'), kind: 'rod', leg: i, from: tip, to: end, radius: rod },
  ];
}

/** Of the servos' bodies: to cranks and rods, to each other and to the moving plate. */
function servoRooms(
  platform: Platform,
  clearance: Clearance,
  capsules: readonly Capsule[],
  pose: Pose,
): readonly Room[] {
  const plate = plateDisc(platform, clearance, pose);
  const boxes = platform.legs.map((leg) => servoBox(leg, clearance));
  return boxes.flatMap((box, i): Room[] => {
    const name = nameOf(i, 'servo');
    const bars = capsules.filter(({ kind, leg }) => kind === 'rod' || leg !== i);
    return [
      ...bars.map((one): Room => {
        const segment = Float64Array.of(...one.from, ...one.to);
        return { mm: segmentToBox(segment, 0, box, 0) - one.radius, between: [one.name, name] };
      }),
      ...boxes
        .slice(0, i)
        .map((other, k): Room => ({ mm: boxToBox(box, 0, other, 0), between: [nameOf(k, 'servo'), name] })),
      { mm: boxToDisc(box, 0, plate), between: [name, 'the moving plate'] },
    ];
  });
}

/** The body of a leg's servo (boxes.ts). */
export function servoBox({ base_mm: [x, y, z], azimuth_rad }: Leg, clearance: Clearance): Float64Array {
  const [long, high, deep] = clearance.servo_body_mm;
  const [ux, uy] = [Math.cos(azimuth_rad), Math.sin(azimuth_rad)];
  const middle = (faceBehindRod_mm(clearance) + deep / 2) * inwardAlongShaft(x, y, ux, uy);
  return Float64Array.of(x - middle * uy, y + middle * ux, z, ux, uy, long / 2, deep / 2, high / 2);
}

/** Ends of cranks over the base plate's face, and beneath the moving plate's, or beside its rim. */
function plateRooms(platform: Platform, clearance: Clearance, one: Capsule, pose: Pose): Room[] {
  const { kind, leg, from, radius } = one;
  // A crank's end is where its rod begins.
  if (kind === 'crank') return [];
  const body = nameOf(leg, 'crank');
  const floor = platform.legs[leg]!.base_mm[2] - clearance.axes_above_base_mm;
  return [
    { mm: beneathPlate(platform, clearance, from, pose) - radius, between: [body, 'the moving plate'] },
    { mm: from[2] - floor - radius, between: [body, 'the base plate'] },
  ];
}

/** Where the plate's own frame is at a pose: a point fixed in it, and its axes as columns. */
function plateAt({ mount, pivot_mm, home_z_mm }: Platform, pose: Pose) {
  const turn = rpyMatrix([pose[3], pose[4], pose[5]]);
  const carrier = rpyMatrix(mount.rpy_rad);
  const pivot = add(add(pivot_mm, [0, 0, home_z_mm]), mulVecT(carrier, [pose[0], pose[1], pose[2]]));
  const toBase = (own: Vec3): Vec3 => mulVecT(carrier, mulVec(turn, mulVec(carrier, own)));
  const toOwn = (way: Vec3): Vec3 => mulVecT(carrier, mulVecT(turn, mulVec(carrier, way)));
  return { pivot, toBase, toOwn };
}

/** The moving plate's face: see boxes.ts. */
function plateDisc(platform: Platform, { plate_below_studs_mm: below }: Clearance, pose: Pose): Float64Array {
  const { pivot, toBase } = plateAt(platform, pose);
  const middle = add(pivot, toBase(sub([0, 0, -below], platform.pivot_mm)));
  return Float64Array.of(...middle, ...toBase([0, 0, 1]), plateRadius_mm(platform, 'moving'));
}

function beneathPlate(platform: Platform, clearance: Clearance, point: Vec3, pose: Pose): number {
  const { pivot, toOwn } = plateAt(platform, pose);
  const [x, y, z] = add(toOwn(sub(point, pivot)), platform.pivot_mm);
  const beside = Math.hypot(x, y) - plateRadius_mm(platform, 'moving');
  const high = z + clearance.plate_below_studs_mm;
  return beside <= 0 ? -high : Math.hypot(beside, high);
}

/** Ericson, Real-Time Collision Detection (2005), 5.1.9. */
function segmentDistance(one: Capsule, other: Capsule): number {
  const [u, v, w] = [sub(one.to, one.from), sub(other.to, other.from), sub(one.from, other.from)];
  const [uu, vv, uv, uw, vw] = [dot(u, u), dot(v, v), dot(u, v), dot(u, w), dot(v, w)];
  const within = (x: number): number => Math.min(1, Math.max(0, x));
  const sine2 = uu * vv - uv * uv;
  const along = sine2 > PARALLEL * uu * vv ? within((uv * vw - vv * uw) / sine2) : 0;
  const t = vv > 0 ? within((uv * along + vw) / vv) : 0;
  const s = uu > 0 ? within((uv * t - uw) / uu) : 0;
  return Math.hypot(...add(w, sub(scale(u, s), scale(v, t))));
}

/** sin² of the angle between two lines below which they count as parallel. */
const PARALLEL = 1e-14;

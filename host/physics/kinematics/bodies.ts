/**
 * Room between the bodies of a platform at a pose: servo bodies, cranks and rods as capsules (segments with a thickness), the two
 * plates as discs. What is joined is not looked at: a crank and its own rod, a crank and its own servo. Parts that ride along are not
 * known here. A servo's body is round at its long edges: capsules side by side along its shaft, no further apart than it is thick. mm,
 * in the base's frame.
 */
import type { Clearance } from '../../rig/clearance.ts';
import { legVector } from '../../rig/legs.ts';
import type { Platform, Pose, Vec3 } from '../../rig/rig.ts';
import { add, cross, dot, mulVec, mulVecT, rpyMatrix, scale, sub } from '../../rig/rotation.ts';

interface Capsule {
  readonly name: string;
  readonly kind: 'crank' | 'rod' | 'servo';
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

/** Capsules of a servo's body at most. */
const MOST = 4;

/** The least room between two bodies where legs with these coordinates (rad or mm) hold the plate at a pose. */
export function roomAt(platform: Platform, clearance: Clearance, coordinates: ArrayLike<number>, pose: Pose): Room {
  const capsules = [0, 1, 2, 3, 4, 5].flatMap((i) => legCapsules(platform, clearance, i, coordinates[i]!, pose));
  const rooms = capsules.flatMap((one, k) =>
    capsules.slice(0, k).flatMap((other): Room[] => {
      if (!areApart(one, other)) return [];
      return [{ mm: segmentDistance(one, other) - one.radius - other.radius, between: [other.name, one.name] }];
    }),
  );
  const plates =
    platform.drive === 'crank' ? capsules.flatMap((one) => plateRooms(platform, clearance, one, pose)) : [];
  return [...rooms, ...plates].reduce((least, room) => (room.mm < least.mm ? room : least));
}

/** A crank is joined to its own rod and its own servo; servo to servo of one leg is one body. */
function areApart(one: Capsule, other: Capsule): boolean {
  if (one.leg !== other.leg) return true;
  return one.kind !== other.kind && one.kind !== 'crank' && other.kind !== 'crank';
}

function legCapsules(platform: Platform, clearance: Clearance, i: number, at: number, pose: Pose): Capsule[] {
  const { base_mm: base, azimuth_rad } = platform.legs[i]!;
  const name = (what: string): string => `leg${String(i + 1)}’s ${what}`;
  const rod = clearance.rod_thick_mm / 2;
  const end = add(base, legVector(platform, i, pose));
  if (platform.drive === 'linear')
    return [{ name: name('actuator'), kind: 'rod', leg: i, from: base, to: end, radius: rod }];
  const u: Vec3 = [Math.cos(azimuth_rad), Math.sin(azimuth_rad), 0];
  const reach = platform.crank_mm * Math.cos(at);
  const tip = add(base, [reach * u[0], reach * u[1], platform.crank_mm * Math.sin(at)]);
  // Along the shaft, toward the middle of the base.
  const shaft = cross([0, 0, 1], u);
  const inward = scale(shaft, dot(shaft, base) > 0 ? -1 : 1);
  const horn = clearance.horn_thick_mm / 2;
  const beside = scale(inward, rod + horn);
  return [
    { name: name('crank'), kind: 'crank', leg: i, from: add(base, beside), to: add(tip, beside), radius: horn },
    { name: name('rod'), kind: 'rod', leg: i, from: tip, to: end, radius: rod },
    ...servoCapsules(clearance, base, u, inward).map((one) => ({
      ...one,
      name: name('servo'),
      kind: 'servo' as const,
      leg: i,
    })),
  ];
}

function servoCapsules(
  { servo_body_mm: [long, thick, deep], horn_thick_mm, rod_thick_mm }: Clearance,
  base: Vec3,
  u: Vec3,
  inward: Vec3,
) {
  const radius = Math.min(long, thick, deep) / 2;
  const count = Math.min(MOST, Math.max(1, Math.ceil(long / (2 * radius) - 1e-9)));
  const face = rod_thick_mm / 2 + horn_thick_mm;
  return Array.from({ length: count }, (_, m) => {
    const off = count === 1 ? 0 : (long - 2 * radius) * (m / (count - 1) - 0.5);
    const middle = add(base, scale(u, off));
    return {
      from: add(middle, scale(inward, face + radius)),
      to: add(middle, scale(inward, face + deep - radius)),
      radius,
    };
  });
}

/** Cranks' ends over the base plate's face; cranks' ends and servos beneath the moving plate's, or beside its rim. */
function plateRooms(platform: Platform, clearance: Clearance, one: Capsule, pose: Pose): Room[] {
  const { kind, name, leg } = one;
  if (kind === 'crank') return [];
  // A crank's end is where its rod begins.
  const [points, body] = kind === 'rod' ? [[one.from], `leg${String(leg + 1)}’s crank`] : [[one.from, one.to], name];
  const rooms = points.map((point): Room => ({
    mm: beneathPlate(platform, clearance, point, pose) - one.radius,
    between: [body, 'the moving plate'],
  }));
  if (kind === 'servo') return rooms;
  const floor = platform.legs[leg]!.base_mm[2] - clearance.axes_above_base_mm;
  return [...rooms, { mm: one.from[2] - floor - one.radius, between: [body, 'the base plate'] }];
}

function beneathPlate(
  { legs, mount, pivot_mm, home_z_mm }: Platform,
  clearance: Clearance,
  point: Vec3,
  pose: Pose,
): number {
  const turn = rpyMatrix([pose[3], pose[4], pose[5]]);
  const carrier = rpyMatrix(mount.rpy_rad);
  const pivot = add(add(pivot_mm, [0, 0, home_z_mm]), mulVecT(carrier, [pose[0], pose[1], pose[2]]));
  const off = mulVecT(carrier, mulVecT(turn, mulVec(carrier, sub(point, pivot))));
  const [x, y, z] = add(off, pivot_mm);
  const beside = Math.hypot(x, y) - Math.max(...legs.map(({ moving_mm: at }) => Math.hypot(at[0], at[1])));
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

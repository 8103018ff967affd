/**
 * Where everything of a rig stands in the world: world, carrying joints, base plate, moving plate, each frame in the one
 * that carries it. Lengths mm, angles rad, world x forward, y left, z up.
 */
import { type Joint, type Platform, type Pose, type Rig, type Vec3 } from '../../rig/rig.ts';
import {
  add,
  axisMatrix,
  IDENTITY,
  type Mat3,
  mulMat,
  mulVec,
  mulVecT,
  rpyMatrix,
  scale,
  sub,
  transpose,
} from '../../rig/rotation.ts';

/** A frame as the world sees it: v in the frame is origin + turn·v in the world. */
export interface Frame {
  readonly turn: Mat3;
  readonly origin_mm: Vec3;
}

export const WORLD: Frame = { turn: IDENTITY, origin_mm: [0, 0, 0] };

/** A point of a frame, in the world. */
export const inWorld = (frame: Frame, point: Vec3): Vec3 => add(frame.origin_mm, mulVec(frame.turn, point));

const within = (outer: Frame, inner: Frame): Frame => ({
  turn: mulMat(outer.turn, inner.turn),
  origin_mm: inWorld(outer, inner.origin_mm),
});

/** The moving plate in the base's frame: R and t turned into it by the mount, rotation about the pivot. */
function movingInBase(platform: Platform, pose: Pose): Frame {
  const mount = rpyMatrix(platform.mount.rpy_rad);
  const turn = mulMat(transpose(mount), mulMat(rpyMatrix([pose[3], pose[4], pose[5]]), mount));
  const shift = mulVecT(mount, [pose[0], pose[1], pose[2]]);
  const pivot = platform.pivot_mm;
  const origin = add(add([0, 0, platform.home_z_mm], shift), sub(pivot, mulVec(turn, pivot)));
  return { turn, origin_mm: origin };
}

const unit = (v: Vec3): Vec3 => scale(v, 1 / (Math.hypot(...v) || 1));

/** A joint's moving frame in its carrier's: the carrier's own at coordinate 0, turned about the axis by the coordinate. */
function turned({ at_mm, along }: NonNullable<Joint['axis']>, angle_rad: number): Frame {
  const turn = axisMatrix(unit(along), angle_rad);
  return { turn, origin_mm: sub(at_mm, mulVec(turn, at_mm)) };
}

/**
 * Every frame by name: `ground`, each axis joint with a place in space, `base`, and `moving` unless the pose is null.
 * Coordinates by joint in the rig's order; null stands at home. `ground` is where the world stands for who looks at it.
 */
export function framesOf(
  rig: Rig,
  coordinates: readonly (number | null)[],
  pose: Pose | null,
  ground: Frame = WORLD,
): ReadonlyMap<string, Frame> {
  const frames = new Map<string, Frame>([['ground', ground]]);
  const carried = (on: string | null): Frame => frames.get(on ?? 'ground') ?? place(on ?? 'ground');
  const place = (name: string): Frame => {
    const i = rig.joints.findIndex((joint) => joint.name === name);
    const joint = rig.joints[i];
    if (!joint?.axis) return ground;
    const frame = within(carried(joint.axis.on), turned(joint.axis, coordinates[i] ?? joint.home));
    frames.set(name, frame);
    return frame;
  };
  if (rig.platform) {
    const { on, mount } = rig.platform;
    const base = within(carried(on), {
      turn: rpyMatrix(mount.rpy_rad),
      origin_mm: mount.at_mm,
    });
    frames.set('base', base);
    if (pose) frames.set('moving', within(base, movingInBase(rig.platform, pose)));
  }
  for (const joint of rig.joints) if (joint.axis) carried(joint.name);
  return frames;
}

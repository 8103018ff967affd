/**
 * Cranks, rods and the arms of axes: what carries the load, as thick as the share of its torque that its joint uses. A bar across
 * shows how thick it may stay for long (continuous_use); past 1 it is hatched; what stops the asked pose has the stop's colour.
 */
import * as THREE from 'three';
import type { Frame } from '../../../report/draw/frames.ts';
import { inWorld } from '../../../report/draw/frames.ts';
import { geometryOf, startOf } from '../../../physics/kinematics/geometry.ts';
import { type Platform, type Rig, type Vec3 } from '../../../rig/rig.ts';
import { sub } from '../../../rig/rotation.ts';
import type { Paints } from './skin.ts';

/** Where a limb begins and ends in the world, mm; null: not known. */
export type Ends = readonly [Vec3, Vec3] | null;

export interface Limb {
  /** Among the rig's joints. */
  readonly joint: number;
  readonly kind: 'crank' | 'rod' | 'arm';
  readonly ends: (frames: ReadonlyMap<string, Frame>, coordinates: ArrayLike<number>) => Ends;
}

/** How much thicker at full use. */
const MORE = 2;

/** Times its thickness at rest; unknown use (NaN) shows none, past 1 no more than at 1. */
export const thickness = (use: number): number => 1 + MORE * (use > 0 ? Math.min(1, use) : 0);

function legEnds(platform: Platform, i: number): Record<'crank' | 'rod', Limb['ends']> {
  const leg = platform.legs[i]!;
  const placed = geometryOf(platform).legs[i]!;
  const tip = (frames: ReadonlyMap<string, Frame>, coordinate: number): Vec3 | null => {
    const base = frames.get('base');
    const carrier = frames.get(platform.on ?? 'ground');
    if (!base || !carrier) return null;
    return inWorld({ turn: carrier.turn, origin_mm: base.origin_mm }, startOf(platform, placed, coordinate));
  };
  return {
    crank: (frames, coordinates) => {
      const base = frames.get('base');
      const end = tip(frames, coordinates[i]!);
      return base && end ? [inWorld(base, leg.base_mm), end] : null;
    },
    rod: (frames, coordinates) => {
      const moving = frames.get('moving');
      const from = tip(frames, coordinates[i]!);
      return moving && from ? [from, inWorld(moving, leg.moving_mm)] : null;
    },
  };
}

/** What an axis carries at the end of an arm: its parts, other axes, the platform; in its own frame. */
function armsOf(rig: Rig, name: string): Vec3[] {
  const parts = rig.parts.filter(({ on }) => on === name).map(({ at_mm }) => at_mm);
  const axes = rig.joints.flatMap(({ axis }) => (axis?.on === name ? [axis.at_mm] : []));
  return rig.platform?.on === name ? [...parts, ...axes, rig.platform.mount.at_mm] : [...parts, ...axes];
}

/** Every limb of the rig. */
export function limbsOf(rig: Rig): Limb[] {
  const { platform } = rig;
  const legs = (platform?.legs ?? []).flatMap((_, joint): Limb[] => {
    const { crank, rod } = legEnds(platform!, joint);
    return [
      ...(platform!.drive === 'crank' ? [{ joint, kind: 'crank', ends: crank } as const] : []),
      { joint, kind: 'rod', ends: rod },
    ];
  });
  const arms = rig.joints.flatMap(({ axis, name }, joint): Limb[] =>
    axis
      ? armsOf(rig, name).map((at): Limb => ({
          joint,
          kind: 'arm',
          ends: (frames) => {
            const frame = frames.get(name);
            return frame ? [inWorld(frame, axis.at_mm), inWorld(frame, at)] : null;
          },
        }))
      : [],
  );
  return [...legs, ...arms];
}

const RADII = { crank: 2.3, rod: 1.3, arm: 2.6 } as const;
const Y = new THREE.Vector3(0, 1, 0);

/** A limb as it is drawn. */
export class LimbMesh {
  readonly object = new THREE.Group();
  readonly limb: Limb;
  private readonly bar: THREE.Mesh;
  private readonly notch: THREE.Mesh;
  private readonly paints: Paints;
  private readonly radius_mm: number;
  private readonly along = new THREE.Vector3();
  private readonly toEye = new THREE.Vector3();
  private readonly across = new THREE.Vector3();
  private readonly basis = new THREE.Matrix4();

  /** @param size of the rig, 1 for one as large as two hands; @param allowed its servo's continuous_use */
  constructor(limb: Limb, size: number, allowed: number, paints: Paints) {
    this.limb = limb;
    this.paints = paints;
    this.radius_mm = RADII[limb.kind] * size;
    this.bar = new THREE.Mesh(new THREE.CylinderGeometry(1, 1, 1, 14), paints[limb.kind]);
    const wide = 2 * this.radius_mm * thickness(allowed);
    this.notch = new THREE.Mesh(new THREE.BoxGeometry(wide, 0.9 * size, 0.2 * size), paints.notch);
    this.object.add(this.bar, this.notch);
  }

  /** @param eye in the world, mm */
  update(ends: Ends, use: number, isStopped: boolean, eye: THREE.Vector3): void {
    const { bar, notch, along } = this;
    const length = ends ? Math.hypot(...sub(ends[1], ends[0])) : 0;
    this.object.visible = length > 1e-6;
    if (!ends || !this.object.visible) return;
    const radius = this.radius_mm * thickness(use);
    along.set(...sub(ends[1], ends[0])).divideScalar(length);
    bar.position.set(...ends[0]).addScaledVector(along, length / 2);
    bar.quaternion.setFromUnitVectors(Y, along);
    bar.scale.set(radius, length, radius);
    bar.material = use > 1 ? this.paints.short : isStopped ? this.paints.stopped : this.paints[this.limb.kind];
    notch.visible = use >= 0 && this.limb.kind !== 'crank';
    if (notch.visible) this.placeNotch(radius, eye);
  }

  /** In front of the limb's middle, for this eye. */
  private placeNotch(radius: number, eye: THREE.Vector3): void {
    const { notch, along, toEye, across, basis } = this;
    notch.position.copy(this.bar.position);
    toEye.subVectors(eye, notch.position).normalize();
    across.crossVectors(along, toEye).normalize();
    toEye.crossVectors(across, along).normalize();
    notch.quaternion.setFromRotationMatrix(basis.makeBasis(across, along, toEye));
    notch.position.addScaledVector(toEye, radius + 0.3);
  }
}

/** The whole prop as a scene: built once from its rig, put where its joints and its pose are as often as they change. mm, rad. */
import * as THREE from 'three';
import { geometryOf, startOf } from '../../../physics/kinematics/geometry.ts';
import { type Frame, framesOf, inWorld } from '../../../report/draw/frames.ts';
import { mulMat } from '../../../rig/rotation.ts';
import { HOME, type MeshShape, type Part, type Pose, type Rig, type Vec3 } from '../../../rig/rig.ts';
import { type Outline, bodyMesh, isWithin, outlineOf, showMesh } from './bodies.ts';
import { type Feature, featuresOf, isFeature } from './features.ts';
import { LimbMesh, limbsOf } from './limbs.ts';
import { marksOf } from './outline.ts';
import type { Paints } from './skin.ts';

/** How the prop stands. */
export interface Stance {
  /** By joint of the rig; NaN stands at home. */
  readonly coordinates: ArrayLike<number>;
  readonly pose: Pose | null;
}

/** A body that is outlined, and in which frame; features have the frame of where their joint has them. */
export interface Outlined {
  readonly name: string;
  readonly outline: Outline;
  /** By which two stances of it are told apart, mm. */
  readonly marks_mm: readonly Vec3[];
  readonly frame: (frames: ReadonlyMap<string, Frame>, coordinates: ArrayLike<number>) => Frame | null;
}

export function framesAt(rig: Rig, { coordinates, pose }: Stance): ReadonlyMap<string, Frame> {
  const known = rig.joints.map((_, i) => (Number.isFinite(coordinates[i]) ? coordinates[i]! : null));
  return framesOf(rig, known, rig.platform ? pose : HOME);
}

/** Two hands: a base of this radius is drawn with lines of size 1, mm. */
const USUAL_MM = 70;

export function sizeOf({ platform, parts }: Rig): number {
  const reaches = platform
    ? platform.legs.map(({ base_mm }) => Math.hypot(...base_mm))
    : parts.map(({ at_mm }) => Math.hypot(...at_mm) / 3);
  return Math.max(0.15, ...reaches.map((reach) => reach / USUAL_MM));
}

const within = (outer: Frame, inner: Frame): Frame => ({
  turn: mulMat(outer.turn, inner.turn),
  origin_mm: inWorld(outer, inner.origin_mm),
});

function setFrame(object: THREE.Object3D, { turn: t, origin_mm: o }: Frame): void {
  object.matrix.set(t[0], t[1], t[2], o[0], t[3], t[4], t[5], o[1], t[6], t[7], t[8], o[2], 0, 0, 0, 1);
  object.matrixWorldNeedsUpdate = true;
}

export class PropScene {
  readonly root = new THREE.Group();
  /** What a hand takes hold of. */
  readonly head = new THREE.Group();
  readonly ticks = new THREE.Group();
  readonly outlined: readonly Outlined[];
  /** Without the parts that are not fitted: they are left out, as in the drawings. */
  readonly rig: Rig;
  /** Where its carriers stand since the last update. */
  frames: ReadonlyMap<string, Frame> = new Map();
  private readonly carriers = new Map<string, THREE.Group>();
  private readonly parts = new Map<string, THREE.Mesh>();
  private readonly limbs: readonly LimbMesh[];
  private readonly features: readonly Feature[];
  private lastPose: Pose = HOME;

  constructor(whole: Rig, paints: Paints) {
    const rig: Rig = { ...whole, parts: whole.parts.filter(({ fitted }) => fitted) };
    this.rig = rig;
    const size = sizeOf(rig);
    this.features = featuresOf(rig, paints);
    this.limbs = limbsOf(rig).map(
      (limb) => new LimbMesh(limb, size, rig.joints[limb.joint]!.servo.continuous_use, paints),
    );
    this.addParts(paints);
    for (const { mesh } of this.features) this.carrier('moving').add(mesh);
    for (const { mesh } of this.features) mesh.matrixAutoUpdate = false;
    this.root.add(this.head, this.ticks, ...this.limbs.map(({ object }) => object));
    this.addTicks(size, paints);
    this.outlined = [...this.bodies(), ...this.swinging()];
  }

  /** A platform's head is what is on its plate; without one, all that an axis carries. */
  isHead(on: string): boolean {
    return this.rig.platform ? on === 'moving' : on !== 'ground';
  }

  private carrier(name: string): THREE.Group {
    const known = this.carriers.get(name);
    if (known) return known;
    const group = new THREE.Group();
    group.matrixAutoUpdate = false;
    group.name = name;
    this.carriers.set(name, group);
    (this.isHead(name) ? this.head : this.root).add(group);
    return group;
  }

  private addParts(paints: Paints): void {
    for (const part of this.rig.parts.filter((one) => !isFeature(one))) {
      const body = bodyMesh(part, paints, this.isHead(part.on));
      this.parts.set(part.name, body);
      this.carrier(part.on).add(body);
    }
  }

  /** Draws the parts with this mesh by it; their outlines stay those of their boxes. Returns what is drawn otherwise now. */
  showMesh(file: string, mesh: THREE.BufferGeometry): THREE.Mesh[] {
    return this.rig.parts.flatMap(({ name, shape }) => {
      const body = shape?.kind === 'mesh' && shape.file === file ? this.parts.get(name) : undefined;
      return body ? showMesh(body, shape as MeshShape, mesh.clone()) : [];
    });
  }

  private bodies(): Outlined[] {
    const { parts } = this.rig;
    const isHidden = (part: Part): boolean => parts.some((other) => isWithin(part, other));
    const shown = parts.filter((part) => this.isHead(part.on) && !isFeature(part) && !isHidden(part));
    return shown.map((part) => {
      const outline = outlineOf(part);
      return { name: part.name, outline, marks_mm: marksOf(outline), frame: (frames) => frames.get(part.on) ?? null };
    });
  }

  private swinging(): Outlined[] {
    const moved = this.features.filter(({ joint }) => joint >= 0);
    return moved.map(({ points_mm, at, joint }) => {
      const outline = { kind: 'corners', points_mm } as const;
      return {
        name: this.rig.joints[joint]!.name,
        outline,
        marks_mm: marksOf(outline),
        frame: (frames, coordinates) => {
          const moving = frames.get('moving');
          return moving ? within(moving, at(angleOf(coordinates, joint))) : null;
        },
      };
    });
  }

  /** Two short bars where each crank's tip turns back: at its soft limits. On the base's carrier. */
  private addTicks(size: number, paints: Paints): void {
    const { platform, joints } = this.rig;
    this.ticks.visible = false;
    this.ticks.matrixAutoUpdate = false;
    if (platform?.drive !== 'crank') return;
    geometryOf(platform).legs.forEach((leg, i) => {
      for (const end of [joints[i]!.lo, joints[i]!.hi]) {
        const bar = new THREE.Mesh(new THREE.BoxGeometry(1.2 * size, 9 * size, 1.2 * size), paints.tick);
        const tip = new THREE.Vector3(...startOf(platform, leg, end));
        const out = tip
          .clone()
          .sub(new THREE.Vector3(...leg.base_mm))
          .normalize();
        bar.position.copy(tip);
        bar.quaternion.setFromUnitVectors(new THREE.Vector3(0, 1, 0), out);
        this.ticks.add(bar);
      }
    });
  }

  /**
   * @param use by joint; NaN: unknown. @param stopped the joint that keeps the asked pose from being reached
   * @param eye_mm in the world
   */
  update(stance: Stance, use: ArrayLike<number>, stopped: string | null, eye_mm: Vec3): void {
    const { rig } = this;
    this.lastPose = stance.pose ?? this.lastPose;
    const frames = (this.frames = framesAt(rig, { ...stance, pose: this.lastPose }));
    for (const [name, group] of this.carriers) setFrame(group, frames.get(name) ?? frames.get('ground')!);
    for (const { mesh, at, joint } of this.features) setFrame(mesh, at(angleOf(stance.coordinates, joint)));
    const carrier = frames.get(rig.platform?.on ?? 'ground')!;
    setFrame(this.ticks, { turn: carrier.turn, origin_mm: frames.get('base')?.origin_mm ?? [0, 0, 0] });
    const eye = new THREE.Vector3(...eye_mm);
    for (const mesh of this.limbs) {
      const { joint, ends } = mesh.limb;
      mesh.update(ends(frames, stance.coordinates), use[joint] ?? NaN, rig.joints[joint]!.name === stopped, eye);
    }
  }
}

const angleOf = (coordinates: ArrayLike<number>, joint: number): number => {
  const at = coordinates[joint] ?? 0;
  return joint >= 0 && Number.isFinite(at) ? at : 0;
};

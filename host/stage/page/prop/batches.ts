/**
 * The prop in a handful of draw calls: what its scene holds as a mesh each is drawn as instances of a few batches, one a kind of
 * material. The scene itself is not drawn: it says where everything stands.
 */
import * as THREE from 'three';
import type { Paints } from './skin.ts';

type Solid = THREE.Mesh<THREE.BufferGeometry, THREE.Material & { color: THREE.Color }>;
type Kind = 'lit' | 'plain' | 'contour' | 'body';

interface Instance {
  readonly of: Solid;
  readonly batch: THREE.BatchedMesh;
  readonly id: number;
  /** Whether it has a colour of its own; a contour and a looked-through body have their batch's. */
  readonly isTinted: boolean;
  readonly colour: THREE.Color;
  /** As it was drawn last: a batch in which nothing has changed is not sent again. */
  readonly stands: THREE.Matrix4;
  isShown: boolean;
  /** Drawn instead while its material fits no batch, or for good since its shape has changed. */
  twin: THREE.Mesh | null;
  isAlone: boolean;
}

function kindOf(material: THREE.Material, paints: Paints): Kind {
  if (material === paints.contour) return 'contour';
  if (material === paints.body) return 'body';
  return material instanceof THREE.MeshLambertMaterial ? 'lit' : 'plain';
}

const isSeen = (one: THREE.Object3D | null): boolean => one === null || (one.visible && isSeen(one.parent));

function batchOf(solids: readonly Solid[], material: THREE.Material): THREE.BatchedMesh {
  const shapes = new Set(solids.map(({ geometry }) => geometry));
  const sum = (count: (of: THREE.BufferGeometry) => number): number =>
    [...shapes].reduce((all, shape) => all + count(shape), 0);
  const corners = sum((of) => of.getAttribute('position').count);
  const batch = new THREE.BatchedMesh(
    solids.length,
    corners,
    sum((of) => of.index?.count ?? 0),
    material,
  );
  // All of it is in view, and no instance hides behind another that is looked through.
  batch.frustumCulled = batch.perObjectFrustumCulled = batch.sortObjects = false;
  return batch;
}

export class Batches {
  /** What is to be drawn. */
  readonly drawn = new THREE.Group();
  private readonly root: THREE.Object3D;
  private readonly paints: Paints;
  private readonly instances: Instance[] = [];
  private readonly lines: { readonly of: THREE.Object3D; readonly twin: THREE.Object3D }[] = [];

  constructor(root: THREE.Object3D, paints: Paints) {
    this.root = root;
    this.paints = paints;
    const solids = new Map<Kind, Solid[]>();
    root.traverse((one) => {
      if (one instanceof THREE.Mesh) {
        const kind = kindOf((one as Solid).material, paints);
        solids.set(kind, [...(solids.get(kind) ?? []), one as Solid]);
      } else if (one instanceof THREE.LineSegments) this.lines.push({ of: one, twin: this.twinOf(one) });
    });
    for (const [kind, all] of solids) this.add(kind, all);
  }

  private add(kind: Kind, solids: readonly Solid[]): void {
    const { paints } = this;
    const isTinted = kind === 'lit' || kind === 'plain';
    const own = { lit: THREE.MeshLambertMaterial, plain: THREE.MeshBasicMaterial };
    const batch = batchOf(solids, kind === 'lit' || kind === 'plain' ? new own[kind]() : paints[kind]);
    const known = new Map<THREE.BufferGeometry, number>();
    for (const of of solids) {
      const shape = known.get(of.geometry) ?? batch.addGeometry(of.geometry);
      known.set(of.geometry, shape);
      const isLimb = of.material === paints.crank || of.material === paints.rod || of.material === paints.arm;
      const twin = isLimb ? this.twinOf(new THREE.Mesh(of.geometry, paints.short)) : null;
      const colour = new THREE.Color(NaN, NaN, NaN);
      const stands = new THREE.Matrix4();
      this.instances.push({
        of,
        batch,
        id: batch.addInstance(shape),
        isTinted,
        colour,
        stands,
        isShown: true,
        twin,
        isAlone: false,
      });
    }
    this.drawn.add(batch);
  }

  private twinOf<T extends THREE.Object3D>(of: T): T {
    const twin = of.clone(false);
    twin.matrixAutoUpdate = false;
    this.drawn.add(twin);
    return twin;
  }

  /** Draws one that has another shape now by itself. */
  exchange(of: THREE.Mesh): void {
    const one = this.instances.find((each) => each.of === of);
    if (!one) return;
    one.twin = this.twinOf(new THREE.Mesh(of.geometry, of.material));
    one.isAlone = true;
  }

  /** Everything where the scene has it, in the scene's colours. */
  update(): void {
    this.root.updateMatrixWorld();
    for (const one of this.instances) this.place(one);
    for (const { of, twin } of this.lines) twin.matrix.copy(of.matrixWorld);
  }

  private place(one: Instance): void {
    const { of, batch, id, twin } = one;
    const isThere = isSeen(of);
    const isAlone = one.isAlone || of.material === (this.paints.short as THREE.Material);
    if (twin) {
      twin.visible = isThere && isAlone;
      if (twin.visible) twin.matrix.copy(of.matrixWorld);
    }
    if (one.isShown !== (isThere && !isAlone)) batch.setVisibleAt(id, (one.isShown = isThere && !isAlone));
    if (!one.isShown) return;
    if (!one.stands.equals(of.matrixWorld)) batch.setMatrixAt(id, one.stands.copy(of.matrixWorld));
    if (one.isTinted && !one.colour.equals(of.material.color)) batch.setColorAt(id, one.colour.copy(of.material.color));
  }
}

/** A window on the prop: a canvas with the prop as delivered, and over it, in SVG, the dashed outline of what is asked. Throws without WebGL. */
import * as THREE from 'three';
import type { Point } from '../../../report/draw/silhouette.ts';
import type { Rig, Vec3 } from '../../../rig/rig.ts';
import { Batches } from './batches.ts';
import { FIELD_DEG, type Orbit, eyeAt, fitting } from './orbit.ts';
import { apart, outlineSeen } from './outline.ts';
import { PropScene, type Stance, framesAt } from './scene.ts';
import { type Paints, type Skin, painted, paintsOf } from './skin.ts';

/** More pixels than this a CSS pixel cost time and show nothing. */
const MOST_PIXELS = 2;
/** Outlines nearer than this look like one line, px. */
const SAME_PX = 1.6;

/** How far from the prop's middle to its head's the eye looks. */
const TO_HEAD = 0.4;

/** What is to be seen. */
export interface Seen {
  readonly delivered: Stance;
  /** Null: nothing is asked. */
  readonly asked: Stance | null;
  readonly use: ArrayLike<number>;
  /** The joint that keeps the asked pose from being reached. */
  readonly stopped: string | null;
  /** A point in the room to look at, mm. */
  readonly point_mm: Vec3 | null;
  readonly showsRange: boolean;
}

export class PropView {
  orbit: Orbit;
  readonly home: Orbit;
  /** The closest the eye comes, mm. */
  readonly nearest_mm: number;
  private readonly renderer: THREE.WebGLRenderer;
  private readonly scene = new THREE.Scene();
  private readonly camera = new THREE.PerspectiveCamera(FIELD_DEG, 1, 10, 20_000);
  private readonly lamp = new THREE.DirectionalLight(0xffffff, 1.7);
  private readonly prop: PropScene;
  private readonly batches: Batches;
  private readonly paints: Paints;
  private readonly svg: SVGSVGElement;
  private readonly dashes: readonly SVGPathElement[];
  /** As they are drawn: what has not changed is not written again. */
  private readonly dashed: string[];
  private readonly dot: SVGGElement;
  private readonly projection = new THREE.Matrix4();
  private pointed = true;
  private width = 1;
  private height = 1;

  constructor(canvas: HTMLCanvasElement, svg: SVGSVGElement, rig: Rig, skin: Skin) {
    // Software GL is slow at smoothing edges, and says so here.
    this.renderer = new THREE.WebGLRenderer({ canvas, alpha: true, antialias: !isSoftware() });
    this.paints = paintsOf(skin);
    this.prop = new PropScene(rig, this.paints);
    this.prop.update(standing(rig), [], null, [1000, 0, 0]);
    this.batches = new Batches(this.prop.root, this.paints);
    this.scene.add(this.batches.drawn, new THREE.HemisphereLight(0xffffff, 0xb9b4c4, 1.9), this.lamp);
    const box = new THREE.Box3().setFromObject(this.prop.root);
    const ball = box.getBoundingSphere(new THREE.Sphere());
    this.addFloor(box, ball.radius);
    this.nearest_mm = ball.radius * 0.9;
    const head = new THREE.Box3().setFromObject(this.prop.head).getCenter(new THREE.Vector3());
    const middle = ball.center.clone().lerp(head, TO_HEAD);
    this.home = fitting(middle.toArray(), ball.radius * 0.66, 1.4);
    this.orbit = this.home;
    this.svg = svg;
    this.dashes = this.prop.outlined.map(() => this.element('path', 'asked'));
    this.dashed = this.dashes.map(() => '');
    this.dot = this.element('g', 'look-at');
    for (const radius of ['13', '3']) {
      const circle = document.createElementNS(svg.namespaceURI, 'circle');
      circle.setAttribute('r', radius);
      this.dot.append(circle);
    }
  }

  private element<K extends 'path' | 'g'>(name: K, kind: string): SVGElementTagNameMap[K] {
    const made = document.createElementNS('http://www.w3.org/2000/svg', name);
    made.setAttribute('class', kind);
    this.svg.append(made);
    return made;
  }

  private addFloor(box: THREE.Box3, radius: number): void {
    const floor = new THREE.Mesh(new THREE.CircleGeometry(radius * 0.8, 64), this.paints.floor);
    const middle = box.getCenter(new THREE.Vector3());
    floor.position.set(middle.x, middle.y, box.min.z - radius * 0.12);
    // Drawn from the first frame on, too small to see: making the hatching ready would hold up the frame that first needs it.
    const speck = new THREE.Mesh(new THREE.PlaneGeometry(1e-3, 1e-3), this.paints.short);
    speck.position.copy(floor.position);
    this.scene.add(floor, speck);
  }

  paint(skin: Skin): void {
    painted(this.paints, skin);
  }

  /** Draws the parts with this mesh by it, in its own frame, mm. */
  showMesh(file: string, mesh: THREE.BufferGeometry): void {
    for (const one of this.prop.showMesh(file, mesh)) this.batches.exchange(one);
  }

  /** Size in CSS px. */
  resize(width: number, height: number): void {
    this.width = Math.max(1, width);
    this.height = Math.max(1, height);
    this.renderer.setPixelRatio(isSoftware() ? 1 : Math.min(MOST_PIXELS, devicePixelRatio));
    this.renderer.setSize(this.width, this.height, false);
    this.svg.setAttribute('viewBox', `0 0 ${this.width} ${this.height}`);
  }

  draw(seen: Seen): void {
    const eye = this.placeCamera();
    this.prop.ticks.visible = seen.showsRange;
    this.prop.update(seen.delivered, seen.use, seen.stopped, eye);
    this.batches.update();
    this.renderer.render(this.scene, this.camera);
    this.drawAsked(seen, eye);
    this.drawPoint(seen.point_mm);
  }

  private placeCamera(): Vec3 {
    const { camera, orbit } = this;
    const eye = eyeAt(orbit);
    const aspect = this.width / this.height;
    // A narrow window sees as much across as a wide one.
    const half = Math.tan(((FIELD_DEG / 2) * Math.PI) / 180) * Math.max(1, 1.25 / aspect);
    camera.fov = (2 * Math.atan(half) * 180) / Math.PI;
    camera.aspect = aspect;
    camera.up.set(0, 0, 1);
    camera.position.set(...eye);
    camera.lookAt(...orbit.target_mm);
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
    this.projection.multiplyMatrices(camera.projectionMatrix, camera.matrixWorldInverse);
    this.lamp.position.set(0.5, 0.8, 1).applyQuaternion(camera.quaternion);
    return eye;
  }

  /** A point of the world on the picture, px, y down. */
  seen(point: Vec3): Point {
    const [x, y, , w] = this.clip(point);
    return [((x / w + 1) / 2) * this.width, ((1 - y / w) / 2) * this.height];
  }

  private clip([x, y, z]: Vec3): readonly [number, number, number, number] {
    const e = this.projection.elements;
    const row = (i: number): number => e[i]! * x + e[i + 4]! * y + e[i + 8]! * z + e[i + 12]!;
    return [row(0), row(1), row(2), row(3)];
  }

  private drawAsked({ asked, delivered }: Seen, eye: Vec3): void {
    const { rig } = this.prop;
    if (!asked) return this.dashes.forEach((_, i) => this.dash(i, ''));
    const upright = (point: Vec3): Point => {
      const [x, y] = this.seen(point);
      return [x, -y];
    };
    const [then, now] = [framesAt(rig, asked), this.prop.frames];
    this.prop.outlined.forEach(({ outline, marks_mm, frame }, i) => {
      const [there, here] = [frame(then, asked.coordinates), frame(now, delivered.coordinates)];
      const isSame = !there || (here && apart(marks_mm, there, here, upright) < SAME_PX);
      const points = isSame ? [] : outlineSeen(outline, there, eye, upright);
      const steps = points.map(([x, y]) => `${x.toFixed(1)} ${(-y).toFixed(1)}`);
      this.dash(i, points.length > 0 ? `M${steps.join('L')}Z` : '');
    });
  }

  private dash(i: number, path: string): void {
    if (this.dashed[i] === path) return;
    this.dashed[i] = path;
    this.dashes[i]!.setAttribute('d', path);
  }

  private drawPoint(point: Vec3 | null): void {
    if (!point && !this.pointed) return;
    this.pointed = point !== null;
    this.dot.setAttribute('visibility', point ? 'visible' : 'hidden');
    if (!point) return;
    const [x, y] = this.seen(point);
    this.dot.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
  }

  /** Whether there is head at a place of the picture, px. */
  isHeadAt(x: number, y: number): boolean {
    const ray = new THREE.Raycaster();
    ray.setFromCamera(new THREE.Vector2((2 * x) / this.width - 1, 1 - (2 * y) / this.height), this.camera);
    return ray.intersectObject(this.prop.head, true).length > 0;
  }

  /** What so many px on the picture are in the world at a point's depth, across what the eye sees, mm. */
  across(dx: number, dy: number, at: Vec3): Vec3 {
    const { camera } = this;
    const depth = new THREE.Vector3(...at).applyMatrix4(camera.matrixWorldInverse).z;
    const mm_per_px = (2 * Math.abs(depth) * Math.tan((camera.fov * Math.PI) / 360)) / this.height;
    const right = new THREE.Vector3().setFromMatrixColumn(camera.matrixWorld, 0);
    const up = new THREE.Vector3().setFromMatrixColumn(camera.matrixWorld, 1);
    const way = right.multiplyScalar(dx * mm_per_px).addScaledVector(up, -dy * mm_per_px);
    return way.toArray();
  }

  dispose(): void {
    this.renderer.dispose();
    this.svg.replaceChildren();
  }
}

const standing = (rig: Rig): Stance => ({ coordinates: rig.joints.map(({ home }) => home), pose: [0, 0, 0, 0, 0, 0] });

let software: boolean | null = null;

/** Whether the browser draws by its own processor. */
function isSoftware(): boolean {
  if (software === null) {
    const gl = document.createElement('canvas').getContext('webgl2');
    const info = gl?.getExtension('WEBGL_debug_renderer_info');
    const name = gl && info ? String(gl.getParameter(info.UNMASKED_RENDERER_WEBGL)) : '';
    software = /swiftshader|llvmpipe|software/i.test(name);
    gl?.getExtension('WEBGL_lose_context')?.loseContext();
  }
  return software;
}

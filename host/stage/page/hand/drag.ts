/** Pointers on the picture: what is begun on the head moves the head, on the point the point, beside both the eye. */
import type { PropView } from '../prop/view.ts';
import { turned, zoomed } from '../prop/orbit.ts';
import { framesAt } from '../prop/scene.ts';
import { mulVecT } from '../../../rig/rotation.ts';
import type { Rig, Vec3 } from '../../../rig/rig.ts';
import { current, held, holdsLook, lookPoint, moveBy, moveHeld, movePoint } from './asking.ts';
import { gaze } from './look-at.ts';

/** A whole turn of the wrist: this many rad a px. */
const RAD_PER_PX = 0.006;
const ORBIT_PER_PX = 0.008;
/** How near to the point a pointer takes hold of it, px. */
const GRASP_PX = 26;

type Hold = 'head' | 'point' | 'eye';

interface Pointer {
  x: number;
  y: number;
  readonly isTouch: boolean;
}

/** Which keys go with a drag. */
type Keys = Pick<PointerEvent, 'shiftKey' | 'altKey'>;

export class Drag {
  private readonly view: PropView;
  private readonly rig: Rig;
  private readonly redraw: () => void;
  private readonly down = new Map<number, Pointer>();
  private hold: Hold = 'eye';
  private isTurning = false;

  constructor(view: PropView, rig: Rig, redraw: () => void) {
    this.view = view;
    this.rig = rig;
    this.redraw = redraw;
  }

  private holdAt(x: number, y: number): Hold {
    const point = lookPoint.value;
    if (point) {
      const [px, py] = this.view.seen(point);
      if (Math.hypot(px - x, py - y) < GRASP_PX) return 'point';
    }
    return this.view.isHeadAt(x, y) ? 'head' : 'eye';
  }

  /** What a pointer there would take hold of, for its cursor. */
  hover(event: PointerEvent): Hold {
    return this.down.size > 0 ? this.hold : this.holdAt(event.offsetX, event.offsetY);
  }

  begin(event: PointerEvent): void {
    if (this.down.size === 0) this.hold = this.holdAt(event.offsetX, event.offsetY);
    this.down.set(event.pointerId, { x: event.offsetX, y: event.offsetY, isTouch: event.pointerType === 'touch' });
    (event.target as Element).setPointerCapture(event.pointerId);
  }

  end(event: PointerEvent): void {
    this.down.delete(event.pointerId);
  }

  move(event: PointerEvent): void {
    const pointer = this.down.get(event.pointerId);
    if (!pointer) return;
    const before = this.middle();
    const spread = this.spread();
    const was = { ...pointer };
    pointer.x = event.offsetX;
    pointer.y = event.offsetY;
    const after = this.middle();
    const [dx, dy] = [after[0] - before[0], after[1] - before[1]];
    this.isTurning = was.isTouch && this.down.size === 1;
    if (this.hold === 'head') this.moveHead(dx, dy, event);
    else if (this.hold === 'point') movePoint(this.view.across(dx, dy, lookPoint.value ?? [0, 0, 0]));
    else this.moveEye(dx, dy, spread);
    this.redraw();
  }

  private middle(): readonly [number, number] {
    const all = [...this.down.values()];
    return [all.reduce((sum, { x }) => sum + x, 0) / all.length, all.reduce((sum, { y }) => sum + y, 0) / all.length];
  }

  /** Between two fingers, px; 0: not two. */
  private spread(): number {
    const [a, b] = [...this.down.values()];
    return a && b ? Math.hypot(a.x - b.x, a.y - b.y) : 0;
  }

  private moveEye(dx: number, dy: number, before: number): void {
    const { view } = this;
    const after = this.spread();
    if (before > 0 && after > 0) view.orbit = zoomed(view.orbit, before / after, view.nearest_mm);
    view.orbit = turned(view.orbit, -dx * ORBIT_PER_PX, dy * ORBIT_PER_PX);
  }

  private moveHead(dx: number, dy: number, { shiftKey, altKey }: Keys): void {
    if (held.value) return moveHeld(held.value, dy * RAD_PER_PX);
    if (!this.rig.platform) return this.moveAxes(dx, dy);
    if (altKey) moveBy([[3, this.side() * dx * RAD_PER_PX]]);
    else if (shiftKey || this.isTurning || holdsLook.value)
      moveBy([
        [5, dx * RAD_PER_PX],
        [4, dy * RAD_PER_PX],
      ]);
    else moveBy(this.carried(this.view.across(dx, dy, gaze(this.rig, current()).from_mm)).map((by, i) => [i, by]));
  }

  /** 1: the eye is before the character, -1: behind it; a roll follows the pointer either way. */
  private side(): number {
    return Math.cos(this.view.orbit.azimuth_rad) >= 0 ? -1 : 1;
  }

  /** A way in the world, mm, in the axes of what carries the platform. */
  private carried(way: Vec3): Vec3 {
    const { platform } = this.rig;
    const coordinates = [...Array.from({ length: 6 }, () => NaN), ...current().subarray(6)];
    const frame = framesAt(this.rig, { coordinates, pose: null }).get(platform?.on ?? 'ground');
    return frame ? mulVecT(frame.turn, way) : way;
  }

  /** Without a platform: an axis that stands upright goes with the pointer across, the others with it up and down. */
  private moveAxes(dx: number, dy: number): void {
    const joints = this.rig.joints.filter(({ kind }) => kind !== 'leg');
    moveBy(
      joints.flatMap(({ axis }, k): (readonly [number, number])[] => {
        if (!axis) return [];
        const [, y, z] = axis.along;
        return [[6 + k, RAD_PER_PX * (Math.abs(z) > 0.7 ? Math.sign(z) * dx : Math.sign(y || 1) * dy)]];
      }),
    );
  }
}

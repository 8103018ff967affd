/** What the hand asks for: the values last asked, and every way to change them. All go to the controller, which keeps its limits. */
import { signal } from '@preact/signals';
import { HOME, type Rig, type Vec3, toRad } from '../../../rig/rig.ts';
import { askLine } from '../board/line.ts';
import { ask, isHandOver } from '../engine/client.ts';
import { boardSays, columns, drives, handValues, look, rig, said } from '../state.ts';
import { USUAL_SHARES, type Shares, followed, gaze, lookAt } from './look-at.ts';
import { mirrored } from './mirror.ts';

/** A point in the room that the character looks at, mm; null: it looks where the hand turns it. */
export const lookPoint = signal<Vec3 | null>(null);
export const shares = signal<Shares>(USUAL_SHARES);
export const showsRange = signal(false);
export const showsHelp = signal(false);
/** The column that the stepper moves, by its place. */
export const moving = signal(5);

/** Further than any prop goes: mm, rad. What is within is the controller's to limit. */
const SANE_MM = 500;
const SANE_RAD = Math.PI;

export const homeOf = (of: Rig): Float64Array =>
  Float64Array.of(...HOME, ...of.joints.filter(({ kind }) => kind !== 'leg').map(({ home }) => home));

const sane = (value: number, i: number): number => {
  const most = i < 3 ? SANE_MM : SANE_RAD;
  return value > -most ? Math.min(value, most) : -most;
};

/** What is asked now, by the hand or by the take that plays. */
export function current(): Float64Array {
  const seen = look.value;
  if (seen && seen.follows !== 'hand' && !isHandOver() && seen.asked.some(Number.isFinite)) {
    const home = homeOf(rig.value!);
    return seen.asked.map((value, i) => (Number.isFinite(value) ? value : home[i]!));
  }
  return handValues.value ?? homeOf(rig.value!);
}

export function handTo(values: Float64Array): void {
  const wanted = values.map(sane);
  handValues.value = wanted;
  ask({ do: 'hand', values: wanted });
  // A board that is awake, and that this page drives, follows the same hand.
  if (drives.value === true && boardSays.value?.state === 'live') askLine({ do: 'hand', values: [...wanted] });
}

/** Changes columns, by their places, by so much (mm, rad). */
export function moveBy(changes: readonly (readonly [number, number])[]): void {
  const values = current().slice();
  for (const [i, by] of changes) if (i < values.length) values[i]! += by;
  if (lookPoint.value && changes.some(([i]) => i === 4 || i === 5)) lookPoint.value = null;
  handTo(values);
}

/** A lane of joints, by their places, that a drag and the arrow keys move. */
export interface Held {
  readonly places: readonly number[];
  /** Whether down is its plus: a jaw opens downwards. */
  readonly isDown: boolean;
}

/** The lane of joints that is in the hand; null: the pose is. */
export const held = signal<Held | null>(null);
/** Whether what is in the hand of the pose is where it looks, not where it stands. */
export const holdsLook = signal(false);

/** Moves a lane of joints, each as far as its limits. */
export function moveHeld({ places, isDown }: Held, down_rad: number): void {
  const joints = rig.value!.joints.filter(({ kind }) => kind !== 'leg');
  const values = current();
  moveTo(
    places.map((i) => {
      const { lo, hi } = joints[i - 6]!;
      return [i, Math.min(hi, Math.max(lo, values[i]! + (isDown ? down_rad : -down_rad)))] as const;
    }),
  );
}

/** Sets columns, by their places (mm, rad). */
export function moveTo(places: readonly (readonly [number, number])[]): void {
  const values = current().slice();
  for (const [i, to] of places) if (i < values.length) values[i] = to;
  handTo(values);
}

/** By how much a press moves a column: mm, rad. */
export const stepOf = (i: number): number => (i < 3 ? 2 : toRad(2));

export function mirror(): void {
  handTo(mirrored(rig.value!, current()));
  said.value = 'mirrored: left and right have changed over';
}

export function goHome(): void {
  lookPoint.value = null;
  handTo(homeOf(rig.value!));
}

export function settle(): void {
  handValues.value = null;
  lookPoint.value = null;
  ask({ do: 'settle' });
}

export function rouse(): void {
  if (look.value?.state === 'tripped') ask({ do: 'clear' });
  ask({ do: 'rouse' });
  handValues.value = homeOf(rig.value!);
}

/** How far before the head the point to look at is first, mm. */
const BEFORE_MM = 160;

export function toggleLookAt(): void {
  if (lookPoint.value) {
    lookPoint.value = null;
    said.value = 'looks where the hand turns it';
    return;
  }
  const { from_mm, way } = gaze(rig.value!, current());
  lookPoint.value = [0, 1, 2].map((k) => from_mm[k]! + BEFORE_MM * way[k]!) as unknown as Vec3;
  said.value = 'looks at a point in the room: drag it, or move it with the arrow keys';
}

/** Within this of its goal the head has come, mm or rad. */
const THERE = 1e-4;

/** One frame of looking at the point. */
export function follow(dt_s: number): void {
  const point = lookPoint.value;
  if (!point || look.value?.follows !== 'hand') return;
  const values = current();
  const goal = lookAt(rig.value!, values, point, shares.value);
  if (goal.every((value, i) => Math.abs(value - values[i]!) < THERE)) return;
  handTo(followed(rig.value!, values, goal, dt_s));
}

export function movePoint(by_mm: Vec3): void {
  const at = lookPoint.value;
  if (at) lookPoint.value = [at[0] + by_mm[0], at[1] + by_mm[1], at[2] + by_mm[2]];
}

export const chosen = (by: number): void => {
  const n = columns.value.length;
  moving.value = (moving.value + by + n) % n;
};

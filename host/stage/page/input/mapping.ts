/**
 * From sticks, triggers and faders to columns of a stream; pure. A control is named by its source and place (`stick 2`, `button 7`,
 * `fader 21`), its reading goes from -1 to 1 (sticks) or from 0 to 1 (the rest).
 */
import { type Rig, toRad } from '../../../rig/rig.ts';
import { lanesOf } from '../../take/lanes.ts';

export type Readings = ReadonlyMap<string, number>;

/** One control and the column that it moves. */
export interface Assigned {
  readonly control: string;
  /** By its place among a stream's columns. */
  readonly column: number;
  /** Whether the control's plus is the column's minus. */
  readonly isTurned: boolean;
}

/** Where a column stands at a reading of -1 (of 0, for what has no middle), at home, and at 1: mm, rad. */
export interface Range {
  readonly lo: number;
  readonly home: number;
  readonly hi: number;
}

/** Sticks do not come quite home: what is nearer than this is home. Common practice. */
const DEAD = 0.12;
/** What a stick moves the plate by at its end: mm, and rad of roll, pitch, yaw. */
const FAR_MM = 25;
const FAR_RAD = [toRad(18), toRad(18), toRad(28)];
/** A control that has gone this far has been meant. */
const MEANT = 0.5;

export function rangesOf(rig: Rig): Range[] {
  const pose = [FAR_MM, FAR_MM, FAR_MM, ...FAR_RAD].map((far) => ({ lo: -far, home: 0, hi: far }));
  return [...pose, ...rig.joints.filter(({ kind }) => kind !== 'leg').map(({ lo, home, hi }) => ({ lo, home, hi }))];
}

/** A stick's reading without its dead middle, still from -1 to 1; NaN reads as home. */
export function livened(reading: number): number {
  const beyond = Math.min(1, Math.abs(reading)) - DEAD;
  return beyond > 0 ? (Math.sign(reading) * beyond) / (1 - DEAD) : 0;
}

export const hasMiddle = (control: string): boolean => control.startsWith('stick');

/** Where the control puts its column. */
export function placed({ control, isTurned }: Assigned, reading: number, { lo, home, hi }: Range): number {
  if (!hasMiddle(control)) {
    const share = Math.min(1, Math.max(0, reading || 0));
    return isTurned ? hi + share * (lo - hi) : lo + share * (hi - lo);
  }
  const live = livened(isTurned ? -reading : reading);
  return live < 0 ? home + live * (home - lo) : home + live * (hi - home);
}

/** Columns that move and to where, for the controls whose readings have changed: what lies still is left to the hand. */
export function moved(
  map: readonly Assigned[],
  before: Readings,
  now: Readings,
  ranges: readonly Range[],
): (readonly [number, number])[] {
  return map.flatMap((one): (readonly [number, number])[] => {
    const [was, is, range] = [before.get(one.control), now.get(one.control), ranges[one.column]];
    if (is === undefined || !range || was === undefined) return [];
    const [from, to] = [placed(one, was, range), placed(one, is, range)];
    return from === to ? [] : [[one.column, to]];
  });
}

/** The control that has been moved on purpose since; null: none. */
export function meant(before: Readings, now: Readings): { readonly control: string; readonly isPlus: boolean } | null {
  let found: { readonly control: string; readonly isPlus: boolean } | null = null;
  let most = MEANT;
  for (const [control, reading] of now) {
    const by = reading - (before.get(control) ?? reading);
    if (Math.abs(by) > most) [most, found] = [Math.abs(by), { control, isPlus: by > 0 }];
  }
  return found;
}

/** With this control on the column, and off every other; the column's old one is off too. */
export const assigned = (map: readonly Assigned[], one: Assigned): Assigned[] => [
  ...map.filter(({ control, column }) => control !== one.control && column !== one.column),
  one,
];

/**
 * To begin with, by the places of the W3C Gamepad's "standard" layout: sticks 0 and 1 at the left, 2 and 3 at the right, plus is right
 * and down; buttons 6 and 7 are the triggers.
 */
export function usualMap(rig: Rig): Assigned[] {
  const pose: Assigned[] = [
    { control: 'stick 0', column: 1, isTurned: false },
    { control: 'stick 1', column: 2, isTurned: true },
    { control: 'stick 2', column: 5, isTurned: false },
    { control: 'stick 3', column: 4, isTurned: false },
  ];
  const joints = rig.joints.filter(({ kind }) => kind !== 'leg').map(({ name }) => `${name}_deg`);
  const first = (lane: string): number => {
    const column = lanesOf(rig).find(({ name }) => name === lane)?.columns[0];
    return column === undefined ? -1 : joints.indexOf(column);
  };
  const triggers: Assigned[] = [
    { control: 'button 7', column: 6 + first('Mouth'), isTurned: false },
    { control: 'button 6', column: 6 + first('Lids'), isTurned: false },
  ];
  return [...(rig.platform ? pose : []), ...triggers.filter(({ column }) => column >= 6)];
}

/** A map as it was kept, as far as the rig has its columns; null: it is none. @param columns how many there are */
export function keptMap(kept: unknown, columns: number): Assigned[] | null {
  if (!Array.isArray(kept)) return null;
  const all = kept.filter((one: unknown): one is Assigned => {
    if (typeof one !== 'object' || one === null) return false;
    const { control, column, isTurned } = one as Record<string, unknown>;
    const isOne = typeof control === 'string' && /^(stick|button|fader) \d+$/.test(control);
    return (
      isOne &&
      typeof isTurned === 'boolean' &&
      Number.isInteger(column) &&
      Number(column) >= 0 &&
      Number(column) < columns
    );
  });
  return all.length > 0 ? all : null;
}

/** Every stick and button of a gamepad. */
export function padReadings(pad: Pick<Gamepad, 'axes' | 'buttons'>): Map<string, number> {
  const readings = new Map<string, number>();
  pad.axes.forEach((at, i) => readings.set(`stick ${i}`, at));
  pad.buttons.forEach(({ value }, i) => readings.set(`button ${i}`, value));
  return readings;
}

/** What a MIDI message says of a fader: control change is 0xB0 to 0xBF, then the controller, then 0 to 127 (MIDI 1.0). Null: something else. */
export function faderOf(bytes: ArrayLike<number>): { readonly control: string; readonly reading: number } | null {
  if (bytes.length < 3 || (bytes[0]! & 0xf0) !== 0xb0) return null;
  return { control: `fader ${bytes[1]!}`, reading: bytes[2]! / 127 };
}

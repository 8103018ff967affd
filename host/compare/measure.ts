/**
 * The figures of one rig that are set side by side, and how far each moves with every figure of the rig that may be off: dimensions
 * by what the file says, else as far as a plate is cut (BUILT_MM, BUILT_DEG); what `load` rests on by what it takes.
 */
import { lowestLarge } from './modes.ts';
import { Demand } from '../load/demand.ts';
import { figuresOf } from '../load/figures.ts';
import type { LoadAnswer } from '../load/result.ts';
import { type Posture, postureAt } from '../physics/dynamics/places.ts';
import { dimensionsOf } from '../reach/dimensions.ts';
import { shownTravel, travelsOf } from '../reach/travels.ts';
import { whatStops } from '../physics/kinematics/inverse.ts';
import { plateRadius_mm } from '../rig/plates.ts';
import { HOME, type Rig, toRad } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';

/** Plates and rods as they are built by hand (common practice), where the file does not say. */
const BUILT_MM = 0.5;
const BUILT_DEG = 0.5;

/** By name: twelve travels, use, hold, lowest_hz, hold_a, peak_a, sizes; NaN: not known. */
export type Measured = ReadonlyMap<string, number>;

/** How the measured figures change where one figure of the rig is off by as much as it may be; NaN: the rig has no such figure then. */
export interface Effect {
  /** Key path in the file, as far as the figure has one of its own. */
  readonly path: string;
  /** Where it is larger, and where it is smaller: not opposite where both are the worse way, as at a peak. */
  readonly more: Measured;
  readonly less: Measured;
}

/** The instants that decide, as `load` has found them. */
export interface Deciding {
  readonly holds: readonly Posture[];
  readonly stream: StoredStream | null;
  readonly times_s: readonly number[];
  readonly peak_s: number | null;
}

/** Where `load` has found each joint to hold and to move most. */
export function decidingOf(rig: Rig, { joints, supply }: LoadAnswer, stream: StoredStream | null): Deciding {
  const holds = joints.flatMap(({ worst }): Posture[] => {
    if (worst.loose) return [];
    const pose = worst.at.pose ?? HOME;
    const others = rig.joints.flatMap((joint) => {
      if (joint.kind === 'leg') return [];
      const shown = worst.at.joints[joint.name];
      return [shown === undefined ? joint.home : toRad(shown)];
    });
    const at = postureAt(rig, pose, others);
    return at ? [at] : [];
  });
  const times_s = joints.flatMap(({ along }) => (along ? [along.at_s] : []));
  return { holds, stream, times_s, peak_s: supply.peak_at_s };
}

const othersOf = ({ joints }: Rig, q: readonly number[]): number[] =>
  joints.flatMap(({ kind }, i) => (kind === 'leg' ? [] : [q[i]!]));

/** The same place in a rig of other dimensions. */
const placeIn = (rig: Rig, { q, pose }: Posture): Posture | null => postureAt(rig, pose, othersOf(rig, q));

const most = (values: readonly number[]): number => {
  const known = values.filter((value) => !Number.isNaN(value));
  return known.length === 0 ? NaN : Math.max(...known);
};

/** Uses, currents and the lowest frequency at the instants that decide. */
function work(rig: Rig, { holds, stream, times_s, peak_s }: Deciding): [string, number][] {
  const demand = new Demand(rig);
  const all = rig.joints.map((_, i) => i);
  const home = placeIn(rig, { q: rig.joints.map((joint) => joint.home), pose: HOME });
  const isHeld = home !== null && demand.hold(home);
  const hold = isHeld ? most(all.map((i) => demand.share(i))) : NaN;
  const hold_a = isHeld ? demand.current() : NaN;
  const uses: number[] = [];
  const look = (known: boolean): void => {
    if (known) uses.push(...all.map((i) => demand.use(i)));
  };
  for (const place of holds) {
    const there = placeIn(rig, place);
    look(there !== null && demand.hold(there));
  }
  for (const t_s of stream ? times_s : []) look(stream !== null && demand.look(stream, t_s, true));
  const peak_a = stream && peak_s !== null && demand.look(stream, peak_s, true) ? demand.current() : NaN;
  return [
    ['use', most(uses)],
    ['hold', hold],
    ['lowest_hz', home ? (lowestLarge(rig, home)?.hz ?? NaN) : NaN],
    ['hold_a', hold_a],
    ['peak_a', peak_a],
  ];
}

function travels(rig: Rig): [string, number][] {
  if (!rig.platform || Number.isNaN(rig.platform.home_z_mm) || whatStops(rig, HOME)) return [];
  return travelsOf(rig, HOME)
    .map(shownTravel)
    .flatMap(({ axis, minus, plus }): [string, number][] => [
      [`${axis}_minus`, minus],
      [`${axis}_plus`, plus],
    ]);
}

function sizes({ platform }: Rig): [string, number][] {
  if (!platform) return [];
  return [
    ['base_radius', plateRadius_mm(platform, 'base')],
    ['plate_radius', plateRadius_mm(platform, 'moving')],
    ['height', platform.home_z_mm],
  ];
}

export const measured = (rig: Rig, deciding: Deciding): Measured =>
  new Map([...travels(rig), ...work(rig, deciding), ...sizes(rig)]);

/** Lengths and angles that are built: not soft limits, which are set, nor the pivot, which is chosen. */
const isBuilt = (path: string): boolean => !/limit|pivot/.test(path);

/** Effects of all figures that may be off. */
export function effectsOf(rig: Rig, deciding: Deciding): Effect[] {
  const dimensions = rig.platform ? dimensionsOf(rig).filter(({ path }) => isBuilt(path)) : [];
  const own = measured(rig, deciding);
  const ownWork = new Map(work(rig, deciding));
  const built = dimensions.map(({ path, unit, value, change }): Effect => {
    const percent = rig.sources.get(path)?.within_percent ?? null;
    const taken =
      unit === 'mm'
        ? BUILT_MM
        : unit === 'deg'
          ? BUILT_DEG
          : (100 * BUILT_MM) / (plateRadius_mm(rig.platform!, 'base') || 1);
    const off = percent === null ? taken : (value * percent) / 100;
    const at = (to: number): Measured => changeTo(measured(change(rig, to), deciding), own);
    return { path, more: at(value + off), less: at(value - off) };
  });
  const weighed = figuresOf(rig).map(({ path, within_percent, changed }): Effect => {
    const off = Math.min(within_percent, 99) / 100;
    const at = (factor: number): Measured => changeTo(new Map(work(changed(factor), deciding)), ownWork);
    return { path, more: at(1 + off), less: at(1 - off) };
  });
  return [...built, ...weighed];
}

const changeTo = (to: Measured, from: Measured): Measured =>
  new Map([...from].map(([name, value]) => [name, (to.get(name) ?? NaN) - value]));

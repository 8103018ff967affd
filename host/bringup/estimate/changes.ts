/** What the rig file is to say after an estimate: figures with where they come from and how far they may be off. */
import type { FigureChange } from '../../rig/edit.ts';
import type { Rig } from '../../rig/rig.ts';
import { percentOf } from '../measurement.ts';
import { COMMON_CENTRE } from './figures.ts';
import type { FigureFound, GeometryFound } from './estimate.ts';
import type { ScaleFound } from './scale.ts';

/** More of a figure than this in what is held: it is written as an estimate, and from the other on not at all. */
const PARTLY_HELD = 0.15;
const HELD = 0.9;

/** @param scaled the rig with the scales found in it. */
export function changesOf(
  rig: Rig,
  scales: readonly ScaleFound[],
  geometry: GeometryFound | null,
  scaled: Rig,
): FigureChange[] {
  const figures = (geometry?.figures ?? []).filter(isTold);
  const common = figures.find(({ name }) => name === COMMON_CENTRE);
  const each = figures.filter(({ unit }) => unit === 'us');
  const isMoved = (joint: string): boolean => common !== undefined || each.some(({ path }) => path?.[1] === joint);
  return [
    ...scales.flatMap((scale) => scaleChanges(rig, scale, !isMoved(scale.joint))),
    ...figures.flatMap(figureChange),
    ...(common ? commonChanges(scaled, common) : []),
  ];
}

/** Whether the readings say more of a figure than was known before. */
const isTold = ({ held, off, typical }: FigureFound): boolean => held < HELD && off < typical;

/** So many digits that rounding adds a tenth or less of what it may be off by. */
function roundedTo(value: number, off: number): number {
  const step = 10 ** Math.floor(Math.log10(Math.max(off, 1e-9 * Math.max(1, Math.abs(value)))) - 0.3);
  return Number((Math.round(value / step) * step).toPrecision(12));
}

function figureChange({ path, unit, value, off, held }: FigureFound): FigureChange[] {
  if (path === null) return [];
  const to = roundedTo(value, off);
  // A centre pulse is a plain number in the rig file.
  if (unit === 'us') return [{ path, to }];
  const from = held > PARTLY_HELD ? 'estimate' : 'measured';
  return [{ path, to: { value: to, from, within_percent: percentOf({ value: to, off }) } }];
}

const commonChanges = ({ joints }: Rig, { value, off }: FigureFound): FigureChange[] =>
  joints
    .filter(({ kind }) => kind === 'leg')
    .map(({ name, centre_us }) => ({ path: ['joints', name, 'centre_us'], to: roundedTo(centre_us + value, off) }));

function scaleChanges({ joints }: Rig, found: ScaleFound, withCentre: boolean): FigureChange[] {
  const { joint: name, unit, us_per_unit, us_per_unit_off, centre_us, centre_off_us, sense } = found;
  const value = roundedTo(us_per_unit, us_per_unit_off);
  const within_percent = percentOf({ value, off: us_per_unit_off });
  const path = (key: string): string[] => ['joints', name, key];
  return [
    ...(withCentre ? [{ path: path('centre_us'), to: roundedTo(centre_us, centre_off_us) }] : []),
    { path: path(`us_per_${unit}`), to: { value, from: 'measured', within_percent } },
    ...(joints.some((joint) => joint.name === name && joint.sense !== sense)
      ? [{ path: path('sense'), to: sense }]
      : []),
  ];
}

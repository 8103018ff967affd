/**
 * From a table of pulses and readings to figures of the rig: each leg's scale first, where its angle was read, then the geometry, by least
 * squares over every reading of the plate. Says how sure each figure is, what the readings cannot tell apart, and which reading does not
 * fit the others. Writes nothing.
 */
import type { FigureChange } from '../../rig/edit.ts';
import type { Joint, Platform, Rig } from '../../rig/rig.ts';
import { counted } from '../../rig/words.ts';
import { type Refused, refused } from '../measurement.ts';
import { changesOf } from './changes.ts';
import { type Geometry, type GeometryFigure, type Wanted, geometryFigures } from './figures.ts';
import { type Fit, LEAST_FREEDOM, fit } from './least-squares.ts';
import { Poses, READINGS, type Points, type ReadingName, readingOf } from './readings.ts';
import { type ScaleFound, scaleOf, withScale } from './scale.ts';
import type { TableRow } from './table.ts';
import { words } from './words.ts';

export interface EstimateOptions extends Wanted {
  /** Where h1_mm … are measured. */
  readonly points?: Points;
}

export interface FigureFound extends GeometryFigure {
  readonly value: number;
  /** Half of the 95 % interval, in the figure's unit. */
  readonly off: number;
  /** 0: the readings tell it; 1: it stays as the rig has it; between: they tell it together with others alone. */
  readonly held: number;
}

export interface OddReading {
  readonly line: number;
  readonly name: ReadingName;
  readonly value: number;
  /** What the fit says it should be. */
  readonly instead: number;
}

export interface GeometryFound {
  readonly figures: readonly FigureFound[];
  readonly readings: number;
  readonly poses: number;
  readonly rank: number;
  /** Combinations that are held, by the figures that make most of each. */
  readonly apart: readonly (readonly string[])[];
  /** Root mean square of what the fit leaves, by unit; null: nothing was read in it. */
  readonly left_mm: number | null;
  readonly left_deg: number | null;
  /** A reading's standard deviation from the residuals, over the usual one. */
  readonly spread: number;
  readonly odd: OddReading | null;
}

export interface Estimate {
  readonly scales: readonly ScaleFound[];
  /** Null: the table has no reading of the plate. */
  readonly geometry: GeometryFound | null;
  readonly changes: readonly FigureChange[];
  readonly words: readonly string[];
}

/** @returns a refusal in words where the table does not hold enough, or contradicts the rig altogether. */
export function estimate(rig: Rig, rows: readonly TableRow[], options: EstimateOptions = {}): Estimate | Refused {
  const { platform } = rig;
  if (!platform) return refused('table', 'this rig has no platform, so there is no geometry to estimate');
  const scaled = scaleStage(rig, rows);
  if ('problem' in scaled) return scaled;
  const { scales, rig: better, words: told } = scaled;
  const read = rows.filter(({ plate }) => plate.length > 0);
  if (read.length === 0 && scales.length === 0)
    return refused(
      'table',
      `${told[0] ?? 'nothing was read'}: read each leg at three pulses or more, or heights and tilts of the plate`,
    );
  const found = read.length === 0 ? null : geometryStage(better, platform, read, options);
  if (found && 'problem' in found) return found;
  const geometry = found?.found ?? null;
  return {
    scales,
    geometry,
    changes: changesOf(rig, scales, geometry, better),
    words: [...words(scales, geometry), ...told, ...(found?.words ?? [])],
  };
}

interface Scaled {
  readonly scales: readonly ScaleFound[];
  /** With the scales found in it. */
  readonly rig: Rig;
  readonly words: readonly string[];
}

function scaleStage(rig: Rig, rows: readonly TableRow[]): Scaled | Refused {
  const scales: ScaleFound[] = [];
  const told: string[] = [];
  const joints = rig.joints.map((joint, i): Joint => {
    const of = rows.filter(({ legs }) => !Number.isNaN(legs[i] ?? NaN));
    if (joint.kind !== 'leg' || of.length === 0) return joint;
    const pulses_us = of.map(({ pulses_us: all }) => all[i] ?? NaN);
    const found = scaleOf(
      joint,
      pulses_us,
      of.map(({ legs }) => legs[i]!),
    );
    if (found === null) told.push(`${joint.name} was read at too few pulses for a scale: three different ones or more`);
    else if (found === 'flat')
      told.push(`${joint.name} does not follow its pulses in these readings: is it read off the right servo, powered?`);
    else scales.push(found);
    return found === null || found === 'flat' ? joint : withScale(joint, found);
  });
  const flat = told.find((sentence) => sentence.includes('does not follow'));
  return flat ? refused('table', flat) : { scales, rig: { ...rig, joints }, words: told };
}

interface Cell {
  readonly row: number;
  readonly name: ReadingName;
  readonly value: number;
}

function geometryStage(
  rig: Rig,
  platform: Platform,
  rows: readonly TableRow[],
  { points = {}, ...wanted }: EstimateOptions,
): { readonly found: GeometryFound; readonly words: readonly string[] } | Refused {
  const geometry = geometryFigures(rig, platform, wanted);
  const legs = rig.joints.slice(0, 6);
  const poses = new Poses(
    platform,
    legs,
    rows.map(({ pulses_us }) => pulses_us),
  );
  const lost = rows[poses.unreachable];
  if (lost)
    return refused(
      'table',
      `line ${String(lost.line)}: by the rig the legs do not go together at these pulses, so there is no pose to compare with; are they in the order of the legs, and centre and sense right?`,
    );
  if (geometry.figures.length === 0)
    return refused(
      'table',
      [...geometry.words, 'so nothing is left to estimate but the legs’ centres: ask for them with centres'].join('; '),
    );
  const cells = rows.flatMap(({ plate }, row) => plate.map((reading): Cell => ({ row, ...reading })));
  const result = fitted(geometry, poses, cells, points);
  if (!result) {
    const least = geometry.figures.length + LEAST_FREEDOM;
    return refused(
      'table',
      `${counted(cells.length, 'reading')} of the plate: ${counted(geometry.figures.length, 'figure')} need ${String(least)} or more`,
    );
  }
  return { found: foundOf(geometry, rows, cells, result), words: geometry.words };
}

/** Null: too few readings. */
function fitted(geometry: Geometry, poses: Poses, cells: readonly Cell[], points: Points): Fit | null {
  if (cells.length < geometry.figures.length + LEAST_FREEDOM) return null;
  return fit({
    model: (values) => {
      const guess = geometry.guess(values);
      const at = poses.at(guess);
      return cells.map(({ row, name }) => {
        const pose = at[row];
        return pose ? readingOf(name, guess, pose, points) : NaN;
      });
    },
    readings: cells.map(({ value }) => value),
    sigma: cells.map(({ name }) => READINGS[name]),
    start: geometry.figures.map(({ at }) => at),
    typical: geometry.figures.map(({ typical }) => typical),
  });
}

/** A figure counts as part of a combination from this share of its largest on. */
const PART = 0.35;

function foundOf({ figures }: Geometry, rows: readonly TableRow[], cells: readonly Cell[], result: Fit): GeometryFound {
  const left = (ending: string): number | null => {
    const of = result.residuals.filter((_, i) => cells[i]!.name.endsWith(ending));
    return of.length === 0 ? null : Math.hypot(...of) / Math.sqrt(of.length);
  };
  const odd = result.outlier && cells[result.outlier.index];
  return {
    figures: figures.map((figure, j) => ({
      ...figure,
      value: result.figures[j]!,
      off: result.off[j]!,
      held: result.heldShare[j]!,
    })),
    readings: cells.length,
    poses: rows.length,
    rank: result.rank,
    apart: result.held.map((parts) => {
      const most = Math.max(...parts.map(Math.abs));
      return figures.filter((_, j) => Math.abs(parts[j]!) >= PART * most).map(({ name }) => name);
    }),
    left_mm: left('_mm'),
    left_deg: left('_deg'),
    spread: result.spread,
    odd: odd
      ? {
          line: rows[odd.row]!.line,
          name: odd.name,
          value: odd.value,
          instead: odd.value - result.residuals[result.outlier.index]!,
        }
      : null,
  };
}

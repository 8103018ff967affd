/** A prop whose geometry differs from its rig, and the readings that it gives: rounded as gauges show them, with seeded noise. */
import { readFileSync } from 'node:fs';
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { type Guess, type Wanted, geometryFigures } from '../../../../host/bringup/estimate/figures.ts';
import {
  Poses,
  READINGS,
  type ReadingName,
  type Points,
  readingOf,
} from '../../../../host/bringup/estimate/readings.ts';
import type { TableRow } from '../../../../host/bringup/estimate/table.ts';
import { readRig } from '../../../../host/rig/read.ts';
import type { Rig } from '../../../../host/rig/rig.ts';

export const OWL = readFileSync(new URL('../../../../host/demo/night-owl.yaml', import.meta.url), 'utf8');

export function rigOfText(text: string): Rig {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(problems.map(({ message }) => message).join('; '));
  return rig;
}

/** The rig's geometry with these differences, by the figure's name. */
export function trueProp(rig: Rig, off: Readonly<Record<string, number>>, wanted: Wanted = {}): Guess {
  const { figures, guess } = geometryFigures(rig, rig.platform!, wanted);
  for (const name of Object.keys(off)) if (!figures.some((figure) => figure.name === name)) throw new Error(name);
  return guess(figures.map(({ name, at }) => at + (off[name] ?? 0)));
}

export const ROUNDED: Readonly<Record<ReadingName, number>> = {
  ...READINGS,
  yaw_deg: 0.5,
  x_mm: 0.5,
  y_mm: 0.5,
};

/** Normal noise by Box and Muller (1958), as large as a gauge's last digit by `share`. */
export function noise(seed: number): () => number {
  const generator = xoroshiro128plus(seed);
  return () =>
    Math.sqrt(-2 * Math.log(1 - uniformFloat64(generator))) * Math.cos(2 * Math.PI * uniformFloat64(generator));
}

/** @param share noise's standard deviation over the last digit. */
export function measure(
  rig: Rig,
  prop: Guess,
  rows: readonly (readonly number[])[],
  names: readonly ReadingName[],
  seed: number,
  share = 0.5,
  points: Points = {},
): TableRow[] {
  const poses = new Poses(rig.platform!, rig.joints.slice(0, 6), rows).at(prop);
  const next = noise(seed);
  return rows.map((pulses_us, i) => ({
    line: i + 2,
    pulses_us,
    legs: [NaN, NaN, NaN, NaN, NaN, NaN],
    plate: names.map((name) => {
      const step = ROUNDED[name];
      const value = readingOf(name, prop, poses[i]!, points) + share * step * next();
      return { name, value: share === 0 ? value : Math.round(value / step) * step };
    }),
  }));
}

export const PLATE = ['height_mm', 'tilt_x_deg', 'tilt_y_deg'] as const;

/** Asks and designs for the tests of the design search: an owl's, drawn by a seeded generator. */
import { readFileSync } from 'node:fs';
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import type { Design } from '../../../host/design/design.ts';
import type { Ask } from '../../../host/design/evaluate/ask.ts';
import { readRig } from '../../../host/rig/read.ts';
import { type Rig, toRad } from '../../../host/rig/rig.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';

export const readFile = (path: string): string => readFileSync(new URL(`../../../${path}`, import.meta.url), 'utf8');

export function demoOwl(): Rig {
  const { rig, problems } = readRig(readFile('host/demo/night-owl.yaml'));
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

/** 20 deg of roll, yaw and pitch, 8 mm up and down, half of it at once. */
export const WANTED = Float64Array.from([
  0,
  0,
  0,
  0,
  8,
  8,
  toRad(15),
  toRad(15),
  toRad(12),
  toRad(12),
  toRad(20),
  toRad(20),
]);

export function askOf(rig: Rig, changes: Partial<Ask> = {}): Ask {
  return {
    rig,
    must: { travels: WANTED, together: 0.5, spare: 0.1, built_within_mm: 0.5 },
    room: { base_radius_mm: null, plate_radius_mm: null, height_mm: null },
    firm: { lowest_hz: 5, use: 0.8, hold_use: 0.5 },
    rod_end_rad: null,
    classes: [],
    clearance: usualClearance(),
    margins: { weight: 1, voltage: 1 },
    keeps: { base: false, plate: false, azimuths: false },
    freeAxes: [],
    counterweights: [],
    stream: null,
    samples: [],
    ...changes,
  };
}

/** Crank designs about the owl's size. */
export function randomDesigns(count: number, seed: number): Design[] {
  const random = xoroshiro128plus(seed);
  const within = (from: number, to: number): number => from + (to - from) * uniformFloat64(random);
  return Array.from({ length: count }, (_, k) => ({
    base_radius_mm: within(50, 90),
    base_half_rad: toRad(within(6, 50)),
    plate_radius_mm: within(35, 75),
    plate_half_rad: toRad(within(6, 54)),
    crank_mm: within(14, 32),
    rod_mm: within(80, 160),
    stroke_mm: null,
    home_z_mm: null,
    facing: k % 2 === 0 ? 'outward' : 'inward',
    servo: -1,
    limit_rad: null,
    axes: [],
  }));
}

/** Asks and designs for the tests of the design search: an owl's, drawn by a seeded generator. */
import { readFileSync } from 'node:fs';
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import type { Design } from '../../../host/design/design.ts';
import type { Ask } from '../../../host/design/evaluate/ask.ts';
import { readRig } from '../../../host/rig/read.ts';
import { readStream } from '../../../host/stream/read.ts';
import { StoredStream } from '../../../host/stream/stored.ts';
import { type Rig, toRad } from '../../../host/rig/rig.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';

/** By its path from the root of the tree, where tests and benches run. */
export const readFile = (path: string): string => readFileSync(path, 'utf8');

export function demoOwl(): Rig {
  const { rig, problems } = readRig(readFile('host/demo/night-owl.yaml'));
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

/** The demo's show at every frame. */
export async function dusk(rig: Rig): Promise<StoredStream> {
  const stored = new StoredStream(rig.joints.length - 6);
  for await (const { frames } of readStream([Buffer.from(readFile('host/demo/dusk.csv'))], rig))
    for (const frame of frames) stored.push(frame);
  return stored;
}

/** 8 mm up and down, 15 deg of roll, 12 of pitch, 20 of yaw. */
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
    bounds: { lowest_hz: 5, use: 0.8, hold_use: 0.5, height_mm: null },
    classes: [],
    clearance: usualClearance(),
    margins: { weight: 1, voltage: 1 },
    keeps: { base: false, plate: false, azimuths: false },
    ownLimits: rig.joints.slice(0, 6).map(() => false),
    freeAxes: [],
    counterweights: [],
    bounded: [],
    stream: null,
    samples: [],
    ...changes,
  };
}

/** Numbers from 0 to 1. */
export function draws(seed: number): () => number {
  const random = xoroshiro128plus(seed);
  return () => uniformFloat64(random);
}

/** Crank designs about the owl's size. */
export function randomDesigns(count: number, seed: number): Design[] {
  const next = draws(seed);
  const within = (from: number, to: number): number => from + (to - from) * next();
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
    limits: null,
    axes: [],
  }));
}

/** Rigs of every kind for the tests of why: the demo changed one figure at a time, and small ones that are quick to look into. */
import { readFileSync } from 'node:fs';
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { scanStream } from '../../../host/stream/read.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { type Looked, type WhyStream, lookInto } from '../../../host/why/why.ts';
import { LIFT, TILT } from '../load/rigs.ts';

export const target = simTarget({ wasm: readFileSync('build/controller.wasm') });

export const OWL = readFileSync('host/demo/night-owl.yaml', 'utf8');

/** The part of the demo's stream in which its nod is out of torque. */
export const QUICK_NOD = readFileSync('host/demo/dusk.csv', 'utf8')
  .split('\n')
  .filter((line) => !/^[\d.]/.test(line) || (Number.parseFloat(line) >= 10 && Number.parseFloat(line) <= 12.2))
  .join('\n');

type Change = readonly [from: string | RegExp, to: string];

/** The text with every change made; each must change something. */
export const edit = (text: string, ...changes: readonly Change[]): string =>
  changes.reduce((now, [from, to]) => {
    const next = now.replace(from, () => to);
    if (next === now) throw new Error(`nothing to change: ${String(from)}`);
    return next;
  }, text);

/** The six legs alone, on the ground. */
export const LEGS = edit(
  OWL,
  [/\njoints:[^]*?\nmotion:/, '\nmotion:'],
  ['on: nod  ', 'on: ground'],
  [/ {2}- \{ name: frame.*\n {2}- \{ name: counterweight.*\n/, ''],
);

const mounted = (rpy: string): string => edit(LEGS, ['rpy_deg: [0, 90, 0]', `rpy_deg: ${rpy}`]);

/** By what is peculiar to it. */
export const KINDS: Readonly<Record<string, string>> = {
  'the demo': OWL,
  'legs only': LEGS,
  'joints only': TILT,
  'a linear drive': LIFT,
  'masses missing': edit(OWL, [/mass_kg: (\{[^}]*\}|[\d.]+)/g, 'mass_kg: unknown']),
  'no parts': edit(LEGS, [/\nparts:[^]*?\nservos:/, '\nservos:']),
  'torque unknown': edit(LEGS, ['stall_torque_nm: 1.9', 'stall_torque_nm: unknown']),
  'speed unknown': edit(LEGS, ['no_load_speed_deg_s: 380', 'no_load_speed_deg_s: unknown']),
  'current unknown': edit(LEGS, ['stall_current_a: 2.3', 'stall_current_a: unknown']),
  'no supply': edit(LEGS, [/supply:.*\n/, '']),
  'a small battery': edit(LEGS, [
    /supply:.*\n/,
    'supply: { kind: battery, voltage_v: 6, current_a: 3, cells: 5, low_v: 5, fuse_a: 2 }\n',
  ]),
  'a payload that no pose can hold': edit(OWL, ['mass_kg: 0.62', 'mass_kg: 40']),
  'as fast as without load': edit(
    OWL,
    ['speed_deg_s: 90\n', 'speed_deg_s: 126.67\n'],
    ['leg: { speed_deg_s: 220', 'leg: { speed_deg_s: 380'],
  ),
  'faster than without load': edit(
    OWL,
    ['speed_deg_s: 90\n', 'speed_deg_s: 400\n'],
    ['leg: { speed_deg_s: 220', 'leg: { speed_deg_s: 900'],
  ),
  'upside down': mounted('[180, 0, 0]'),
  'on its side': mounted('[90, 0, 0]'),
  'no mount': edit(LEGS, [/ {2}mount:.*\n/, '']),
  'hardly any stiffness': edit(LEGS, ['stiffness_nm_rad: unknown', 'stiffness_nm_rad: 0.2']),
  // Six equal legs side by side: the plate may move sideways while none of them does.
  'singular at home': edit(LIFT, [
    'moving: { radius_mm: 60, half_angle_deg: 46 }',
    'moving: { radius_mm: 90, half_angle_deg: 14 }',
  ]),
};

export function rigOf(text: string): Rig {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

export async function streamOf(text: string, rig: Rig): Promise<WhyStream> {
  const source = [new TextEncoder().encode(text)];
  return { name: 'show.csv', scan: await scanStream(source, rig), source };
}

const looks = new Map<string, Promise<Looked>>();

/** Each rig with each stream is looked into once in a test file. */
export function lookedInto(text: string, streamText: string | null = null): Promise<Looked> {
  const key = `${text}\n---\n${streamText ?? ''}`;
  const known = looks.get(key);
  if (known) return known;
  const look = (async (): Promise<Looked> => {
    const rig = rigOf(text);
    return lookInto(rig, { stream: streamText === null ? null : await streamOf(streamText, rig), target });
  })();
  looks.set(key, look);
  return look;
}

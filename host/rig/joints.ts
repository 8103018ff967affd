/**
 * The joints of the file, legs first, with what the servo class, the platform and the motion say of them filled in, in the
 * units of rig.ts. Checks what concerns one joint alone: limits, home, rest and the pulses at its soft limits.
 */
import { centreWords } from './centring.ts';
import { between } from './fields.ts';
import { legCoordinate } from './legs.ts';
import type { Path, Say } from './problem.ts';
import { type Joint, type Platform, HOME, toRad, toShown } from './rig.ts';
import type { AccelFile, AxisFile, LegFile, MotionFile, PlatformFile } from './schema.ts';
import type { ServoClass } from './servo.ts';
import { LEGS } from './shape.ts';
import type { Sources } from './sources.ts';
import { short, together } from './words.ts';
import { positionAt, pulseAt } from './pulse.ts';

/** The joint at index i, legs first, is on pin i + 2 unless it names its pin. */
export const defaultPin = (index: number): number => index + 2;

const RAD = toRad(1);

/** Both directions of an acceleration limit, in the file's unit. */
const bothWays = (accel: AccelFile | undefined): { plus: number; minus: number } =>
  typeof accel === 'object' ? accel : { plus: accel ?? NaN, minus: accel ?? NaN };

/** What the file may say of any joint's pulses. */
interface PulseFile {
  readonly pin?: number | undefined;
  readonly sense: 1 | -1;
  readonly centre_us?: number | undefined;
  readonly range_us?: [number, number] | undefined;
}

const pulses = (file: PulseFile, servo: ServoClass, index: number) => ({
  servo: servo.servo,
  pin: file.pin ?? defaultPin(index),
  sense: file.sense,
  centre_us: file.centre_us ?? servo.centre_us,
  range_us: file.range_us ?? servo.range_us,
});

/** An entry that says nothing. */
const PLAIN_LEG: LegFile = { sense: 1 };

export interface LegsInput {
  readonly platform: Platform;
  readonly file: PlatformFile;
  readonly servo: ServoClass;
  /** By name; a leg that is not there is all nominal, unless its entry is in `wrong`. */
  readonly entries: ReadonlyMap<string, LegFile>;
  readonly wrong: ReadonlySet<string>;
  /** Null: wrong, and told already; speeds are then NaN. */
  readonly motion: MotionFile | null;
}

/** leg1 … leg6; undefined where the entry in the file is wrong. */
export function buildLegs(input: LegsInput, sources: Sources): (Joint | undefined)[] {
  const { platform, file, servo, motion } = input;
  const linear = file.drive === 'linear';
  const unit = linear ? 1 : RAD;
  const { plus, minus } = bothWays(linear ? motion?.leg?.accel_mm_s2 : motion?.leg?.accel_deg_s2);
  const speed = (linear ? motion?.leg?.speed_mm_s : motion?.leg?.speed_deg_s) ?? NaN;
  const common = linear ? file.limit_mm : file.limit_deg;
  return LEGS.map((name, i) => {
    if (input.wrong.has(name)) return undefined;
    const entry = input.entries.get(name) ?? PLAIN_LEG;
    const [lo, hi] = (linear ? entry.limit_mm : entry.limit_deg) ?? common;
    const walked = linear ? entry.walked_mm : entry.walked_deg;
    const [key, scale] = linear
      ? (['us_per_mm', entry.us_per_mm] as const)
      : (['us_per_deg', entry.us_per_deg] as const);
    return {
      name,
      kind: 'leg',
      unit: linear ? 'mm' : 'deg',
      ...pulses(entry, servo, i),
      us_per_unit: (sources.take(`joints.${name}.${key}`, scale) ?? servo.us_per_shown) / unit,
      centre: linear ? (file.stroke_mm[0] + file.stroke_mm[1]) / 2 : 0,
      lo: lo * unit,
      hi: hi * unit,
      walked: walked ? [walked[0] * unit, walked[1] * unit] : null,
      rest: legCoordinate(platform, i, platform.rest) ?? NaN,
      home: legCoordinate(platform, i, HOME) ?? NaN,
      speed: speed * unit,
      plus: plus * unit,
      minus: minus * unit,
      plus_gone: Infinity,
      minus_gone: Infinity,
      gear_ratio: 1,
      gear_efficiency: 1,
      gear_play_rad: null,
      axis: null,
      at_mm: null,
      load: null,
    };
  });
}

/** A joint that is no leg. */
export function buildAxis(name: string, index: number, file: AxisFile, servo: ServoClass, sources: Sources): Joint {
  const path = `joints.${name}`;
  const gear_ratio = sources.must(`${path}.gear_ratio`, file.gear_ratio);
  const us_per_deg = sources.take(`${path}.us_per_deg`, file.us_per_deg) ?? servo.us_per_shown;
  const play_deg = sources.take(`${path}.gear_play_deg`, file.gear_play_deg);
  const { plus, minus } = bothWays(file.accel_deg_s2);
  // Home is 0, or the soft limit nearest to it.
  const home_deg = Math.min(Math.max(0, file.limit_deg[0]), file.limit_deg[1]);
  return {
    name,
    kind: 'axis',
    unit: 'deg',
    ...pulses(file, servo, index),
    us_per_unit: (us_per_deg / RAD) * gear_ratio,
    centre: 0,
    lo: toRad(file.limit_deg[0]),
    hi: toRad(file.limit_deg[1]),
    walked: file.walked_deg ? [toRad(file.walked_deg[0]), toRad(file.walked_deg[1])] : null,
    rest: toRad(file.rest_deg ?? home_deg),
    home: toRad(home_deg),
    speed: toRad(file.speed_deg_s),
    plus: toRad(plus),
    minus: toRad(minus),
    plus_gone: toRad(file.accel_gone_at_deg_s?.plus ?? Infinity),
    minus_gone: toRad(file.accel_gone_at_deg_s?.minus ?? Infinity),
    gear_ratio,
    gear_efficiency: sources.take(`${path}.gear_efficiency`, file.gear_efficiency) ?? 1,
    gear_play_rad: play_deg === null ? null : toRad(play_deg),
    axis: axisOf(file),
    at_mm: file.at_mm ?? null,
    load: loadOf(path, file, sources),
  };
}

function axisOf({ axis }: AxisFile): Joint['axis'] {
  if (!axis) return null;
  const length = Math.hypot(...axis.along);
  const [x, y, z] = axis.along;
  return { on: axis.on === 'ground' ? null : axis.on, at_mm: axis.at_mm, along: [x / length, y / length, z / length] };
}

function loadOf(path: string, { load }: AxisFile, sources: Sources): Joint['load'] {
  if (!load) return null;
  return {
    mass_kg: sources.take(`${path}.load.mass_kg`, load.mass_kg),
    arm_mm: sources.take(`${path}.load.arm_mm`, load.arm_mm),
    arm_level_at_rad: toRad(load.arm_level_at_deg),
    inertia_kgm2: sources.take(`${path}.load.inertia_kgm2`, load.inertia_kgm2),
  };
}

/** The rest of a joint that is no leg must lie within its soft limits. */
export function checkPlaces(name: string, file: AxisFile, say: Say): void {
  const [lo, hi] = file.limit_deg;
  const allowed = `allowed: within limit_deg, ${between(lo, hi, 'deg')}`;
  if (file.rest_deg !== undefined && (file.rest_deg < lo || file.rest_deg > hi))
    say.error(['joints', name, 'rest_deg'], `found ${short(file.rest_deg)}; ${allowed}`);
}

/**
 * A soft limit whose pulse the servo does not take. Joints with the same fault are told together.
 * @param limitPath where the limits of a joint stand in the file.
 */
export function checkPulses(joints: readonly Joint[], limitPath: (joint: Joint) => Path, say: Say): void {
  const faults = new Map<string, { path: Path; names: string[] }>();
  for (const joint of joints) {
    const fault = pulseFault(joint);
    if (fault === null) continue;
    const path = limitPath(joint);
    const key = JSON.stringify([path, fault]);
    const known = faults.get(key) ?? { path, names: [] };
    faults.set(key, { path, names: [...known.names, joint.name] });
  }
  for (const [key, { path, names }] of faults)
    say.error(path, `${together(names)}: ${(JSON.parse(key) as [unknown, string])[1]}`);
}

/** Rounding of a limit that stands exactly at the end of the range, us. */
const ROUNDING_US = 1e-6;

function pulseFault(joint: Joint): string | null {
  const [lowest, highest] = joint.range_us;
  const pulse = (at: number): number => pulseAt(joint, at);
  const outside = (at: number): boolean => pulse(at) < lowest - ROUNDING_US || pulse(at) > highest + ROUNDING_US;
  const wrong = [joint.lo, joint.hi].filter(outside);
  if (wrong.length === 0) return null;
  const shown = (at: number): string => short(toShown(joint, at));
  const ends = wrong.map((at) => `${short(pulse(at), 0)} µs at ${shown(at)} ${joint.unit}`);
  const reached = [lowest, highest]
    .map((us) => positionAt(joint, us))
    .sort((a, b) => a - b)
    .map(shown);
  const centre = centreWords(joint);
  const gear = joint.gear_ratio === 1 ? '' : `; behind its gear of ${short(joint.gear_ratio, 2)}:1`;
  return `the pulse at a soft limit would be ${together(ends)}; allowed: range_us, ${short(lowest)} … ${short(highest)} µs${gear ? `${gear} that` : ', which'} leaves ${reached.join(' … ')} ${joint.unit}${centre === null ? '' : `; ${centre}`}`;
}

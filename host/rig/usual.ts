/**
 * What figures such props have, in one table: far outside of it a figure is most often right in another unit. Nothing here is refused
 * (schema*.ts does that); a prop that is really so large is right.
 *
 * The ranges are ours: usual, not measured; servos' from the data sheets of hobby servos, from memory. They leave room on both sides,
 * so that a warning means a factor of some thirty from what is common.
 */
import type { Path, Say } from './problem.ts';

/** A figure written in `unit` is so many times what it is in the key's unit. */
interface Slip {
  readonly unit: string;
  readonly times: number;
}

interface Usual {
  /** Key path; `*` is any name. */
  readonly at: string;
  readonly unit: string;
  readonly least: number;
  readonly most: number;
  readonly slips: readonly Slip[];
}

const GRAMS: Slip = { unit: 'g', times: 1000 };
const METRES: Slip = { unit: 'm', times: 1 / 1000 };
const CENTIMETRES: Slip = { unit: 'cm', times: 1 / 10 };
const RADIANS: Slip = { unit: 'rad', times: Math.PI / 180 };
const MILLIAMPS: Slip = { unit: 'mA', times: 1000 };
const MILLISECONDS: Slip = { unit: 'ms', times: 1000 };
const MICRONS: Slip = { unit: 'µm', times: 1000 };
const lengths = [CENTIMETRES, METRES, MICRONS];

/** What servos' scales are, µs per degree. */
export const US_PER_DEG = [1, 100] as const;

const of = (unit: string, least: number, most: number, slips: readonly Slip[], ...paths: string[]): Usual[] =>
  paths.map((at) => ({ at, unit, least, most, slips }));

const USUAL: readonly Usual[] = [
  ...of('kg', 0, 10, [GRAMS], 'parts.*.mass_kg', 'joints.*.load.mass_kg'),
  ...of('kg', 0, 0.5, [GRAMS], 'platform.crank_kg', 'platform.rod_kg'),
  ...of('mm', 15, 600, lengths, 'platform.base.radius_mm', 'platform.moving.radius_mm'),
  ...of('mm', 4, 200, lengths, 'platform.crank_mm'),
  ...of('mm', 15, 1000, lengths, 'platform.rod_mm'),
  ...of('mm', 0, 1500, [MICRONS], 'platform.mount.at_mm.*', 'platform.pivot_mm.*', 'parts.*.at_mm.*'),
  ...of('mm', 0, 1500, [MICRONS], 'joints.*.at_mm.*', 'joints.*.axis.at_mm.*', 'joints.*.load.arm_mm'),
  ...of('mm', 0.1, 1500, lengths, 'parts.*.shape.*.radii_mm.*', 'parts.*.shape.*.size_mm.*'),
  ...of('mm', 0.1, 1500, lengths, 'parts.*.shape.*.radius_mm', 'parts.*.shape.*.length_mm'),
  ...of('kg·m²', 0, 1, [{ unit: 'kg·mm²', times: 1e6 }], 'joints.*.load.inertia_kgm2'),
  ...of('deg', 2, 90, [RADIANS], 'platform.rod_end_deg'),
  ...of('deg', 1.1, 60, [RADIANS], 'platform.base.half_angle_deg', 'platform.moving.half_angle_deg'),
  ...of('N·m', 0.03, 60, [{ unit: 'N·mm', times: 1000 }], 'servos.*.stall_torque_nm'),
  ...of('kgf·cm', 0.3, 600, [{ unit: 'N·m', times: 0.0980665 }], 'servos.*.stall_torque_kgcm'),
  ...of('ozf·in', 4, 8500, [{ unit: 'N·m', times: 0.00706155 }], 'servos.*.stall_torque_ozin'),
  ...of('deg/s', 30, 3000, [RADIANS], 'servos.*.no_load_speed_deg_s'),
  ...of('s', 0.02, 2, [MILLISECONDS], 'servos.*.no_load_s_per_60deg'),
  ...of('N', 0.5, 10_000, [{ unit: 'kgf', times: 1 / 9.80665 }], 'servos.*.force_n'),
  ...of('mm/s', 0.5, 2000, [METRES, MICRONS], 'servos.*.speed_mm_s'),
  ...of('A', 0.05, 50, [MILLIAMPS], 'servos.*.stall_current_a'),
  ...of('us per degree', ...US_PER_DEG, [{ unit: 'us per radian', times: 180 / Math.PI }], 'servos.*.us_per_deg'),
  ...of('us per degree', ...US_PER_DEG, [{ unit: 'us per radian', times: 180 / Math.PI }], 'joints.*.us_per_deg'),
  ...of('us', 0, 50, [{ unit: 'ns', times: 1000 }], 'servos.*.deadband_us'),
  ...of('', 0.1, 60, [], 'joints.*.gear_ratio'),
  ...of('deg', 0, 10, [], 'joints.*.gear_play_deg'),
  ...of('deg/s', 3, 3000, [RADIANS], 'joints.*.speed_deg_s', 'motion.leg.speed_deg_s'),
  ...of('deg/s', 3, 3000, [RADIANS], 'motion.pose_speed.roll_deg_s', 'motion.pose_speed.pitch_deg_s'),
  ...of('deg/s', 3, 3000, [RADIANS], 'motion.pose_speed.yaw_deg_s'),
  ...of('deg/s²', 30, 200_000, [RADIANS], 'joints.*.accel_deg_s2', 'joints.*.accel_deg_s2.*'),
  ...of('deg/s²', 30, 200_000, [RADIANS], 'motion.leg.accel_deg_s2', 'motion.leg.accel_deg_s2.*'),
  ...of('mm/s', 1, 5000, [METRES, MICRONS], 'motion.leg.speed_mm_s', 'motion.pose_speed.x_mm_s'),
  ...of('mm/s', 1, 5000, [METRES, MICRONS], 'motion.pose_speed.y_mm_s', 'motion.pose_speed.z_mm_s'),
  ...of('mm/s²', 10, 500_000, [METRES, MICRONS], 'motion.leg.accel_mm_s2', 'motion.leg.accel_mm_s2.*'),
  ...of('Hz', 0.3, 60, [], 'motion.wobble.hz'),
  ...of('V', 3, 60, [{ unit: 'mV', times: 1000 }], 'supply.voltage_v'),
  ...of('A', 0.1, 150, [MILLIAMPS], 'supply.current_a', 'supply.fuse_a'),
];

type Raw = Readonly<Record<string, unknown>>;

const isGroup = (value: unknown): value is Raw => typeof value === 'object' && value !== null;

/** Every place in the file that a pattern means, with what stands there. */
function placesOf(data: unknown, [step, ...rest]: readonly string[], path: Path = []): [Path, unknown][] {
  if (step === undefined) return [[path, data]];
  if (!isGroup(data)) return [];
  const keys = step === '*' ? Object.keys(data) : Object.hasOwn(data, step) ? [step] : [];
  return keys.flatMap((key) => placesOf(data[key], rest, [...path, Array.isArray(data) ? Number(key) : key]));
}

/** What is usual of a key, such as `15 to 600 mm`; null: the table has no such key. `path`: from the root, `*` for any name. */
export function usualFigures(path: readonly string[]): string | null {
  const at = path.join('.');
  const usual = USUAL.find((entry) => entry.at === at || entry.at === `${at}.*`);
  return usual ? rangeOf(usual) : null;
}

/** The number of a figure; null: it has none. */
function numberOf(figure: unknown): number | null {
  const value = isGroup(figure) ? figure['value'] : figure;
  return typeof value === 'number' && Number.isFinite(value) ? value : null;
}

/** Warns of every figure in the file that is far from what such props have. `data`: the file's keys and values. */
export function adviseUnusual(data: Raw, say: Say): void {
  for (const usual of USUAL)
    for (const [path, figure] of placesOf(data, usual.at.split('.'))) {
      const value = numberOf(figure);
      const words = value === null || value === 0 || isUsual(usual, value) ? null : unusualWords(usual, value);
      if (words !== null) say.warning(path, words);
    }
  radianLimits(data, say);
}

const isUsual = ({ least, most }: Usual, value: number): boolean => Math.abs(value) >= least && Math.abs(value) <= most;

/** So many times the usual most is beyond what the schema allows. */
const REFUSED = 20;

const figures = (value: number): string => String(Number(value.toPrecision(3)));

const rangeOf = ({ unit, least, most }: Usual): string =>
  `${least > 0 ? `${figures(least)} to ${figures(most)}` : `up to ${figures(most)}`}${unit && ` ${unit}`}`;

/** Null: it is refused anyway, and no other unit makes sense of it. */
function unusualWords(usual: Usual, value: number): string | null {
  const { unit, most, slips } = usual;
  const meant = slips.find(({ times }) => isUsual(usual, value / times));
  const told = `found ${figures(value)}${unit && ` ${unit}`}, and such props have ${rangeOf(usual)} (usual, not measured)`;
  if (!meant && Math.abs(value) > REFUSED * most) return null;
  if (!meant) return `${told}: is it in another unit?`;
  return `${told}: is it in ${meant.unit}? Then write ${figures(value / meant.times)}`;
}

/** Soft limits nearer together than this are likely in radians, deg. */
const NARROW_DEG = 3.5;

function radianLimits(data: Raw, say: Say): void {
  for (const pattern of ['platform.limit_deg', 'joints.*.limit_deg'])
    for (const [path, limits] of placesOf(data, pattern.split('.'))) {
      const [lo, hi] = (Array.isArray(limits) ? limits : []).map(numberOf);
      if (typeof lo !== 'number' || typeof hi !== 'number' || !(hi > lo && hi - lo < NARROW_DEG)) continue;
      const meant = [lo, hi].map((value) => figures(value / RADIANS.times));
      say.warning(
        path,
        `found [${figures(lo)}, ${figures(hi)}] deg, and joints move further (usual, not measured): is it in radians? Then write [${meant.join(', ')}]`,
      );
    }
}

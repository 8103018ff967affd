/**
 * A servo class of the file: data-sheet units into SI, and of several rows by voltage the one that the supply picks.
 */
import type { Say } from './problem.ts';
import type { Servo } from './rig.ts';
import { toRad } from './rig.ts';
import { type ServoFile, type ServoRow, isLinear } from './schema.ts';
import type { Sources } from './sources.ts';
import { KGF_CM, OZF_IN } from './torque.ts';
import { short } from './words.ts';

/** A class, and how its pulses go when no joint says otherwise. */
export interface ServoClass {
  readonly servo: Servo;
  readonly centre_us: number;
  /** us per degree, or per mm. */
  readonly us_per_shown: number;
  readonly range_us: readonly [number, number];
}

/** What the servo gives, N·m and rad/s, or N and mm/s; null: unknown. */
interface Output {
  readonly stall: number | null;
  readonly speed: number | null;
  readonly current_a: number | null;
}

const UNKNOWN: Output = { stall: null, speed: null, current_a: null };

/**
 * @param voltage_v what the supply gives; null: the file does not say; undefined: what it says is wrong, and told already.
 */
export function buildServo(
  name: string,
  file: ServoFile,
  voltage_v: number | null | undefined,
  sources: Sources,
  say: Say,
): ServoClass {
  const path = `servos.${name}`;
  const linear = isLinear(file);
  const output = file.at_v ? outputAt(name, file.at_v, voltage_v, sources, say) : outputOf(path, file, sources);
  const [scaleKey, scale] = linear
    ? (['us_per_mm', file.us_per_mm] as const)
    : (['us_per_deg', file.us_per_deg] as const);
  return {
    servo: {
      name,
      drive: linear ? 'linear' : 'rotary',
      stall: output.stall,
      no_load_speed: output.speed,
      stall_current_a: output.current_a,
      frame_hz: file.frame_hz,
      deadband_us: sources.take(`${path}.deadband_us`, file.deadband_us),
      rotor_inertia_kgm2: sources.take(`${path}.rotor_inertia_kgm2`, file.rotor_inertia_kgm2),
      stiffness_nm_rad: sources.take(`${path}.stiffness_nm_rad`, file.stiffness_nm_rad),
      friction_nm: sources.take(`${path}.friction_nm`, file.friction_nm),
      thermal_tau_s: sources.take(`${path}.thermal_tau_s`, file.thermal_tau_s),
      continuous_use: file.continuous_use,
      peak_use: file.peak_use,
      spline_teeth: file.spline_teeth,
      no_pulse: file.no_pulse,
    },
    centre_us: file.centre_us,
    us_per_shown: sources.take(`${path}.${scaleKey}`, scale) ?? NaN,
    range_us: file.range_us,
  };
}

/** One row, or a class without rows: exactly one key of each kind is there. */
function outputOf(path: string, row: ServoRow, sources: Sources): Output {
  const take = (key: keyof ServoRow): number | null => sources.take(`${path}.${key}`, row[key]);
  const times = (value: number | null, by: number): number | null => (value === null ? null : value * by);
  const per60 = take('no_load_s_per_60deg');
  return {
    stall:
      take('stall_torque_nm') ??
      times(take('stall_torque_kgcm'), KGF_CM) ??
      times(take('stall_torque_ozin'), OZF_IN) ??
      take('force_n'),
    speed:
      times(take('no_load_speed_deg_s'), toRad(1)) ?? (per60 === null ? null : toRad(60 / per60)) ?? take('speed_mm_s'),
    current_a: take('stall_current_a'),
  };
}

/** Between two rows the figures go in a straight line (common practice); beyond them nobody knows. */
function outputAt(
  name: string,
  rows: Readonly<Record<string, ServoRow>>,
  voltage_v: number | null | undefined,
  sources: Sources,
  say: Say,
): Output {
  const volts = Object.keys(rows).sort((a, b) => Number(a) - Number(b));
  const at = (key: string): Output => outputOf(`servos.${name}.at_v.${key}`, rows[key] ?? {}, sources);
  const lowest = Number(volts[0]);
  const highest = Number(volts.at(-1));
  if (voltage_v === undefined) return UNKNOWN;
  const path = ['servos', name, 'at_v'];
  const span = `${short(lowest, 2)} … ${short(highest, 2)} V`;
  if (voltage_v === null) {
    say.warning(
      path,
      `supply.voltage_v is unknown, so no row can be chosen (${span}): what ${name} can give counts as unknown`,
    );
    return UNKNOWN;
  }
  if (voltage_v < lowest || voltage_v > highest) {
    say.error(
      path,
      `the supply gives ${short(voltage_v, 2)} V, and the rows of ${name} go from ${short(lowest, 2)} to ${short(highest, 2)} V; allowed: a supply within them, or a row for it`,
    );
    return UNKNOWN;
  }
  const upper = volts.find((key) => Number(key) >= voltage_v) ?? '';
  const lower = volts.findLast((key) => Number(key) <= voltage_v) ?? '';
  if (upper === lower) return at(upper);
  return mixed(at(lower), at(upper), (voltage_v - Number(lower)) / (Number(upper) - Number(lower)));
}

function mixed(low: Output, high: Output, share: number): Output {
  const mix = (a: number | null, b: number | null): number | null =>
    a === null || b === null ? null : a + share * (b - a);
  return {
    stall: mix(low.stall, high.stall),
    speed: mix(low.speed, high.speed),
    current_a: mix(low.current_a, high.current_a),
  };
}

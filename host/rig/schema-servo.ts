/** A servo class in the rig file's schema: data-sheet units, one of each; rows by voltage. */
import type { z } from 'zod';
import { CURRENT, SCALE, choice, exactlyOne, figure, named, needed, number, rule, section, whole } from './fields.ts';
import { pulse, range } from './schema-common.ts';
import { either } from './words.ts';

const TORQUES = ['stall_torque_nm', 'stall_torque_kgcm', 'stall_torque_ozin'] as const;
const SPEEDS = ['no_load_speed_deg_s', 'no_load_s_per_60deg'] as const;
const FORCES = ['force_n'] as const;
const TRAVELS = ['speed_mm_s'] as const;
/** What only a servo that turns has, whatever its voltage. */
const TURNING = ['rotor_inertia_kgm2', 'stiffness_nm_rad', 'friction_nm'] as const;
const output = {
  stall_torque_nm: figure('a torque in N·m', { atLeast: 1e-7, atMost: 1000 }).optional(),
  stall_torque_kgcm: figure('a torque in kgf·cm', { atLeast: 1e-3, atMost: 10_000 }).optional(),
  stall_torque_ozin: figure('a torque in ozf·in', { atLeast: 0.01, atMost: 100_000 }).optional(),
  no_load_speed_deg_s: figure('a speed in deg/s', { atLeast: 1, atMost: 100_000 }).optional(),
  no_load_s_per_60deg: figure('seconds for 60 degrees', { atLeast: 0.001, atMost: 60 }).optional(),
  force_n: figure('a force in N', { atLeast: 0.01, atMost: 100_000 }).optional(),
  speed_mm_s: figure('a speed in mm/s', { atLeast: 0.01, atMost: 100_000 }).optional(),
  stall_current_a: figure('a current in A', CURRENT).optional(),
};

type Raw = Readonly<Record<string, unknown>>;
const has = (it: Raw, keys: readonly string[]): boolean => keys.some((key) => it[key] !== undefined);

/** A class is linear as soon as it has a key that only a linear one has; so is each of its rows by voltage. */
export const isLinear = (servo: Raw): boolean => {
  const rows: unknown = servo['at_v'];
  const nested = typeof rows === 'object' && rows !== null ? Object.values(rows as Raw) : [];
  return [servo, ...nested].some(
    (it) => typeof it === 'object' && it !== null && has(it as Raw, [...FORCES, ...TRAVELS, 'us_per_mm']),
  );
};

/** A key of the other kind of servo. */
function kindFault(it: Raw, others: readonly string[], linear: boolean): string | null {
  const wrong = others.find((key) => it[key] !== undefined);
  return wrong === undefined
    ? null
    : `found ${wrong} beside keys of a ${linear ? 'linear' : 'rotary'} servo; allowed: one kind`;
}

function outputFault(it: Raw, linear: boolean): string | null {
  const wrong = kindFault(it, linear ? [...TORQUES, ...SPEEDS, ...TURNING] : [...FORCES, ...TRAVELS], linear);
  if (wrong !== null) return wrong;
  return exactlyOne(it, linear ? FORCES : TORQUES) ?? exactlyOne(it, linear ? TRAVELS : SPEEDS);
}

/** What speaks against a class as a whole; null: nothing. */
export function servoFault(it: Raw): string | null {
  const linear = isLinear(it);
  if (it['at_v'] === undefined) return outputFault(it, linear);
  const beside = Object.keys(output).find((key) => it[key] !== undefined);
  if (beside !== undefined) return `found ${beside} beside at_v; allowed: inside the rows of at_v only`;
  return linear ? kindFault(it, TURNING, linear) : null;
}

/** What speaks against its rows by voltage. */
export function rowsFault(it: Raw): string | null {
  const volts = Object.entries((it['at_v'] as Raw | undefined) ?? {});
  const wrong = volts.map(([at, given]) => [at, outputFault((given ?? {}) as Raw, isLinear(it))] as const);
  const first = wrong.find(([, fault]) => fault !== null);
  return first ? `at ${first[0]} V: ${first[1] ?? ''}` : null;
}

export const row = section('{ stall_torque_…, no_load_…, stall_current_a }', output);
const rows = named(row, 'a group of voltages, such as { 4.8: { … }, 6.0: { … } }').refine(
  (given) =>
    Object.keys(given).length > 0 &&
    Object.keys(given).every((volts) => Number(volts) > 0 && Number.isFinite(Number(volts))),
  {
    error: ({ input }) =>
      `found ${either(Object.keys(input as object)) || 'no rows'}; allowed: voltages above 0, such as 6.0`,
  },
);

export const servo = section('a servo class', {
  ...output,
  at_v: rows.optional(),
  frame_hz: number('pulses a second', { atLeast: 20, atMost: 1000 }),
  centre_us: pulse,
  us_per_deg: needed('us per degree', SCALE).optional(),
  us_per_mm: needed('us per mm', SCALE).optional(),
  range_us: range,
  deadband_us: figure('a time in µs', { atLeast: 0, atMost: 1000 }).optional(),
  rotor_inertia_kgm2: figure('an inertia in kg·m²', { atLeast: 0, atMost: 10, zeroOr: 1e-12 }).optional(),
  stiffness_nm_rad: figure('a stiffness in N·m/rad', { atLeast: 1e-3, atMost: 1e6 }).optional(),
  friction_nm: figure('a torque in N·m', { atLeast: 0, atMost: 1000 }).optional(),
  thermal_tau_s: figure('a time in seconds', { atLeast: 1, atMost: 100_000 }).optional(),
  continuous_use: number('a share', { atLeast: 0.01, atMost: 1 }).default(0.5),
  peak_use: number('a share', { atLeast: 0.01, atMost: 1 }).default(0.8),
  spline_teeth: whole('teeth', { atLeast: 3, atMost: 200 }).default(25),
  no_pulse: choice(['limp', 'holds', 'unknown']).default('unknown'),
})
  .refine(...rule(servoFault))
  .refine(...rule((it) => exactlyOne(it, [isLinear(it) ? 'us_per_mm' : 'us_per_deg'])))
  .refine(...rule(rowsFault, 'at_v'));

export type ServoFile = z.infer<typeof servo>;
export type ServoRow = z.infer<typeof row>;

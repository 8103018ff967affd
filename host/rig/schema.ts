/**
 * The rig file's schema: every key, what it takes, its default, and the rules between keys of one group. What concerns two
 * groups (names, pins, reach) is checked in names.ts and where the rig is built.
 */
import * as z from 'zod';
import {
  CURRENT,
  LENGTH,
  MASS,
  PART_INERTIA,
  RATE,
  VOLTAGE,
  choice,
  exactlyOne,
  figure,
  flag,
  listOf,
  missingAt,
  named,
  number,
  rule,
  section,
  text,
  vector,
  whole,
} from './fields.ts';
import { name, pin, position, direction } from './schema-common.ts';
import { accel, axisJoint, joints, leg } from './schema-joints.ts';
import { platform } from './schema-platform.ts';
import { BAUD, LINKS, baudFault, linkFault } from './links.ts';
import { night } from './night/schema.ts';
import { servo } from './schema-servo.ts';
import { either, found } from './words.ts';

export type { AccelFile, AxisFile, LegFile } from './schema-joints.ts';
export type { NightFile } from './night/schema.ts';
export type { PlateFile, PlatformFile } from './schema-platform.ts';
export { type ServoFile, type ServoRow, isLinear } from './schema-servo.ts';

type Raw = Readonly<Record<string, unknown>>;

const SHAPES = ['ellipsoid_shell', 'ellipsoid', 'box', 'cylinder', 'mesh'] as const;
const radii = section('{ radii_mm: [x, y, z] }', { radii_mm: vector('in mm', LENGTH) });
/** A rig and its meshes travel together: in one folder. */
const MESH_FILE = 'an STL file in the folder of the rig file or below it, such as head.stl';
const meshFile = text(MESH_FILE).refine((path) => !/^[/~]|^[a-z]:|\\|(^|\/)\.\.(\/|$)/i.test(path), {
  error: ({ input }) => `found ${found(input)}; allowed: ${MESH_FILE}, with / between folders`,
});
const shape = section(`one of ${either(SHAPES)}`, {
  ellipsoid_shell: radii.optional(),
  ellipsoid: radii.optional(),
  box: section('{ size_mm: [x, y, z] }', { size_mm: vector('in mm', LENGTH) }).optional(),
  cylinder: section('{ radius_mm, length_mm, along: [x, y, z] }', {
    radius_mm: number('a length in mm', LENGTH),
    length_mm: number('a length in mm', LENGTH),
    along: direction.default([0, 0, 1]),
  }).optional(),
  mesh: meshFile.optional(),
}).refine(...rule((it) => exactlyOne(it, SHAPES)));

const part = section('a part: { name, on, mass_kg, at_mm }', {
  name,
  on: name,
  mass_kg: figure('a mass in kg', MASS),
  at_mm: position,
  shape: shape.optional(),
  inertia_kgmm2: vector('in kg·mm²', PART_INERTIA).optional(),
  fitted: flag('whether it is on the prop now').default(true),
}).refine(
  ...rule((it) =>
    it['shape'] !== undefined && it['inertia_kgmm2'] !== undefined
      ? 'found shape and inertia_kgmm2; allowed: one of them, since each says how hard the part is to turn'
      : null,
  ),
);

const speed = number('a speed in mm/s', RATE).optional();
const turn = number('a speed in deg/s', RATE).optional();
const motion = section('the keys of motion, such as tick_hz and leg', {
  tick_hz: whole('ticks a second', { atLeast: 50, atMost: 1000 }).default(200),
  playback_delay_ms: number('a time in ms', { atLeast: 0, atMost: 10_000 }).default(120),
  look_ahead_ms: number('a time in ms', { atLeast: 0, atMost: 10_000 }).optional(),
  hold_s: number('a time in seconds', { above: 0, atMost: 1800 }).default(10),
  pose_speed: section('speeds of the pose, such as { x_mm_s: 60, yaw_deg_s: 90 }', {
    x_mm_s: speed,
    y_mm_s: speed,
    z_mm_s: speed,
    roll_deg_s: turn,
    pitch_deg_s: turn,
    yaw_deg_s: turn,
  }).prefault({}),
  leg: section('{ speed_deg_s, accel_deg_s2 } or, for linear legs, { speed_mm_s, accel_mm_s2 }', {
    speed_deg_s: turn,
    accel_deg_s2: accel('an acceleration in deg/s²').optional(),
    speed_mm_s: speed,
    accel_mm_s2: accel('an acceleration in mm/s²').optional(),
  }).optional(),
  wobble: section('{ cure, hz, damping }', {
    cure: choice(['none', 'exact', 'tolerant', 'broad']),
    hz: number('a frequency in Hz', { atLeast: 0.01, atMost: 500 }).optional(),
    damping: number('a damping ratio', { atLeast: 0, atMost: 0.99 }).optional(),
  })
    .refine(
      ...rule(
        (it) =>
          it['cure'] === 'none' || it['cure'] === undefined ? null : missingAt(it, 'hz', 'the frequency of the wobble'),
        'hz',
      ),
    )
    .refine(
      ...rule(
        (it) =>
          it['cure'] === 'none' || it['cure'] === undefined
            ? null
            : missingAt(it, 'damping', '0 if it rings on for long'),
        'damping',
      ),
    )
    .prefault({ cure: 'none' }),
});

const BATTERY = {
  cells: 'how many cells',
  low_v: 'the voltage at which the prop settles',
  fuse_a: 'the fuse next to the battery',
};
const forBattery = (key: keyof typeof BATTERY) =>
  rule(
    (it) =>
      it['kind'] === 'battery' && it[key] === undefined ? `is missing: a battery needs ${key}, ${BATTERY[key]}` : null,
    key,
  );
/** The number of a figure that has one. */
const valueOf = (figure: unknown): number | null => {
  const value = typeof figure === 'object' && figure !== null ? (figure as Raw)['value'] : figure;
  return typeof value === 'number' ? value : null;
};
const lowBelowSupply = rule((it) => {
  const [low_v, voltage_v] = [it['low_v'], it['voltage_v']].map(valueOf);
  return typeof low_v === 'number' && typeof voltage_v === 'number' && low_v >= voltage_v
    ? `found ${String(low_v)}; allowed: below voltage_v, ${String(voltage_v)} V, since both are volts at the servos`
    : null;
}, 'low_v');
const supply = section('{ kind, voltage_v, current_a }', {
  kind: choice(['mains', 'battery']),
  voltage_v: figure('V at the servos', VOLTAGE).optional(),
  current_a: figure('a current in A', CURRENT).optional(),
  cells: whole('cells', { atLeast: 1, atMost: 100 }).optional(),
  low_v: number('a voltage in V', { atLeast: 1, atMost: 60 }).optional(),
  fuse_a: number('a current in A', CURRENT).optional(),
})
  .refine(...forBattery('cells'))
  .refine(...forBattery('low_v'))
  .refine(...lowBelowSupply)
  .refine(...forBattery('fuse_a'));

const boardKeys = {
  kind: name,
  link: choice(LINKS, ': usb is a pico’s (its default), uart0 the serial port of every board').optional(),
  baud: z
    .literal(BAUD, {
      error: ({ input }) =>
        `found ${found(input)}; allowed: ${String(BAUD)}, the rate of every board, which hears of its rig at that rate`,
    })
    .optional(),
  stop: section('{ pin, category }', {
    pin,
    category: z
      .literal([0, 1, 2], {
        error: ({ input }) => `found ${found(input)}; allowed: 0, 1 or 2 (stop categories of IEC 60204-1)`,
      })
      .default(1),
  }).optional(),
  power_pin: pin.optional(),
};
const board = section('{ kind, link, baud, stop, power_pin }', boardKeys, {
  trigger: 'a start switch is an input of the night, night.inputs',
})
  .refine(...rule(linkFault, 'link'))
  .refine(...rule(baudFault, 'baud'))
  .refine(
    ...rule((it) => {
      const stop = it['stop'] as Raw | null | undefined;
      return stop?.['category'] === 0 && it['power_pin'] === undefined
        ? 'is missing: a stop of category 0 needs a power_pin that switches the servos’ supply, since a servo without pulses may hold'
        : null;
    }, 'power_pin'),
  );

/** The groups that can be read each on its own. */
export const groups = {
  rig: text('the name of the rig'),
  platform,
  part,
  servo,
  leg,
  axisJoint,
  motion,
  supply,
  rest: choice(
    ['on_stop', 'hanging', 'powered'],
    ': what happens to the prop at rest when its servos have no power (stands, hangs, or would fall)',
  ),
  audience: choice(['bench', 'behind_barrier', 'within_reach']),
  board,
  night,
};

/** The whole file. */
export const rigSchema = section('the keys of a rig', {
  rig: groups.rig,
  platform: platform.optional(),
  parts: listOf(part, 'a list of parts').default([]),
  servos: named(servo, 'servo classes by name'),
  joints: joints.prefault({}),
  motion: motion.prefault({}),
  supply: supply.optional(),
  rest: groups.rest,
  audience: groups.audience.default('bench'),
  board: board.optional(),
  night: night.optional(),
});

export type PartFile = z.infer<typeof part>;
export type MotionFile = z.infer<typeof motion>;
export type SupplyFile = z.infer<typeof supply>;
export type BoardFile = z.infer<typeof board>;

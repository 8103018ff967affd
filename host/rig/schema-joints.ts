/** The joints' part of the rig file's schema: what differs at a leg, and every other joint whole. */
import * as z from 'zod';
import {
  ACCELERATION,
  INERTIA,
  MASS,
  POSITION,
  RATE,
  SCALE,
  TURN,
  figure,
  missingAt,
  needed,
  number,
  rule,
  section,
  span,
  vector,
} from './fields.ts';
import { name, pin, pulse, range, legAngles, lengths, position, direction } from './schema-common.ts';
import { found } from './words.ts';

const jointShape = {
  pin: pin.optional(),
  sense: z
    .literal([1, -1], {
      error: ({ input }) => `found ${found(input)}; allowed: 1 or -1, the way it turns as the pulse grows`,
    })
    .default(1),
  centre_us: pulse.optional(),
  us_per_deg: needed('us per degree', SCALE).optional(),
  range_us: range.optional(),
};

const allLegs = 'for all legs together it is under motion.leg';
export const leg = section(
  'what differs at this leg, such as { centre_us: 1512 }',
  {
    ...jointShape,
    us_per_mm: needed('us per mm', SCALE).optional(),
    limit_deg: legAngles.optional(),
    limit_mm: lengths.optional(),
    walked_deg: legAngles.optional(),
    walked_mm: lengths.optional(),
  },
  {
    servo: 'the servo of all legs is platform.servo',
    ...Object.fromEntries(['speed_deg_s', 'accel_deg_s2', 'speed_mm_s', 'accel_mm_s2'].map((key) => [key, allLegs])),
    accel_gone_at_deg_s: 'only a joint that is no leg has it',
    rest_deg: 'where the legs rest follows from platform.rest',
    at_mm: 'where a leg stands follows from the plates of the platform',
  },
);

export const accel = (unit: string) => {
  const allowed = `${unit} above 0, or { plus, minus }`;
  const one = number(unit, ACCELERATION);
  return z
    .union([one, section('{ plus, minus }', { plus: one, minus: one })], {
      error: ({ input }) =>
        input === undefined ? `is missing; it takes ${allowed}` : `found ${found(input)}; allowed: ${allowed}`,
    })
    .meta({ description: allowed });
};

const axis = section('{ on, at_mm: [x, y, z], along: [x, y, z] }', {
  on: name.default('ground'),
  at_mm: position,
  along: direction,
});

const load = section('{ mass_kg, arm_mm, arm_level_at_deg, inertia_kgm2 }', {
  mass_kg: figure('a mass in kg', MASS),
  arm_mm: figure('a length in mm', { atLeast: 0, atMost: 10_000 }),
  arm_level_at_deg: number('an angle in degrees', TURN).default(0),
  inertia_kgm2: figure('kg·m² about the axis', INERTIA).optional(),
});

const angle = (what: string) => number(what, { atLeast: -3600, atMost: 3600 });
export const axisJoint = section('a joint: { servo, pin, limit_deg, speed_deg_s, accel_deg_s2 }', {
  servo: name,
  ...jointShape,
  axis: axis.optional(),
  at_mm: vector(
    'in mm, in the moving plate’s frame: where a joint without an axis sits, and its load weighs',
    POSITION,
  ).optional(),
  load: load.optional(),
  gear_ratio: needed('turns of the servo for one of the joint', { atLeast: 0.01, atMost: 1000 }).default(1),
  gear_efficiency: needed('a share', { atLeast: 0.01, atMost: 1 }).optional(),
  gear_play_deg: figure('an angle in degrees', { atLeast: 0, atMost: 90 }).optional(),
  limit_deg: span('an angle in degrees', { atLeast: -3600, atMost: 3600 }),
  walked_deg: span('an angle in degrees', { atLeast: -3600, atMost: 3600 }).optional(),
  rest_deg: angle('degrees').optional(),
  speed_deg_s: number('a speed in deg/s', RATE),
  accel_deg_s2: accel('an acceleration in deg/s²'),
  accel_gone_at_deg_s: section('{ plus, minus }, speeds at which nothing is left of each, evenly less from rest', {
    plus: number('a speed in deg/s', RATE).optional(),
    minus: number('a speed in deg/s', RATE).optional(),
  }).optional(),
}).refine(
  ...rule(
    (it) =>
      it['gear_ratio'] !== undefined && it['gear_ratio'] !== 1
        ? missingAt(it, 'gear_efficiency', 'a gear never passes on all of the torque, 0.9 is common for one stage')
        : null,
    'gear_efficiency',
  ),
);

const jointsError = 'a group of joints by name';
const legs = {
  leg1: leg.optional(),
  leg2: leg.optional(),
  leg3: leg.optional(),
  leg4: leg.optional(),
  leg5: leg.optional(),
  leg6: leg.optional(),
};
export const joints = z
  .object(legs, { error: ({ input }) => `found ${found(input)}; allowed: ${jointsError}` })
  .catchall(axisJoint)
  .meta({ description: jointsError });

export type LegFile = z.infer<typeof leg>;
export type AxisFile = z.infer<typeof axisJoint>;
export type AccelFile = z.infer<ReturnType<typeof accel>>;

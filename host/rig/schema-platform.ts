/** The platform's part of the rig file's schema: its drive, plates, cranks, home and rest. */
import * as z from 'zod';
import {
  LENGTH,
  MASS,
  POSITION,
  TURN,
  choice,
  exactlyOne,
  figure,
  listOf,
  needed,
  number,
  rule,
  section,
  vector,
} from './fields.ts';
import { name, length, legAngles, lengths, position } from './schema-common.ts';
import { found } from './words.ts';

const poseShape = {
  x_mm: number('mm', POSITION).default(0),
  y_mm: number('mm', POSITION).default(0),
  z_mm: number('mm', POSITION).default(0),
  roll_deg: number('an angle in degrees', TURN).default(0),
  pitch_deg: number('an angle in degrees', TURN).default(0),
  yaw_deg: number('an angle in degrees', TURN).default(0),
};

export const plate = section('{ radius_mm, half_angle_deg } or { points_mm: [[x, y, z], … six] }', {
  radius_mm: length.optional(),
  half_angle_deg: needed('an angle in degrees', { atLeast: 0.01, atMost: 60 }).optional(),
  points_mm: listOf(position, 'six points [x, y, z] in mm', 6).optional(),
}).refine(
  ...rule((it) => {
    const ring = it['radius_mm'] !== undefined || it['half_angle_deg'] !== undefined;
    if (it['points_mm'] !== undefined)
      return ring ? 'found points_mm and a radius or half angle; allowed: one way to say where the joints are' : null;
    return exactlyOne(it, ['radius_mm']) ?? exactlyOne(it, ['half_angle_deg']);
  }),
);

const mount = section('{ at_mm: [x, y, z], rpy_deg: [roll, pitch, yaw] }', {
  at_mm: position.default([0, 0, 0]),
  rpy_deg: vector('in degrees', TURN).default([0, 0, 0]),
});

/** Thin things and gaps. */
const THIN = { atLeast: 0, atMost: 1000 };
export const clearance = section(
  'what its bodies measure besides, for collisions: { servo_body_mm, horn_thick_mm, … }',
  {
    servo_body_mm: vector('in mm', LENGTH).optional(),
    horn_thick_mm: number('a thickness in mm', THIN).optional(),
    rod_thick_mm: number('a thickness in mm', THIN).optional(),
    axes_above_base_mm: number('a height in mm', THIN).optional(),
    plate_below_studs_mm: number('a height in mm', POSITION).optional(),
    gap_mm: number('a gap in mm', THIN).optional(),
  },
);

const platformShape = {
  on: name.default('ground'),
  mount: mount.optional(),
  base: plate,
  moving: plate,
  pivot_mm: position.default([0, 0, 0]),
  rest: section('a pose such as { z_mm: -8 }', poseShape).prefault({}),
  servo: name,
  clearance: clearance.optional(),
};

const AZIMUTH = 'outward, inward, or six angles in degrees';
const CRANK_ONLY = {
  crank_mm: length,
  rod_mm: length,
  crank_kg: figure('the mass of one crank in kg', MASS).optional(),
  rod_kg: figure('the mass of one rod with its ends in kg', MASS).optional(),
  crank_azimuth_deg: z.union([choice(['outward', 'inward']), listOf(number('an angle in degrees', TURN), AZIMUTH, 6)], {
    error: ({ input }) =>
      input === undefined ? `is missing; it takes ${AZIMUTH}` : `found ${found(input)}; allowed: ${AZIMUTH}`,
  }),
  branch: choice(['near', 'other']).default('near'),
  rod_end_deg: needed('an angle in degrees', { atLeast: 0.1, atMost: 90 }).optional(),
  limit_deg: legAngles,
};
const LINEAR_ONLY = {
  stroke_mm: lengths,
  limit_mm: lengths,
};

const HEIGHT_RANGE = { atLeast: 0, atMost: 10_000 };
const HEIGHT = 'level, or a height in mm of 0 or more';
const heightOrLevel = z.union([z.literal('level'), number('a height in mm', HEIGHT_RANGE)], {
  error: ({ input }) =>
    input === undefined ? `is missing; it takes ${HEIGHT}` : `found ${found(input)}; allowed: ${HEIGHT}`,
});

const foreign = (keys: object, drive: string): Record<string, string> =>
  Object.fromEntries(Object.keys(keys).map((key) => [key, `it is for drive: ${drive}`]));

export const platform = z.discriminatedUnion(
  'drive',
  [
    section(
      'a platform',
      { drive: z.literal('crank'), ...platformShape, ...CRANK_ONLY, home_z_mm: heightOrLevel },
      foreign(LINEAR_ONLY, 'linear'),
    ),
    section(
      'a platform',
      {
        drive: z.literal('linear'),
        ...platformShape,
        ...LINEAR_ONLY,
        home_z_mm: number('a height in mm', HEIGHT_RANGE),
      },
      foreign(CRANK_ONLY, 'crank'),
    ),
  ],
  {
    error: ({ input }) => {
      const drive = (input as { drive?: unknown } | null)?.drive;
      if (input === 'crank' || input === 'linear')
        return `found "${input}"; allowed: a group of keys, { drive: ${input}, base: …, moving: … }`;
      if (typeof input !== 'object')
        return `found ${found(input)}; allowed: the keys of a platform, such as drive, base and moving`;
      return drive === undefined
        ? 'is missing; it takes crank or linear'
        : `found ${found(drive)}; allowed: crank or linear`;
    },
  },
);

export type PlatformFile = z.infer<typeof platform>;
export type PlateFile = z.infer<typeof plate>;

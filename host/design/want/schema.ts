/**
 * The want file's schema: every key, what it takes, its default, and the rules between keys of one group. What needs the given rig is
 * checked where the want is resolved.
 */
import * as z from 'zod';
import { LENGTH, MASS, choice, listOf, named, number, rule, section, text } from '../../rig/fields.ts';
import { OFFER } from '../../rig/class-file.ts';
import { clearance } from '../../rig/schema-platform.ts';
import { found } from '../../rig/words.ts';
import { BETTER, type Better } from './want.ts';

const HALF_TURN = { atLeast: 0, atMost: 180 };
const WAY = { atLeast: 0, atMost: 1000 };
const SHARE = { atLeast: 0.01, atMost: 1 };
const PERCENT = { atLeast: 0, atMost: 100 };

/** How far, both ways from home: one number, or [at least so far down, at least so far up]. */
function travel(unit: string, most: typeof WAY) {
  const allowed = `${unit} both ways, from 0 to ${String(most.atMost)}, or [lowest, highest] around 0`;
  const error = ({ input }: { readonly input?: unknown }): string => `found ${found(input)}; allowed: ${allowed}`;
  const pair = z
    .tuple(
      [
        number(`${unit} as the lowest of [lowest, highest]`, { atLeast: -most.atMost, atMost: 0 }),
        number(`${unit} as the highest of [lowest, highest]`, most),
      ],
      { error },
    )
    .meta({ description: allowed });
  return z.union([number(allowed, {}).gte(0, { error }).lte(most.atMost, { error }), pair], { error }).optional();
}

/** Sizes that exist, or that may be made. */
function sizes(what: string, range: { readonly atLeast: number; readonly atMost: number }) {
  const allowed = `${what}, a list of those that exist, or { from, to, step }`;
  const one = number(what, range);
  const spread = section('{ from, to, step }', { from: one, to: one, step: number(what, { above: 0 }).optional() })
    .refine(
      ...rule(
        ({ from, to }) =>
          typeof from === 'number' && typeof to === 'number' && from > to
            ? `found from ${String(from)} to ${String(to)}; allowed: from smaller than to`
            : null,
        'to',
      ),
    )
    .refine(
      ...rule(
        ({ from, to, step }) =>
          typeof from === 'number' && typeof to === 'number' && typeof step === 'number' && (to - from) / step > MOST
            ? `found ${String(step)}; allowed: a step that makes at most ${String(MOST)} sizes`
            : null,
        'step',
      ),
    );
  const list = z
    .array(one, { error: ({ input }) => `found ${found(input)}; allowed: ${allowed}` })
    .min(1, { error: () => `found an empty list; allowed: ${allowed}` })
    .max(MOST, { error: () => `found more than ${String(MOST)} sizes; allowed: ${allowed}` });
  return z
    .union([one, list, spread], { error: ({ input }) => `found ${found(input)}; allowed: ${allowed}` })
    .meta({ description: allowed })
    .optional();
}

/** Of sizes in a list. */
const MOST = 1000;
const LENGTHS = { atLeast: 1, atMost: 2000 };
const HALF_ANGLE = { atLeast: 0.5, atMost: 59.5 };

const must = section('what it must reach, such as { roll_deg: 20, z_mm: [-8, 4] }', {
  x_mm: travel('mm', WAY),
  y_mm: travel('mm', WAY),
  z_mm: travel('mm', WAY),
  roll_deg: travel('degrees', HALF_TURN),
  pitch_deg: travel('degrees', HALF_TURN),
  yaw_deg: travel('degrees', HALF_TURN),
  together: number('a share of all travels at once', { atLeast: 0, atMost: 1 }).default(0),
  follow: text('the name of a stream file beside this one').optional(),
  spare_travel_percent: number('percent', PERCENT).default(0),
  built_within_mm: number('a length in mm', { atLeast: 0, atMost: 10 }).default(0.5),
});

const room = section('{ base_radius_mm, plate_radius_mm, height_mm }', {
  base_radius_mm: number('a length in mm', LENGTH),
  plate_radius_mm: number('a length in mm', LENGTH),
  height_mm: number('a length in mm', LENGTH),
});

const strokes = listOf(
  z.tuple([number('a length in mm', LENGTH), number('a length in mm', LENGTH)], {
    error: ({ input }) => `found ${found(input)}; allowed: [shortest, longest] in mm, pin to pin`,
  }),
  'a list of [shortest, longest] in mm, pin to pin',
).min(1, { error: () => 'found an empty list; allowed: a list of [shortest, longest] in mm, pin to pin' });

const stock = section('what exists, such as { crank_mm: [16, 20, 24], rod_mm: { from: 90, to: 160, step: 5 } }', {
  crank_mm: sizes('a length in mm', LENGTHS),
  rod_mm: sizes('a length in mm', LENGTHS),
  rod_end_deg: number('an angle in degrees', { atLeast: 0.1, atMost: 90 }).optional(),
  stroke_mm: strokes.optional(),
  home_z_mm: sizes('a height in mm', LENGTHS),
  base_radius_mm: sizes('a length in mm', LENGTHS),
  plate_radius_mm: sizes('a length in mm', LENGTHS),
  base_half_angle_deg: sizes('an angle in degrees', HALF_ANGLE),
  plate_half_angle_deg: sizes('an angle in degrees', HALF_ANGLE),
  crank_azimuth: listOf(choice(['outward', 'inward']), 'a list of outward and inward')
    .min(1, { error: () => 'found an empty list; allowed: a list of outward and inward' })
    .optional(),
  limit_deg: sizes('an angle in degrees, up and down', { atLeast: 1, atMost: 89 }),
  keep: listOf(choice(['base', 'plate']), 'a list of base and plate').optional(),
});

const firm = section('{ lowest_hz, use, hold_use }', {
  lowest_hz: number('a frequency in Hz', { atLeast: 0, atMost: 500 }).default(0),
  use: number('a share', SHARE).default(0.8),
  hold_use: number('a share', SHARE).default(0.5),
});

const margins = section('{ heavier_percent, less_voltage_percent }', {
  heavier_percent: number('percent', PERCENT).default(10),
  less_voltage_percent: number('percent', { atLeast: 0, atMost: 90 }).default(10),
});

const axis = section('what is free of a joint, such as { gear_ratio: { from: 2, to: 4 } }', {
  gear_ratio: sizes('turns of the servo for one of the joint', { atLeast: 0.01, atMost: 1000 }),
  instead_of: text('the name of a part').optional(),
  counterweight_kg: sizes('a mass in kg', { atLeast: 0.001, atMost: MASS.atMost ?? 500 }),
  counterweight_at_mm: sizes('a length in mm from the axis', LENGTHS),
  servo: z
    .array(text('the name of a servo class of this file'), {
      error: ({ input }) => `found ${found(input)}; allowed: a list of servo classes of this file`,
    })
    .optional(),
  most_nm: number('a torque in N·m at the servo', { above: 0, atMost: 1000 }).optional(),
});

/** A class as a rig file has it, and what one costs; its keys are checked as the rig's are. */
const servo = z.looseObject(OFFER, {
  error: ({ input }) => `found ${found(input)}; allowed: a servo class as in a rig file, and its price`,
});

/** What is better where a file does not say. */
export const USUAL: readonly Better[] = ['travel', 'use', 'price', 'size'];

export const wantSchema = section('the keys of a want', {
  want: text('the name of what is wanted'),
  from: text('the name of a rig file beside this one'),
  must,
  room,
  stock: stock.prefault({}),
  clearance: clearance.optional(),
  firm: firm.prefault({}),
  margins: margins.prefault({}),
  servos: named(servo, 'servo classes by name')
    .refine((given) => Object.keys(given).length > 0, {
      error: () => 'found no servo class; allowed: one or more, or no servos at all, to keep the given rig’s',
    })
    .optional(),
  axes: named(axis, 'joints by name').optional(),
  better: listOf(choice(BETTER), `a list of ${BETTER.join(', ')}`)
    .min(1, { error: () => `found an empty list; allowed: a list of ${BETTER.join(', ')}` })
    .optional()
    .meta({ description: `unless said ${USUAL.join(', ')}; without price where no servo class has one` }),
});

export type WantFile = z.infer<typeof wantSchema>;
export type SizesFile = NonNullable<z.infer<ReturnType<typeof sizes>>>;
export type TravelFile = z.infer<ReturnType<typeof travel>>;

/**
 * The questions of a new rig: what each asks, what it takes, and what is taken where nobody answers. A maker answers them with a ruler,
 * a scale and a data sheet. Typical values are ours: usual, not measured.
 */
import * as z from 'zod';
import { BOARD_KINDS } from '../rig/boards.ts';
import { choice, number, text } from '../rig/fields.ts';
import { LEGS } from '../rig/shape.ts';

/** Every answer, those of questions that do not arise included: they hold the typical value. */
export interface Answers {
  readonly drive: 'crank' | 'linear';
  readonly base: 'flat' | 'upright' | 'hanging';
  readonly without_power: 'on_stop' | 'hanging' | 'powered';
  /** Shorter, then longer distance between neighbours; so in the plate. */
  readonly base_ring_mm: readonly [number, number];
  readonly plate_ring_mm: readonly [number, number];
  readonly horn_mm: number;
  readonly rod_mm: number;
  readonly stroke_mm: readonly [number, number];
  readonly head_g: number;
  /** Along the look, across it, upward. */
  readonly head_size_mm: readonly [number, number, number];
  /** kgf·cm, s for 60 degrees, A. */
  readonly servo: readonly [number, number, number];
  /** N, mm/s, A. */
  readonly linear_servo: readonly [number, number, number];
  readonly tilt: 'none' | 'nod';
  /** From the tilt axis to the middle of the base: forward, upward. */
  readonly tilt_to_base_mm: readonly [number, number];
  readonly tilt_servo: readonly [number, number, number];
  readonly face: readonly string[];
  readonly face_servo: readonly [number, number, number];
  readonly supply: 'mains' | 'battery';
  /** V, A. */
  readonly supply_v_a: readonly [number, number];
  readonly board: string;
}
export type Key = keyof Answers;

export interface Question<K extends Key = Key> {
  readonly key: K;
  readonly ask: string;
  readonly takes: z.ZodType<Answers[K]>;
  /** By the answers to the questions before it. */
  typical(before: Answers): Answers[K];
  /** Whether it arises; absent: always. */
  arises?(before: Answers): boolean;
}

const says =
  (allowed: string) =>
  ({ input }: { readonly input?: unknown }): string =>
    `found ${JSON.stringify(input) ?? 'nothing'}; allowed: ${allowed}`;

const length = number('a length in mm', { atLeast: 1, atMost: 2000 });

/** [shorter, longer]. */
const lengths = (what: string) =>
  z
    .tuple([length, length], { error: says(`[shorter, longer], ${what} in mm`) })
    .refine(([shorter, longer]) => shorter < longer, { error: says('[shorter, longer], the first below the second') });

const current = number('a stall current in A', { atLeast: 0.05, atMost: 50 });
const turning = z.tuple(
  [
    number('a stall torque in kgf·cm', { atLeast: 0.1, atMost: 600 }),
    number('seconds for 60 degrees', { atLeast: 0.02, atMost: 5 }),
    current,
  ],
  { error: says('[kgf·cm, s for 60 deg, A], as on the data sheet') },
);
const pushing = z.tuple(
  [
    number('a force in N', { atLeast: 0.5, atMost: 10_000 }),
    number('a speed in mm/s', { atLeast: 0.5, atMost: 2000 }),
    current,
  ],
  { error: says('[N, mm/s, A], as on the data sheet') },
);

const MOST_FACE = 8;
const faceName = text('a name')
  .regex(/^[a-z][a-z0-9_]*$/, {
    error: says('a name of small letters, digits and _, such as jaw'),
  })
  .refine((name) => ![...LEGS, 'nod', 'x', 'y', 'z', 'ground', 'base', 'moving'].includes(name), {
    error: says('a name that is not taken, such as jaw'),
  });
const face = z
  .array(faceName, { error: says('a list of names, such as [lid, jaw], or []') })
  .max(MOST_FACE, { error: says(`up to ${String(MOST_FACE)} joints, as many as the board has pins for`) })
  .refine((names) => new Set(names).size === names.length, { error: says('each name once') });

const question = <K extends Key>(it: Question<K>): Question => it;
const size = number('a size in mm', { atLeast: 1, atMost: 2000 });
const offset = number('a distance in mm', { atLeast: -1000, atMost: 1000 });

/** In the order of asking: what decides whether another arises comes before it. */
export const QUESTIONS: readonly Question[] = [
  question<'drive'>({
    key: 'drive',
    ask: 'What pushes the plate: crank (servo horns and rods) or linear (servos that grow longer)',
    takes: choice(['crank', 'linear']),
    typical: () => 'crank',
  }),
  question<'base'>({
    key: 'base',
    ask: 'How does the base stand: flat (the head on top), upright (the servos push forward, the way it looks) or hanging',
    takes: choice(['flat', 'upright', 'hanging']),
    typical: () => 'flat',
  }),
  question<'without_power'>({
    key: 'without_power',
    ask: 'What does the head do without power: on_stop (it sinks onto a stop), hanging (it hangs still) or powered (it would fall)',
    takes: choice(['on_stop', 'hanging', 'powered']),
    typical: ({ base }) => (base === 'hanging' ? 'hanging' : 'on_stop'),
  }),
  question<'base_ring_mm'>({
    key: 'base_ring_mm',
    ask: 'On the base, from one servo axis to the next, mm: the shorter distance, then the longer one',
    takes: lengths('between neighbouring servo axes'),
    typical: ({ drive }) => (drive === 'linear' ? [80, 200] : [33.9, 100.7]),
  }),
  question<'plate_ring_mm'>({
    key: 'plate_ring_mm',
    ask: 'On the moving plate, from one joint to the next, mm: the shorter distance, then the longer one',
    takes: lengths('between neighbouring joints of the plate'),
    typical: ({ drive }) => (drive === 'linear' ? [50, 150] : [26.6, 79.1]),
  }),
  question<'horn_mm'>({
    key: 'horn_mm',
    ask: 'The horn, from the servo axis to the rod end, mm',
    takes: length,
    typical: () => 22,
    arises: ({ drive }) => drive === 'crank',
  }),
  question<'rod_mm'>({
    key: 'rod_mm',
    ask: 'The rod, from the middle of one end to the middle of the other, mm',
    takes: length,
    typical: () => 120,
    arises: ({ drive }) => drive === 'crank',
  }),
  question<'stroke_mm'>({
    key: 'stroke_mm',
    ask: 'The linear servo, from pin to pin, mm: all the way in, then all the way out',
    takes: lengths('pin to pin'),
    typical: () => [155, 205],
    arises: ({ drive }) => drive === 'linear',
  }),
  question<'head_g'>({
    key: 'head_g',
    ask: 'The head on the scale, with all that moves with it, g',
    takes: number('a mass in g', { atLeast: 1, atMost: 50_000 }),
    typical: () => 600,
  }),
  question<'head_size_mm'>({
    key: 'head_size_mm',
    ask: 'The head, mm: from front to back, across, and high',
    takes: z.tuple([size, size, size], { error: says('[front to back, across, high] in mm') }),
    typical: () => [100, 110, 110],
  }),
  question<'servo'>({
    key: 'servo',
    ask: 'One of the six servos by its sheet, at your voltage: kgf·cm, s for 60 deg, stall A',
    takes: turning,
    typical: () => [20, 0.16, 2.3],
    arises: ({ drive }) => drive === 'crank',
  }),
  question<'linear_servo'>({
    key: 'linear_servo',
    ask: 'One of the six linear servos by its sheet, at your voltage: N, mm/s, stall A',
    takes: pushing,
    typical: () => [50, 60, 1],
    arises: ({ drive }) => drive === 'linear',
  }),
  question<'tilt'>({
    key: 'tilt',
    ask: 'Is there an axis under the base that nods all of it: none or nod',
    takes: choice(['none', 'nod']),
    typical: () => 'none',
  }),
  question<'tilt_to_base_mm'>({
    key: 'tilt_to_base_mm',
    ask: 'From the nodding axis to the middle of the base, mm: forward, then upward',
    takes: z.tuple([offset, offset], { error: says('[forward, upward] in mm') }),
    typical: ({ base }) => (base === 'upright' ? [30, 55] : [0, base === 'hanging' ? -40 : 40]),
    arises: ({ tilt }) => tilt === 'nod',
  }),
  question<'tilt_servo'>({
    key: 'tilt_servo',
    ask: 'The servo of the nodding axis by its sheet (it turns the axis over 3:1): kgf·cm, s for 60 deg, stall A',
    takes: turning,
    typical: () => [35, 0.2, 3],
    arises: ({ tilt }) => tilt === 'nod',
  }),
  question<'face'>({
    key: 'face',
    ask: 'Names of the joints of the face, such as lid, jaw; - for none',
    takes: face,
    typical: () => [],
  }),
  question<'face_servo'>({
    key: 'face_servo',
    ask: 'A servo of the face by its sheet: kgf·cm, s for 60 deg, stall A',
    takes: turning,
    typical: () => [2.4, 0.11, 0.8],
    arises: ({ face: names }) => names.length > 0,
  }),
  question<'supply'>({
    key: 'supply',
    ask: 'What feeds the servos: mains or battery',
    takes: choice(['mains', 'battery']),
    typical: () => 'mains',
  }),
  question<'supply_v_a'>({
    key: 'supply_v_a',
    ask: 'The supply of the servos: V at the servos, then the most A it gives',
    takes: z.tuple(
      [number('V at the servos', { atLeast: 3, atMost: 60 }), number('a current in A', { atLeast: 0.1, atMost: 1000 })],
      { error: says('[V, A]') },
    ),
    typical: (before) => [6, Math.ceil(stalledA(before) + 1)],
  }),
  question<'board'>({
    key: 'board',
    ask: 'The board: pico or f405',
    takes: choice(BOARD_KINDS.filter((kind) => kind !== 'native')),
    typical: () => 'pico',
  }),
];

/** All servos stalled at once, A. */
const stalledA = ({ drive, servo, linear_servo, tilt, tilt_servo, face: names, face_servo }: Answers): number =>
  6 * (drive === 'linear' ? linear_servo : servo)[2] +
  (tilt === 'nod' ? tilt_servo[2] : 0) +
  names.length * face_servo[2];

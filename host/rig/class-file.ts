/**
 * Reads a file of servo classes to choose from: `servos:` as a rig has them, each with a price where one is known; a class of the rig
 * may have its price alone. A rig file or a want file will do as well: only its classes are looked at. What only pulses need may be
 * left out.
 */
import { readDocument } from './document.ts';
import { LENGTH, flag, named, number, rule, section, vector } from './fields.ts';
import type { Problem } from './problem.ts';
import { speaker } from './read.ts';
import type { Servo } from './rig.ts';
import { pulse, range } from './schema-common.ts';
import { rowsFault, servo, servoFault } from './schema-servo.ts';
import { buildServo } from './servo.ts';
import { faultsOf } from './shape.ts';
import { Sources } from './sources.ts';
import { short } from './words.ts';

/** A class that may be taken, and what it costs, in whatever money the file counts; null: it does not say. */
export interface PricedServo {
  readonly servo: Servo;
  readonly price: number | null;
}

export interface ClassReading {
  /** Null when a problem is an error. */
  readonly classes: readonly PricedServo[] | null;
  /** In the order of the file's lines. */
  readonly problems: readonly Problem[];
}

/** What a class that may be bought says besides its figures. */
export const OFFER = {
  price: number('a price, in whatever money all prices are in', { atLeast: 0, atMost: 1e6 }).optional(),
  legs: flag('whether the legs may have it').optional(),
  body_mm: vector('in mm', LENGTH).optional(),
};

/** Whether a class says what it costs and where it may go, but no figure of its own. */
const isOfferOnly = (given: unknown): boolean =>
  typeof given === 'object' && given !== null && Object.keys(given).every((key) => Object.hasOwn(OFFER, key));

/** Pulses that most servos take (common practice), for what the file leaves out: nothing here is moved by them. */
const priced = section('a servo class', {
  ...servo.shape,
  frame_hz: number('pulses a second', { atLeast: 20, atMost: 1000 }).default(50),
  centre_us: pulse.default(1500),
  range_us: range.default([1000, 2000]),
  ...OFFER,
})
  .refine(...rule(servoFault))
  .refine(...rule(rowsFault, 'at_v'));

const CLASSES = 'servo classes by name, such as small: { price: 12, stall_torque_nm: 0.9, … }';
const schema = section('servos: { NAME: { … } }', { servos: named(priced, CLASSES) });
const offers = named(section('a class of the rig, and its price', OFFER), CLASSES);

/** A file for something else that has classes too. */
const OTHERS = ['rig', 'want'];

/**
 * @param file its name, for messages about the whole file.
 * @param voltage_v what the supply gives, which picks among rows by voltage; null: it is not known.
 * @param own the rig's classes: of these a price is enough.
 */
export function readClasses(
  text: string,
  file: string,
  voltage_v: number | null,
  own: readonly Servo[] = [],
): ClassReading {
  const { document, problems } = readDocument(text, file, 'a file of servo classes begins with servos:');
  if (!document) return { classes: null, problems };
  const found = [...problems];
  const say = speaker(document, found);
  const isOther = OTHERS.some((key) => document.data[key] !== undefined);
  const { servos } = document.data;
  const [known, whole] = partOf(servos, own);
  const read = schema.safeParse({ ...(isOther ? {} : document.data), servos: whole });
  const priced = offers.safeParse(Object.fromEntries(known.map(({ name, given }) => [name, given])));
  for (const { path, message } of (read.error?.issues ?? []).flatMap((issue) => faultsOf(issue)))
    say.error(path, message);
  for (const { path, message } of (priced.error?.issues ?? []).flatMap((issue) => faultsOf(issue)))
    say.error(['servos', ...path], message);
  const sources = new Sources();
  const classes = [
    ...known.map(({ name, servo }): PricedServo => ({ servo, price: priced.data?.[name]?.price ?? null })),
    ...Object.entries(read.data?.servos ?? {}).map(([name, { price, ...given }]): PricedServo => ({
      servo: buildServo(name, given, voltage_v, sources, say).servo,
      price: price ?? null,
    })),
  ];
  if (read.success && classes.length === 0) say.error(['servos'], 'is empty; allowed: at least one servo class');
  const sorted = found.sort((a, b) => a.line - b.line);
  const bad = sorted.some(({ severity }) => severity === 'error');
  return { classes: bad ? null : classes, problems: sorted };
}

/** Classes that are the rig's, told by their price alone; and all others, as the file has them. */
function partOf(servos: unknown, own: readonly Servo[]) {
  if (typeof servos !== 'object' || servos === null || Array.isArray(servos)) return [[], servos] as const;
  const entries = Object.entries(servos);
  const known = entries.flatMap(([name, given]) => {
    const servo = isOfferOnly(given) ? own.find((it) => it.name === name) : undefined;
    return servo ? [{ name, given: given as unknown, servo }] : [];
  });
  const names = new Set(known.map(({ name }) => name));
  return [known, Object.fromEntries(entries.filter(([name]) => !names.has(name)))] as const;
}

/** What tells classes apart, in the rig's units, and what it is called. */
const FIGURES = {
  drive: 'drive',
  stall: 'stall torque',
  no_load_speed: 'no-load speed',
  stall_current_a: 'stall current',
  rotor_inertia_kgm2: 'rotor inertia',
  friction_nm: 'friction',
} as const;
type Figure = keyof typeof FIGURES;

/** Figures in other units are rounded: so much is the same. */
const SAME = 0.01;

/** Whether a figure of the file is the rig's; what the file leaves out is. */
const isSame = (mine: string | number | null, other: string | number | null): boolean =>
  other === null ||
  mine === other ||
  (typeof mine === 'number' && typeof other === 'number' && Math.abs(mine - other) <= SAME * Math.abs(mine));

/**
 * The rig's own classes, and those of a file that it has not. A class of the same name and figures gives the rig's its price; with
 * other figures it is told as a problem at its name.
 */
export function offersOf(
  own: readonly Servo[],
  others: readonly PricedServo[],
): { readonly offers: readonly PricedServo[]; readonly clashes: readonly { name: string; message: string }[] } {
  const known = new Map(own.map((it) => [it.name, it]));
  const clashes = others.flatMap(({ servo: it }) => {
    const mine = known.get(it.name);
    const differs = mine && (Object.keys(FIGURES) as Figure[]).find((key) => !isSame(mine[key], it[key]));
    if (!mine || differs === undefined) return [];
    const shown = (value: string | number | null): string =>
      typeof value === 'number' ? short(value, 4) : (value ?? 'unknown');
    const message = `the rig has a class ${it.name} with other figures (${FIGURES[differs]} ${shown(mine[differs])}, here ${shown(it[differs])}); allowed: another name, or the same figures`;
    return [{ name: it.name, message }];
  });
  const price = new Map(others.map((it) => [it.servo.name, it.price]));
  const offers = [
    ...own.map((it) => ({ servo: it, price: price.get(it.name) ?? null })),
    ...others.filter(({ servo: it }) => !known.has(it.name)),
  ];
  return { offers, clashes };
}

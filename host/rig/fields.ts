/**
 * The kinds of fields a rig file has, as schemas that say in words what they allow. Every message of the schema is made
 * here; the fields themselves stand in schema.ts.
 */
import * as z from 'zod';
import { steering } from './plain-text.ts';
import { unknownKey } from './unknown-key.ts';
import { either, found, short, together } from './words.ts';

type Raw = Readonly<Record<string, unknown>>;

/** What a schema says when something else stands in its place. */
const says =
  (allowed: string) =>
  ({ input }: { readonly input?: unknown }): string =>
    input === undefined ? `is missing; it takes ${allowed}` : `found ${found(input)}; allowed: ${allowed}`;

export interface Range {
  readonly above?: number;
  readonly atLeast?: number;
  readonly atMost?: number;
  /** 0 is allowed, and then nothing smaller than this. */
  readonly zeroOr?: number;
}

/**
 * What is possible: beyond these a figure is a slip of the keyboard, and sums and quotients of such would have no end. What is usual
 * is far narrower (usual.ts).
 */
export const MASS: Range = { atLeast: 0, atMost: 500, zeroOr: 1e-9 };
export const LENGTH: Range = { atLeast: 0.01, atMost: 10_000 };
export const POSITION: Range = { atLeast: -10_000, atMost: 10_000 };
export const TURN: Range = { atLeast: -720, atMost: 720 };
/** kg·m², about an axis; and kg·mm², of a part about its centre. */
export const INERTIA: Range = { atLeast: 0, atMost: 1000, zeroOr: 1e-12 };
export const PART_INERTIA: Range = { atLeast: 0, atMost: 1e9, zeroOr: 1e-9 };
export const CURRENT: Range = { atLeast: 0.001, atMost: 1000 };
export const VOLTAGE: Range = { atLeast: 1, atMost: 100 };
/** us of pulse for a degree or a mm. */
export const SCALE: Range = { atLeast: 0.01, atMost: 10_000 };
/** Speeds and accelerations that the controller takes, in degrees or mm. */
export const RATE: Range = { atLeast: 0.01, atMost: 100_000 };
export const ACCELERATION: Range = { atLeast: 0.01, atMost: 10_000_000 };

function rangeWords({ above, atLeast, atMost, zeroOr }: Range): string {
  if (zeroOr !== undefined) return `, 0 or from ${String(zeroOr)} to ${String(atMost)}`;
  const low =
    above !== undefined ? `above ${String(above)}` : atLeast !== undefined ? `${String(atLeast)} or more` : '';
  if (atMost === undefined) return low && `, ${low}`;
  if (atLeast !== undefined) return `, from ${String(atLeast)} to ${String(atMost)}`;
  return `, ${low}${low && ' and '}at most ${String(atMost)}`;
}

/** A plain number. `what` names it with its unit: 'a length in mm'. */
export function number(what: string, range: Range) {
  const allowed = what + rangeWords(range);
  let schema = z.number({ error: says(allowed) });
  if (range.above !== undefined) schema = schema.gt(range.above, { error: says(allowed) });
  if (range.atLeast !== undefined) schema = schema.gte(range.atLeast, { error: says(allowed) });
  if (range.atMost !== undefined) schema = schema.lte(range.atMost, { error: says(allowed) });
  const { zeroOr } = range;
  if (zeroOr !== undefined) schema = schema.refine((value) => value <= 0 || value >= zeroOr, { error: says(allowed) });
  return schema.meta({ description: allowed });
}

export function whole(what: string, range: Range) {
  const allowed = what + rangeWords(range);
  const schema = z.int({ error: says(allowed) });
  return schema
    .gte(range.atLeast ?? Number.MIN_SAFE_INTEGER, { error: says(allowed) })
    .lte(range.atMost ?? Number.MAX_SAFE_INTEGER, { error: says(allowed) })
    .meta({ description: allowed });
}

export const choice = <const T extends readonly string[]>(names: T, meaning = '') =>
  z.enum(names, { error: says(either(names) + meaning) }).meta({ description: either(names) + meaning });

export const text = (what: string) =>
  z
    .string({ error: says(what) })
    .min(1, { error: says(what) })
    .max(80, { error: says(`${what} of at most 80 letters`) })
    .refine((name) => steering(name) === null, {
      error: says(`${what} on one line, without control characters`),
    })
    .meta({ description: what });

export const flag = (what: string) => z.boolean({ error: says(`true or false: ${what}`) }).meta({ description: what });

/** Three numbers. */
export const vector = (what: string, range: Range) => {
  const each = number(what, range);
  return z
    .tuple([each, each, each], { error: says(`[x, y, z], ${what}${rangeWords(range)}`) })
    .meta({ description: what });
};

/** [from, to] with from below to. */
export const span = (what: string, range: Range) =>
  z
    .tuple([number(what, range), number(what, range)], { error: says(`[lowest, highest], each ${what}`) })
    .refine(([lo, hi]) => lo < hi, {
      error: ({ input }) => `found ${found(input)}; allowed: [lowest, highest], the first below the second`,
    })
    .meta({ description: `[lowest, highest], each ${what}` });

export const listOf = <T extends z.ZodType>(item: T, what: string, count?: number) => {
  const list = z.array(item, { error: says(what) });
  return (count === undefined ? list : list.length(count, { error: says(what) })).meta({ description: what });
};

const FROM = ['measured', 'sheet', 'estimate', 'assumed'] as const;

function sourced(value: z.ZodNumber, allowed: string) {
  return section(`{ value: ${allowed}, from: ${either(FROM)}, within_percent: how far it may be off }`, {
    value,
    from: choice(FROM).optional(),
    within_percent: number('percent', { atLeast: 0, atMost: 1000 }).optional(),
  });
}

/** A figure that may say where it comes from, or that nobody knows it. */
export function figure(what: string, range: Range) {
  const allowed = `${what}${rangeWords(range)}, or { value, from, within_percent }, or unknown`;
  const value = number(what, range);
  return z
    .union([value, z.literal('unknown'), sourced(value, what)], { error: says(allowed) })
    .meta({ description: allowed });
}

/** A figure without which nothing can be worked out: it may say where it comes from. */
export function needed(what: string, range: Range) {
  const allowed = `${what}${rangeWords(range)}, or { value, from, within_percent }`;
  const value = number(what, range);
  const error = (issue: { readonly input?: unknown }): string =>
    issue.input === 'unknown'
      ? `found unknown, but nothing can be worked out without it; allowed: ${allowed}, a guess as { value, from: estimate }`
      : says(allowed)(issue);
  return z.union([value, sourced(value, what)], { error }).meta({ description: allowed });
}

export type Figure = z.infer<ReturnType<typeof figure>>;
export type Needed = z.infer<ReturnType<typeof needed>>;

/** Between the messages of several unknown keys in one issue; `read.ts` takes them apart again, one for each key. */
export const BETWEEN_KEYS = '\n';

/**
 * A group of known keys. `elsewhere` explains keys that would be right in another place.
 * Unknown keys come as one issue with a message for each key, `BETWEEN_KEYS` apart.
 */
export function section<S extends z.ZodRawShape>(
  what: string,
  shape: S,
  elsewhere: Readonly<Record<string, string>> = {},
) {
  const known = Object.keys(shape);
  return z.strictObject(shape, {
    error: (issue) =>
      issue.code === 'unrecognized_keys'
        ? issue.keys.map((key) => unknownKey(key, known, elsewhere)).join(BETWEEN_KEYS)
        : says(what)(issue),
  });
}

/** A name for each, and a schema for all. */
export const named = <T extends z.ZodType>(each: T, what: string) =>
  z.record(z.string(), each, { error: says(what) }).meta({ description: what });

const isGroup = (value: unknown): value is Raw => typeof value === 'object' && value !== null && !Array.isArray(value);

/**
 * A rule about several keys of a group. It is asked even where one of the keys is wrong in itself, so that everything is
 * told at once; what is no group at all is not its business.
 * @param fault what is wrong, or null. Values are as the file has them.
 * @param at the key it is told at; without, the group.
 */
export function rule(fault: (group: Raw) => string | null, at?: string) {
  const holds = (group: unknown): boolean => !isGroup(group) || fault(group) === null;
  return [
    holds,
    {
      when: () => true,
      error: ({ input }: { readonly input?: unknown }) => (isGroup(input) ? (fault(input) ?? '') : ''),
      ...(at === undefined ? {} : { path: [at] }),
    },
  ] as const;
}

/** Of several ways to give a figure exactly one must be taken. */
export function exactlyOne(group: Raw, keys: readonly string[], where = ''): string | null {
  const given = keys.filter((key) => group[key] !== undefined);
  if (given.length === 1) return null;
  if (given.length > 1) return `found ${together(given)}${where}; allowed: one of them`;
  return keys.length === 1 ? `${keys[0] ?? ''} is missing${where}` : `one of ${either(keys)} is missing${where}`;
}

/** What a rule says at a key that another key asks for. */
export const missingAt = (group: Raw, key: string, why: string): string | null =>
  group[key] === undefined ? `is missing: ${why}` : null;

/** For messages: `-30 … 25 deg`. */
export const between = (lo: number, hi: number, unit: string): string => `${short(lo)} … ${short(hi)} ${unit}`;

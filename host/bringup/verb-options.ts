/** What stands behind a verb besides its joint and its number: `--rods-off`, `reading=2.5`, `poses=12`, `h1=40,0,6` … */
import { together } from '../rig/words.ts';
import type { Points } from './estimate/readings.ts';
import { numberIn } from './session/answers.ts';

export interface VerbOptions {
  /** The person says that nothing is on the joint. */
  readonly rodsOff: boolean;
  /** How long `swap` moves at the end. */
  readonly minutes: number;
  /** Answers given along with the words, in the order in which they are asked for. */
  readonly readings: readonly string[];
  /** A file of such answers; null: none. */
  readonly readingsFile: string | null;
  /** Where it binds, deg or mm; for the command line's person. */
  readonly binds: readonly number[];
  readonly estimate: EstimateOptions;
}

interface EstimateOptions {
  readonly poses: number | null;
  readonly centres: boolean;
  readonly zero: boolean;
  /** A table of readings, in place of poses; null: at the prop. */
  readonly table: string | null;
  readonly points: Points;
}

interface Problem {
  readonly problem: string;
}

const MINUTES = 10;
/** A point of the plate is so near to its centre, mm. */
const POINT_MM = 2000;
const NUMBERS = {
  minutes: { least: 0, most: 120 },
  binds: { least: -3600, most: 10_000 },
  poses: { least: 4, most: 100 },
} as const;
const ESTIMATE = ['poses', 'centres', 'zero', 'table', 'h1', 'h2', 'h3'];
const READ = ['centre', 'scale', 'swap', 'estimate'];
/** The verbs that an option is of. */
const VERBS_OF: Readonly<Record<string, readonly string[]>> = {
  'rods-off': ['pulse', 'centre', 'swap'],
  minutes: ['swap'],
  binds: ['walk', 'swap'],
  reading: READ,
  readings: READ,
  ...Object.fromEntries(ESTIMATE.map((key) => [key, ['estimate']])),
};
/** Those that are a word alone. */
const BARE = ['centres', 'zero'];

export const isOption = (word: string): boolean =>
  word.startsWith('--') || /^[a-z]+\d?=/.test(word) || BARE.includes(word);

type Given = { -readonly [K in keyof Omit<VerbOptions, 'estimate'>]: VerbOptions[K] } & {
  estimate: { -readonly [K in keyof EstimateOptions]: EstimateOptions[K] };
};

/** The options of `verb`; or, in a sentence, what is wrong with them. */
export function optionsOf(verb: string, words: readonly string[]): VerbOptions | Problem {
  const given: Given = {
    rodsOff: false,
    minutes: MINUTES,
    readings: [],
    readingsFile: null,
    binds: [],
    estimate: { poses: null, centres: false, zero: false, table: null, points: {} },
  };
  for (const word of words) {
    const [, key = '', value = ''] = /^(?:--)?([^=]*)=?(.*)$/s.exec(word) ?? [];
    const of = VERBS_OF[key];
    if (of && !of.includes(verb)) return { problem: `"${key}" is a word of ${together(of)}, not of ${verb}` };
    const problem = take(given, key, value, word);
    if (problem !== null) return { problem };
  }
  const { table, points } = given.estimate;
  if (table === null && Object.keys(points).length > 0)
    return { problem: `${together(Object.keys(points))} are columns of a table: give table=FILE as well` };
  return given;
}

/** Null: taken. */
function take(given: Given, key: string, value: string, word: string): string | null {
  if (key === 'rods-off') given.rodsOff = true;
  else if (key === 'centres' || key === 'zero') given.estimate[key] = true;
  else if (key === 'reading') given.readings = [...given.readings, value];
  else if (key === 'readings') given.readingsFile = value;
  else if (key === 'table') given.estimate.table = value;
  else if (/^h\d$/.test(key)) return takePoint(given, key, value);
  else if (key === 'minutes' || key === 'binds' || key === 'poses') return takeNumber(given, key, value);
  else return `"${word.slice(0, 40)}" is not known`;
  return ['readings', 'table'].includes(key) && value === '' ? `${key}: name a file` : null;
}

function takeNumber(given: Given, key: keyof typeof NUMBERS, value: string): string | null {
  const number = numberIn(value, null, NUMBERS[key]);
  if (typeof number !== 'number') return `${key}: ${number.problem}`;
  if (key === 'minutes') given.minutes = number;
  else if (key === 'binds') given.binds = [...given.binds, number];
  else if (Number.isInteger(number)) given.estimate.poses = number;
  else return 'poses: a whole number is right';
  return null;
}

function takePoint(given: Given, key: string, value: string): string | null {
  const numbers = value.split(',').map((cell) => numberIn(cell, 'mm', { least: -POINT_MM, most: POINT_MM }));
  const [x, y, z] = numbers;
  if (numbers.length !== 3 || typeof x !== 'number' || typeof y !== 'number' || typeof z !== 'number')
    return `${key}: "${value.slice(0, 40)}" is no point; ${key}=40,0,6 is right, in mm in the moving plate’s frame`;
  given.estimate.points = { ...given.estimate.points, [`${key}_mm`]: [x, y, z] };
  return null;
}

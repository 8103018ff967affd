/** The options of `measure`: every reading of every measurement, what is measured, and what the tools may be off by. */
import type { Command } from 'commander';
import {
  type AxisName,
  type Measurement,
  type Reading,
  type Readings,
  type Subject,
  type Tool,
  type ToolErrors,
  TOOLS,
} from '../../bringup/measurement.ts';
import { MEASUREMENTS } from '../../bringup/measurements.ts';
import { type Uncertain, exactly } from '../../bringup/propagate.ts';
import type { Triangles } from '../../rig/mesh/stl.ts';
import type { Rig } from '../../rig/rig.ts';
import { either, found, nearest } from '../../rig/words.ts';
import { readNumber } from '../../stream/decimal.ts';
import { type Problem, problemOf } from '../output.ts';

/** As the library for arguments gives them: by the option's name in camel case. */
export type Texts = Readonly<Record<string, string | boolean | undefined>>;

const camel = (name: string): string => name.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());
const textOf = (texts: Texts, name: string): string | undefined => {
  const text = texts[camel(name)];
  return typeof text === 'string' ? text : undefined;
};

const SUBJECTS = {
  joint: 'the joint',
  part: 'the part, by its name in the rig',
  axis: 'x, y or z, of the frame that the part is in',
} as const;
type SubjectKey = keyof typeof SUBJECTS;
const SUBJECT_KEYS = Object.keys(SUBJECTS) as SubjectKey[];

const ERROR_OPTIONS: Readonly<Record<string, Tool>> = {
  'scale-off-kg': 'scale',
  'ruler-off-mm': 'ruler',
  'protractor-off-deg': 'protractor',
  'stopwatch-off-s': 'stopwatch',
  'meter-off-percent': 'meter',
};

/** Each name once; those that several measurements read say whose they are. */
const readingNames = (): string[] => [
  ...new Set(MEASUREMENTS.flatMap(({ readings }) => readings.map(({ name }) => name))),
];

export function addMeasureOptions(command: Command): Command {
  command.option('--stl <file.stl>', 'mesh: the part as a closed mesh, in mm');
  for (const key of SUBJECT_KEYS) command.option(`--${key} <name>`, SUBJECTS[key]);
  for (const name of readingNames()) {
    const users = MEASUREMENTS.filter(({ readings }) => readings.some((reading) => reading.name === name));
    const says = users[0]?.readings.find((reading) => reading.name === name)?.says ?? '';
    command.option(`--${name} <value>`, `${users.map(({ what }) => what).join(', ')}: ${says}`);
  }
  for (const [option, tool] of Object.entries(ERROR_OPTIONS))
    command.option(`--${option} <value>`, `what the ${tool} may be off by (usual: ${String(TOOLS[tool].off)})`);
  return command;
}

export const measurementOf = (what: string): Measurement | Problem => {
  const known = MEASUREMENTS.map((each) => each.what);
  const like = nearest(what, known);
  return (
    MEASUREMENTS.find((each) => each.what === what) ??
    problemOf(
      'what',
      `${found(what)} is no measurement; allowed: ${either(known)}${like ? `. Did you mean ${like}?` : ''}`,
    )
  );
};

function numberAt(text: string): number | string {
  if (text.trim() === '') return 'is empty';
  const value = readNumber(text);
  return typeof value === 'string' || Number.isFinite(value) ? value : 'is no number';
}

function readingOf({ name, least, most, whole, optional, says }: Reading, texts: Texts): number | null | Problem {
  const text = textOf(texts, name);
  if (text === undefined) return optional ? null : problemOf(`--${name}`, `is missing: ${says}`);
  const value = numberAt(text);
  const allowed = `${whole ? 'a whole number' : 'a number'} from ${String(least)} to ${String(most)}`;
  if (typeof value === 'number' && value >= least && value <= most && (!whole || Number.isInteger(value))) return value;
  return problemOf(
    `--${name}`,
    `${typeof value === 'string' ? value : `found ${text}`}; allowed: ${allowed} (${says})`,
  );
}

const isProblem = (value: unknown): value is Problem =>
  typeof value === 'object' && value !== null && 'message' in value;

function toolErrors(texts: Texts): { readonly tools: ToolErrors; readonly problems: readonly Problem[] } {
  const tools = { ...TOOLS };
  const problems: Problem[] = [];
  for (const [option, tool] of Object.entries(ERROR_OPTIONS)) {
    const text = textOf(texts, option);
    if (text === undefined) continue;
    const off = numberAt(text);
    if (typeof off === 'number' && off >= 0 && off <= 1000) tools[tool] = { ...tools[tool], off };
    else problems.push(problemOf(`--${option}`, `found ${found(text)}; allowed: a number from 0 to 1000`));
  }
  return { tools, problems };
}

/** Options that this measurement does not read. */
function strangers({ what, of, readings }: Measurement, texts: Texts): Problem[] {
  const takes = [...of.flat(), ...readings.map(({ name }) => name)];
  return [...SUBJECT_KEYS, ...readingNames()]
    .filter((name) => textOf(texts, name) !== undefined && !takes.includes(name))
    .map((name) =>
      problemOf(`--${name}`, `${what} does not read this; it takes ${takes.map((key) => `--${key}`).join(', ')}`),
    );
}

/** The readings, or all that is wrong with them, before any file is read. */
export function readReadings(
  measurement: Measurement,
  texts: Texts,
): { readonly readings: ReadonlyMap<string, Uncertain>; readonly problems: readonly Problem[] } {
  const { tools, problems } = toolErrors(texts);
  const all = [
    ...stlFaults(measurement, texts),
    ...problems,
    ...strangers(measurement, texts),
    ...subjectFaults(measurement, texts),
  ];
  const readings = new Map<string, Uncertain>();
  for (const reading of measurement.readings) {
    const value = readingOf(reading, texts);
    if (isProblem(value)) all.push(value);
    else if (value !== null) {
      const { unit, off } = tools[reading.tool];
      readings.set(reading.name, { value, off: unit === '%' ? (Math.abs(value) * off) / 100 : off });
    }
  }
  return { readings, problems: all };
}

/** A mesh that is missing, or that nobody reads. */
function stlFaults({ what, stl }: Measurement, texts: Texts): Problem[] {
  const given = textOf(texts, 'stl') !== undefined;
  if (given === (stl === true)) return [];
  return [problemOf('--stl', given ? `${what} does not read a mesh` : 'is missing: the part as a closed mesh, in mm')];
}

/** Which of its ways a measurement is asked in; what is missing of the nearest one otherwise. */
function subjectFaults({ of }: Measurement, texts: Texts): Problem[] {
  const given = SUBJECT_KEYS.filter((key) => textOf(texts, key) !== undefined);
  const isWay = (way: readonly SubjectKey[]): boolean =>
    way.length === given.length && way.every((key) => given.includes(key));
  const allowed = of.flat();
  if (of.some(isWay) || given.some((key) => !allowed.includes(key))) return [];
  const words = either(of.map((way) => way.map((key) => `--${key}`).join(' with ')));
  const meant = of.find((way) => given.every((key) => way.includes(key))) ?? of[0];
  const missing = meant?.find((key) => !given.includes(key)) ?? given[0] ?? '';
  return [problemOf(`--${missing}`, `it takes ${words}`)];
}

/** What is measured, of a rig that has it. */
export function subjectOf(rig: Rig, texts: Texts, triangles: Triangles | null): Subject | Problem {
  const [joint, part, axis] = SUBJECT_KEYS.map((key) => textOf(texts, key) ?? null);
  const named = (option: SubjectKey, name: string | null | undefined, known: readonly string[]): Problem | null =>
    name === null || name === undefined || known.includes(name)
      ? null
      : problemOf(`--${option}`, `${found(name)} is not in this rig; it has ${either(known) || 'none'}`);
  return (
    named(
      'joint',
      joint,
      rig.joints.map(({ name }) => name),
    ) ??
    named(
      'part',
      part,
      rig.parts.map(({ name }) => name),
    ) ??
    named('axis', axis, ['x', 'y', 'z']) ?? {
      rig,
      joint: joint!,
      part: part!,
      axis: axis as AxisName | null,
      triangles,
    }
  );
}

/** The readings as a measurement asks for them. */
export function asReadings(rig: Rig, readings: ReadonlyMap<string, Uncertain>): Readings {
  return {
    may: (name) => readings.get(name) ?? null,
    must: (name) => readings.get(name) ?? exactly(NaN),
    ofRig: (path, value, usual_percent) => {
      if (value === null || value === undefined) return null;
      const percent = rig.sources.get(path)?.within_percent ?? usual_percent;
      return { value, off: (Math.abs(value) * percent) / 100 };
    },
  };
}

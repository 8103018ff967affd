/** What a workshop measurement is: what it reads, how it is done, and what it makes of the readings for a rig. */
import type { FigureChange } from '../rig/edit.ts';
import type { Rig } from '../rig/rig.ts';
import type { Triangles } from '../rig/mesh/stl.ts';
import type { Uncertain } from './propagate.ts';

/** Tools, by what they read. */
export type Tool = 'scale' | 'ruler' | 'protractor' | 'stopwatch' | 'meter' | 'eye';

/** What a reading may be off by, 19 times in 20: the unit's own, or a share of the reading. */
export interface ToolError {
  readonly unit: 'kg' | 'mm' | 'deg' | 's' | '%' | '';
  readonly off: number;
}
export type ToolErrors = Readonly<Record<Tool, ToolError>>;

/**
 * Usual for workshop tools (common practice): a luggage scale that shows 10 g, a ruler to a millimetre, a printed protractor, a thumb on a
 * stopwatch at both ends, a hand meter. What the eye counts is exact.
 */
export const TOOLS: ToolErrors = {
  scale: { unit: 'kg', off: 0.02 },
  ruler: { unit: 'mm', off: 1 },
  protractor: { unit: 'deg', off: 1 },
  stopwatch: { unit: 's', off: 0.3 },
  meter: { unit: '%', off: 3 },
  eye: { unit: '', off: 0 },
};

export interface Reading {
  /** Name of the option, with its unit. */
  readonly name: string;
  readonly says: string;
  readonly tool: Tool;
  readonly least: number;
  readonly most: number;
  readonly whole?: true;
  /** Where it may be left out. */
  readonly optional?: true;
}

export type AxisName = 'x' | 'y' | 'z';

/** What is measured. Names are of the rig, and there. */
export interface Subject {
  readonly rig: Rig;
  readonly joint: string | null;
  readonly part: string | null;
  readonly axis: AxisName | null;
  /** Of those that read a mesh. */
  readonly triangles: Triangles | null;
}

/** A reading by its name; null: it was left out. Of those that must be there, use `must`. */
export interface Readings {
  may(name: string): Uncertain | null;
  must(name: string): Uncertain;
  /** A figure of the rig as uncertain as the rig says; null: unknown or not there. `usual_percent` where it does not say. */
  ofRig(path: string, value: number | null | undefined, usual_percent: number): Uncertain | null;
}

/** Something found, in its unit. */
export interface Found extends Uncertain {
  readonly what: string;
  readonly unit: string;
}

export interface Outcome {
  readonly found: readonly Found[];
  /** What is not in the figures, sentence by sentence. */
  readonly words: readonly string[];
  /** What the rig is to say. */
  readonly changes: readonly FigureChange[];
}

/** Why there is no outcome, in words, and of which reading. */
export interface Refused {
  readonly option: string;
  readonly problem: string;
}

export interface Measurement {
  readonly what: string;
  readonly summary: string;
  readonly how: string;
  readonly source: string;
  readonly caution: string;
  /** What has to be named: each a choice of options. */
  readonly of: readonly (readonly ('joint' | 'part' | 'axis')[])[];
  /** Whether it reads a mesh. */
  readonly stl?: true;
  readonly readings: readonly Reading[];
  work(subject: Subject, readings: Readings): Outcome | Refused;
}

export const refused = (option: string, problem: string): Refused => ({ option, problem });

/** To three digits: no workshop reading has more. */
export const rounded = (value: number): number => Number(value.toPrecision(3));

/** How far off, in percent rounded up to two digits. */
export function percentOf({ value, off }: Uncertain): number {
  const percent = (100 * off) / Math.abs(value);
  const step = 10 ** (Math.floor(Math.log10(percent)) - 1);
  return percent > 0 ? Number((Math.ceil(percent / step - 1e-9) * step).toPrecision(2)) : 0;
}

/** A figure of the rig with where it comes from; null: the reading errors are as large as the figure itself, which is then worth nothing. */
export function measuredFigure(path: FigureChange['path'], figure: Uncertain): FigureChange | null {
  const isClear = figure.value > 0 && figure.off < figure.value;
  const to = { value: rounded(figure.value), from: 'measured', within_percent: percentOf(figure) } as const;
  return isClear ? { path, to } : null;
}

export const LOST =
  'is lost in what the readings may be off by, so it is not written: pull or swing more, or read more finely';

export const present = <T>(items: readonly (T | null)[]): T[] => items.filter((item) => item !== null);

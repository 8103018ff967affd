/**
 * Reads a shake as a phone exports it: a table with a time and accelerations or angles, whatever the headings, the delimiter and the
 * decimal sign. What cannot be a shake is said in words.
 */
import Papa from 'papaparse';
import type { ShakeRecord } from './shake.ts';
import { counted } from '../../rig/words.ts';

type Reading = { readonly record: ShakeRecord } | { readonly problem: string };
interface Column {
  readonly name: string;
  readonly values: number[];
}

/** Of all rows so many may be something else: a second heading, units, a torn last line. */
const STRAY = 0.1;
const LEAST_ROWS = 8;
const TIME_NAMES =
  /^["\s]*(t|time|zeit|temps|tempo|tiempo|tid|seconds?|elapsed|timestamp|uptime)(\b|_)|elapsed|timestamp/i;
/** Made of the others, and so at other frequencies than they. */
const MADE = /abs|magnitude|total|norm|result|sum|betrag/i;
/** Seconds in the units that headings name. */
const UNITS: readonly (readonly [RegExp, number])[] = [
  [/(\b|_)(ns|nano\w*)(\b|_|$)/i, 1e-9],
  [/(\b|_)(us|µs|μs|micro\w*)(\b|_|$)/i, 1e-6],
  [/(\b|_)(ms|milli\w*)(\b|_|$)/i, 1e-3],
  [/(\b|_)(s|sec|secs|seconds?|sekunden?)(\b|_|$)/i, 1],
];
/** Median steps that each unit explains: phones and cameras take 10 to 1000 points a second. */
const STEPS: readonly (readonly [least: number, most: number, seconds: number])[] = [
  [0.001, 0.1, 1],
  [1, 100, 1e-3],
  [1e3, 1e5, 1e-6],
  [1e6, 1e8, 1e-9],
];

/** The record in the text of a file, times in s from the first one on. */
export function readShake(text: string): Reading {
  const plain = text.replace(/^\uFEFF/, '');
  const { data, meta } = Papa.parse<string[]>(plain, { skipEmptyLines: 'greedy', comments: '#' });
  const columns = columnsOf(data, meta.delimiter !== ',');
  if ('problem' in columns) return columns;
  const rising = columns.filter(({ values }) => rises(values));
  const time =
    rising.find(({ name }) => TIME_NAMES.test(name) && unitOf(name) === 1) ??
    rising.find(({ name }) => TIME_NAMES.test(name)) ??
    rising[0];
  if (!time) return { problem: 'found no column of times: one that rises from row to row, in seconds or milliseconds' };
  const measured = columns.filter(({ values }) => !rises(values) && varies(values));
  if (measured.length === 0)
    return { problem: 'found a column of times and nothing measured beside it: an acceleration or an angle' };
  const unit_s = unitOf(time.name) ?? unitByStep(time.values);
  if (unit_s === null)
    return {
      problem: `found times in the column ${time.name} that step by ${String(medianStep(time.values))}: neither seconds nor milliseconds; write the unit into its heading, such as t_s`,
    };
  const single = measured.filter(({ name }) => !MADE.test(name));
  return { record: recordOf(time, unit_s, single.length > 0 ? single : measured) };
}

/** Columns of numbers. A cell that is no number in a row of numbers, or a row of other length, makes the row a stray one. */
function columnsOf(rows: readonly (readonly string[])[], commas: boolean): Column[] | { readonly problem: string } {
  const numbers = rows.map((row) => row.map((cell) => numberOf(cell, commas)));
  const widths = numbers.filter((row) => row.filter(Number.isFinite).length >= 2).map((row) => row.length);
  const width = median(widths);
  if (widths.length < LEAST_ROWS)
    return {
      problem: `found ${counted(widths.length, 'row')} with two numbers or more: no table of a time and something measured`,
    };
  const heads = rows[0] ?? [];
  const named = !(numbers[0] ?? []).some(Number.isFinite);
  const kept = [...Array(width).keys()].filter(
    (k) => numbers.filter((row) => Number.isFinite(row[k])).length > (1 - STRAY) * widths.length,
  );
  const good = numbers.filter((row) => kept.every((k) => Number.isFinite(row[k])));
  if (kept.length < 2 || good.length < (1 - STRAY) * (rows.length - Number(named)))
    return {
      problem: `found numbers in ${String(good.length)} of ${String(rows.length)} rows only: no table of a time and something measured`,
    };
  const nameOf = (k: number): string => {
    const head = named ? heads[k]?.trim() : undefined;
    return head === undefined || head === '' ? `column ${String(k + 1)}` : head;
  };
  return kept.map((k) => ({ name: nameOf(k), values: good.map((row) => row[k]!) }));
}

/** A number as people write it, an instant as ms; NaN: neither. */
function numberOf(cell: string, commas: boolean): number {
  const text = cell.trim();
  if (text === '') return NaN;
  const number = Number(commas ? text.replace(/^([-+]?\d*),(\d+(e[-+]?\d+)?)$/i, '$1.$2') : text);
  if (Number.isFinite(number)) return number;
  return /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d/.test(text) ? Date.parse(text.replace(' ', 'T')) : NaN;
}

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0;
const medianStep = (values: readonly number[]): number => median(values.slice(1).map((value, i) => value - values[i]!));
const varies = (values: readonly number[]): boolean => values.some((value) => value !== values[0]);

/** Never falls, and mostly rises: phones repeat an instant now and then. */
function rises(values: readonly number[]): boolean {
  let up = 0;
  for (let i = 1; i < values.length; i++) {
    if (values[i]! < values[i - 1]!) return false;
    if (values[i]! > values[i - 1]!) up++;
  }
  return up > (1 - STRAY) * (values.length - 1);
}

const unitOf = (name: string): number | null => UNITS.find(([words]) => words.test(name))?.[1] ?? null;
function unitByStep(values: readonly number[]): number | null {
  const step = medianStep(values);
  return STEPS.find(([least, most]) => step >= least && step <= most)?.[2] ?? null;
}

/** In seconds from the first instant on; of rows with the same instant the first. */
function recordOf(time: Column, unit_s: number, measured: readonly Column[]): ShakeRecord {
  const rows = [...time.values.keys()].filter((i) => i === 0 || time.values[i]! > time.values[i - 1]!);
  const first = time.values[0] ?? 0;
  return {
    t_s: Float64Array.from(rows, (i) => (time.values[i]! - first) * unit_s),
    columns: measured.map(({ name, values }) => ({ name, values: Float64Array.from(rows, (i) => values[i]!) })),
  };
}

/**
 * A search written down and read back, to the last bit: numbers in lists are kept as their bytes, as JSON has neither a
 * negative zero nor NaN. The text carries a checksum, so that a file cut short or changed by hand is refused rather than
 * searched on.
 */
import crc32 from 'crc/calculators/crc32';
import { Draws } from './draws.ts';
import type { Search } from './search.ts';

const FORMAT = 'posewright design search 1';

export type ReadSearch =
  { readonly search: Search; readonly problem: null } | { readonly search: null; readonly problem: string };

/** One line of JSON. To be called while no step is under way: at `onProgress`, or after `run`. */
export function writeSearch(search: Search): string {
  const text = JSON.stringify(search, packed);
  return JSON.stringify({ format: FORMAT, crc32: checksum(text), search: text });
}

/** @param text of `writeSearch`, or of anything else: then `problem` says in words what is wrong */
export function readSearch(text: string): ReadSearch {
  const refused = (problem: string): ReadSearch => ({ search: null, problem });
  const file = parsed(text);
  if (file === null || file['format'] !== FORMAT) return refused('this is not the state of a design search');
  const { search } = file;
  if (typeof search !== 'string' || checksum(search) !== file['crc32'])
    return refused('the state of the design search is damaged: its checksum does not fit');
  return { search: JSON.parse(search, unpacked) as Search, problem: null };
}

/** Why two searches cannot be put together; null: they can. */
export function misfit(a: Search, b: Search): string | null {
  if (JSON.stringify([a.plan, a.shape]) !== JSON.stringify([b.plan, b.shape]))
    return 'they are of different searches: what is wanted, the seed, the number of islands or the evaluations differ';
  const twice = a.islands.find(({ index }) => b.islands.some((other) => other.index === index));
  return twice ? 'it is the same shard as another, or holds a part of it' : null;
}

function parsed(text: string): Record<string, unknown> | null {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : null;
  } catch {
    return null;
  }
}

const checksum = (text: string): number => crc32(new TextEncoder().encode(text));

function packed(_key: string, value: unknown): unknown {
  if (value instanceof Draws) return { draws: value.state() };
  if (!(value instanceof Float64Array)) return value;
  const bytes = new DataView(new ArrayBuffer(value.length * 8));
  value.forEach((number, i) => {
    bytes.setFloat64(i * 8, number, true);
  });
  return { f64: btoa(String.fromCharCode(...new Uint8Array(bytes.buffer))) };
}

function unpacked(_key: string, value: unknown): unknown {
  if (typeof value !== 'object' || value === null) return value;
  if ('draws' in value && Array.isArray(value.draws)) return Draws.from(value.draws as number[]);
  if (!('f64' in value) || typeof value.f64 !== 'string') return value;
  const bytes = Uint8Array.from(atob(value.f64), (letter) => letter.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  return Float64Array.from({ length: bytes.length / 8 }, (_, i) => view.getFloat64(i * 8, true));
}

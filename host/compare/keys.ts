/** The keys of rig files side by side: those whose values are not the same, as the files have them. */
import type { KeyRow } from './result.ts';

type Raw = Readonly<Record<string, unknown>>;

const isGroup = (value: unknown): value is Raw => typeof value === 'object' && value !== null && !Array.isArray(value);

/** A figure that says where it comes from is its value. */
const plain = (value: unknown): unknown => (isGroup(value) && 'value' in value ? value['value'] : value);

const isNamed = (item: unknown): item is Raw & { readonly name: string } =>
  isGroup(item) && typeof item['name'] === 'string';

/** Every figure of a file by its key path; items of a list that have names go by them. */
export function flatKeys(data: unknown, path = ''): ReadonlyMap<string, string> {
  const found = new Map<string, string>();
  const value = plain(data);
  const under = (key: string): string => (path === '' ? key : `${path}.${key}`);
  const add = (inner: ReadonlyMap<string, string>): void => {
    for (const [key, words] of inner) found.set(key, words);
  };
  if (Array.isArray(value) && value.length > 0 && value.every(isNamed))
    for (const { name, ...rest } of value) add(flatKeys(rest, under(name)));
  else if (isGroup(value)) for (const [key, inner] of Object.entries(value)) add(flatKeys(inner, under(key)));
  else found.set(path, words(value));
  return found;
}

const words = (value: unknown): string =>
  Array.isArray(value) ? `[${value.map((item) => words(plain(item))).join(', ')}]` : String(value);

/** In this order; what stands in no such group comes last. `rig` is a name. */
const GROUPS = ['platform', 'parts', 'joints', 'servos', 'motion', 'supply'];

const rank = (path: string): number => {
  const at = GROUPS.indexOf(path.replace(/\..*/, ''));
  return at < 0 ? GROUPS.length : at;
};

/** How a servo is driven: it moves nothing that a builder sees. */
const PULSES = /(^|\.)(us_per_(deg|mm)|range_us|centre_us|frame_hz|deadband_us|no_pulse)$/;
export const isPulse = (path: string): boolean => PULSES.test(path);

/** A point has none: where the others do not have it at all, that is no difference. */
const isNoInertia = ({ path, values }: KeyRow): boolean =>
  /(^|\.)inertia_kgmm2$/.test(path) && values.every((value) => value === null || value === '[0, 0, 0]');

/** Rows of what differs: geometry first, how servos are driven last. */
export function keyRows(files: readonly ReadonlyMap<string, string>[]): KeyRow[] {
  const paths = [...new Set(files.flatMap((file) => [...file.keys()]))].filter((path) => path !== 'rig');
  return paths
    .map((path): KeyRow => ({ path, values: files.map((file) => file.get(path) ?? null) }))
    .filter((row) => new Set(row.values).size > 1 && !isNoInertia(row))
    .map((row, i) => ({ row, i }))
    .sort(
      (a, b) =>
        Number(isPulse(a.row.path)) - Number(isPulse(b.row.path)) || rank(a.row.path) - rank(b.row.path) || a.i - b.i,
    )
    .map(({ row }) => row);
}

const UNITS: readonly (readonly [end: string, unit: string])[] = [
  ['_deg_s2', 'deg/s²'],
  ['_mm_s2', 'mm/s²'],
  ['_deg_s', 'deg/s'],
  ['_mm_s', 'mm/s'],
  ['us_per_deg', 'µs/deg'],
  ['us_per_mm', 'µs/mm'],
  ['_s_per_60deg', 's for 60 deg'],
  ['_kgm2', 'kg·m²'],
  ['_kgmm2', 'kg·mm²'],
  ['_nm_rad', 'N·m/rad'],
  ['_kgcm', 'kgf·cm'],
  ['_ozin', 'ozf·in'],
  ['_mm', 'mm'],
  ['_deg', 'deg'],
  ['_kg', 'kg'],
  ['_nm', 'N·m'],
  ['_hz', 'Hz'],
  ['_us', 'µs'],
  ['_ms', 'ms'],
  ['_n', 'N'],
  ['_v', 'V'],
  ['_a', 'A'],
];

/** A value with the unit that its key, or the group around it, names; words stand alone. */
export function shownValue(path: string, value: string | null): string {
  if (value === null) return 'not given';
  const keys = path.split('.').reverse();
  const unit = keys.map((key) => UNITS.find(([end]) => key.endsWith(end))?.[1]).find((found) => found !== undefined);
  return unit !== undefined && /^[-\d.[]/.test(value) ? `${value} ${unit}` : value;
}

/**
 * A take as a file: a stream like any other, at 50 frames a second, whose marks, sound and keys stand in lines that begin with #,
 * which whatever else reads streams passes over:
 *
 *     # mark 3.2 startle
 *     # sound hoot.wav at 0
 *     # keys yaw_deg 0 0, 1.2 14.5, 2 0
 */
import { FRAME_HZ, type Curve, type Key, type Mark, type Sound, type Take } from './take.ts';
import { keysThrough, samplesOf } from './curve.ts';

/** Keys of a stream that says none: as near to its frames as a person sees, mm or deg. */
const NEAR = 0.05;
/** Six decimals, as streams are written: no number changes by being saved. */
const rounded = (value: number): number => Math.round(value * 1e6) / 1e6 || 0;

/** The text of a take; the columns in the order given, those it has no curve for left out. */
export function takeText(take: Take, columns: readonly string[]): string {
  const curves = columns.flatMap((column) => take.curves.filter((curve) => curve.column === column));
  const samples = curves.map(({ keys }) => samplesOf(keys, take.seconds));
  const count = Math.round(take.seconds * FRAME_HZ) + 1;
  const rows = Array.from({ length: count }, (_, n) =>
    [n / FRAME_HZ, ...samples.map((column) => column[n]!)].map((value) => String(rounded(value))).join(','),
  );
  return [...headLines(take, curves), ['t_s', ...curves.map(({ column }) => column)].join(','), ...rows, ''].join('\n');
}

function headLines(take: Take, curves: readonly Curve[]): string[] {
  const { marks, sound } = take;
  return [
    ...(sound ? [`# sound ${sound.file} at ${String(rounded(sound.at_s))}`] : []),
    ...marks.map(({ t_s, name }) => `# mark ${String(rounded(t_s))} ${name}`),
    ...curves.map(({ column, keys }) => `# keys ${column} ${keys.map(keyText).join(', ')}`),
  ];
}

const keyText = ({ t_s, value }: Key): string => `${String(rounded(t_s))} ${String(rounded(value))}`;

const MARK = /^#\s*mark\s+(\d+(?:\.\d+)?)\s+(.+)$/;
const SOUND = /^#\s*sound\s+(.+?)\s+at\s+(-?\d+(?:\.\d+)?)$/;
const KEYS = /^#\s*keys\s+(\S+)\s+(.+)$/;

/** What a stream's comments say of it, beside its frames. Lines that say something else are passed over. */
export function takeComments(lines: Iterable<string>): {
  readonly marks: readonly Mark[];
  readonly sound: Sound | null;
  readonly keys: ReadonlyMap<string, readonly Key[]>;
} {
  const marks: Mark[] = [];
  const keys = new Map<string, readonly Key[]>();
  let sound: Sound | null = null;
  for (const text of lines) {
    const line = text.trim();
    const [, at, name] = MARK.exec(line) ?? [];
    const [, file, from] = SOUND.exec(line) ?? [];
    const [, column, list] = KEYS.exec(line) ?? [];
    if (at !== undefined && name !== undefined) marks.push({ t_s: Number(at), name });
    else if (file !== undefined) sound = { file, at_s: Number(from) };
    else if (column !== undefined && list !== undefined) {
      const read = readKeys(list);
      if (read) keys.set(column, read);
    }
  }
  return { marks: marks.sort((a, b) => a.t_s - b.t_s), sound, keys };
}

/** Null: these are no keys in the order of time. */
function readKeys(list: string): Key[] | null {
  const keys = list.split(',').map((text): Key => {
    const [t_s = NaN, value = NaN] = text.trim().split(/\s+/).map(Number);
    return { t_s, value };
  });
  const isOrdered = keys.every(
    ({ t_s, value }, n) => Number.isFinite(t_s) && Number.isFinite(value) && (n === 0 || t_s > keys[n - 1]!.t_s),
  );
  return isOrdered ? keys : null;
}

/**
 * A take of a stream that has been read: its keys where the file names them and they are what its frames are, else keys through the
 * frames.
 * @param columns by name, the values at 50 frames a second from 0 s on
 */
export function takeOf(
  name: string,
  columns: ReadonlyMap<string, Float64Array>,
  comments: ReturnType<typeof takeComments>,
): Take {
  const count = Math.max(1, ...[...columns.values()].map(({ length }) => length));
  const seconds = (count - 1) / FRAME_HZ;
  const curves = [...columns].map(([column, samples]): Curve => {
    const keys = comments.keys.get(column);
    return { column, keys: keys && isCurveOf(keys, samples, seconds) ? keys : keysThrough(samples, 0, NEAR) };
  });
  return { name, seconds, curves, marks: comments.marks, sound: comments.sound };
}

/** Whether the frames are these keys' own: a file that was edited elsewhere keeps its frames, not its keys. */
function isCurveOf(keys: readonly Key[], samples: Float64Array, seconds: number): boolean {
  return samplesOf(keys, seconds).every((value, n) => Math.abs(value - (samples[n] ?? NaN)) < 1e-5);
}

/**
 * A take as a file: a stream like any other, at 50 frames a second, whose marks, sound and keys stand in lines that begin with #,
 * which whatever else reads streams passes over:
 *
 *     # mark 3.2 startle
 *     # sound hoot.wav at 0
 *     # keys yaw_deg 0 0, 1.2 14.5, 2 0
 *     # lead jaw_deg 40
 *
 * A column with a lead is asked that many ms earlier than its keys say: its frames are, its keys stay at what is heard.
 */
import { FRAME_HZ, type Curve, type Key, type Mark, type Sound, type Take } from './take.ts';
import { keysThrough, samplesOf } from './curve.ts';
import { detailOf, framesOf, led, leadOf, rounded, roundedKey } from './detail.ts';

/** Keys of a stream that says none: as near to its frames as a person sees, mm or deg. What they miss is kept as detail. */
const NEAR = 0.05;
/** Keys that a file names are its own where its frames are so near; what was edited elsewhere is further away, mm or deg. */
const OWN = 0.2;

/** The text of a take; the columns in the order given, those it has no curve for left out. */
export function takeText(take: Take, columns: readonly string[]): string {
  // Frames of the keys as they are written, so that what is read again is written the same.
  const curves = columns
    .flatMap((column) => take.curves.filter((curve) => curve.column === column))
    .map((curve): Curve => ({ ...curve, keys: curve.keys.map(roundedKey) }));
  const samples = curves.map((curve) => framesOf(take, curve));
  const count = Math.round(take.seconds * FRAME_HZ) + 1;
  const rows = Array.from({ length: count }, (_, n) =>
    [n / FRAME_HZ, ...samples.map((column) => column[n]!)].map((value) => String(rounded(value))).join(','),
  );
  return [
    ...headLines(take, curves, columns),
    ['t_s', ...curves.map(({ column }) => column)].join(','),
    ...rows,
    '',
  ].join('\n');
}

function headLines(take: Take, curves: readonly Curve[], columns: readonly string[]): string[] {
  const { marks, sound } = take;
  return [
    ...(sound ? [`# sound ${sound.file} at ${String(rounded(sound.at_s))}`] : []),
    ...marks.map(({ t_s, name }) => `# mark ${String(rounded(Math.max(0, t_s)))} ${oneLine(name)}`),
    ...columns.flatMap((column) => {
      const lead_ms = leadOf(take, column);
      return lead_ms === 0 ? [] : [`# lead ${column} ${String(lead_ms)}`];
    }),
    ...curves.map(({ column, keys }) => `# keys ${column} ${keys.map(keyText).join(', ')}`),
  ];
}

/** A name on one line, never empty: a line break in it would be a frame. */
const oneLine = (name: string): string => name.replace(/\s+/g, ' ').trim() || 'mark';

const keyText = ({ t_s, value }: Key): string => `${String(rounded(t_s))} ${String(rounded(value))}`;

const MARK = /^#\s*mark\s+(\d+(?:\.\d+)?)\s+(.+)$/;
const SOUND = /^#\s*sound\s+(.+?)\s+at\s+(-?\d+(?:\.\d+)?)$/;
const LEAD = /^#\s*lead\s+(\S+)\s+(-?\d+(?:\.\d+)?)$/;
const KEYS = /^#\s*keys\s+(\S+)\s+(.+)$/;

/** What a stream's comments say of it, beside its frames. Lines that say something else are passed over. */
export function takeComments(lines: Iterable<string>): {
  readonly marks: readonly Mark[];
  readonly sound: Sound | null;
  readonly keys: ReadonlyMap<string, readonly Key[]>;
  readonly leads_ms: Readonly<Record<string, number>>;
} {
  const marks: Mark[] = [];
  const keys = new Map<string, readonly Key[]>();
  const leads_ms: Record<string, number> = {};
  let sound: Sound | null = null;
  for (const text of lines) {
    const line = text.trim();
    const [, at, name] = MARK.exec(line) ?? [];
    const [, file, from] = SOUND.exec(line) ?? [];
    const [, late, lead] = LEAD.exec(line) ?? [];
    const [, column, list] = KEYS.exec(line) ?? [];
    if (at !== undefined && name !== undefined) marks.push({ t_s: Number(at), name });
    else if (file !== undefined) sound = { file, at_s: Number(from) };
    else if (late !== undefined) leads_ms[late] = Number(lead);
    else if (column !== undefined && list !== undefined) {
      const read = readKeys(list);
      if (read) keys.set(column, read);
    }
  }
  return { marks: marks.sort((a, b) => a.t_s - b.t_s), sound, keys, leads_ms };
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
 * A take of a stream that has been read: its keys where the file names them and its frames lie on them, else keys through the frames;
 * and what the frames have beside them, so that they stay as they are.
 * @param columns by name, the values at 50 frames a second from 0 s on
 */
export function takeOf(
  name: string,
  columns: ReadonlyMap<string, Float64Array>,
  comments: ReturnType<typeof takeComments>,
): Take {
  const count = Math.max(1, ...[...columns.values()].map(({ length }) => length));
  const seconds = (count - 1) / FRAME_HZ;
  // A lead of what has no curve yet waits for one.
  const leads_ms = Object.fromEntries(Object.entries(comments.leads_ms).filter(([column]) => !columns.has(column)));
  const curves = [...columns].map(([column, samples]): Curve => {
    const keys = comments.keys.get(column);
    const lead_ms = comments.leads_ms[column] ?? 0;
    if (!keys || !isCurveOf(led(keys, lead_ms), samples, seconds)) {
      const through = keysThrough(samples, 0, NEAR);
      return withFrames({ column, keys: through }, detailOf(through, samples));
    }
    if (lead_ms !== 0) leads_ms[column] = lead_ms;
    return withFrames({ column, keys }, detailOf(led(keys, lead_ms), samples));
  });
  return { name, seconds, curves, marks: comments.marks, sound: comments.sound, leads_ms };
}

const withFrames = (curve: Curve, detail: Curve['detail']): Curve => (detail ? { ...curve, detail } : curve);

/** Whether the frames are these keys' own: a file that was edited elsewhere keeps its frames, not its keys. */
function isCurveOf(keys: readonly Key[], samples: Float64Array, seconds: number): boolean {
  return samplesOf(keys, seconds).every((value, n) => Math.abs(value - (samples[n] ?? NaN)) < OWN);
}

/**
 * Rigs of one drive side by side: what differs in their files, how far each goes and what stops it, what it works, draws and shakes
 * with, how large it is. Two figures are alike where they differ by less than they may be off: root of the sum of squares of what
 * each uncertain figure does (GUM: JCGM 100:2008, 5.1.2), those that both files have alike off in both at once (5.2.2). Each is off
 * either way, and the worse counts.
 */
import { load } from '../load/load.ts';
import type { JointLoad, LoadAnswer } from '../load/result.ts';
import { movesWords } from '../load/words.ts';
import { homePosture } from '../physics/dynamics/places.ts';
import { AXES, AXIS_NAMES, unitOf } from '../reach/axes.ts';
import { shownTravel, travelsOf } from '../reach/travels.ts';
import { stopWords, wayWords } from '../reach/words.ts';
import { HOME, type Rig } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import { keyRows } from './keys.ts';
import { type Effect, type Measured, decidingOf, effectsOf, measured } from './measure.ts';
import { lowestLarge } from './modes.ts';
import type { Comparison, FigureRow, Unit } from './result.ts';

export interface Candidate {
  /** As it is called in answers. */
  readonly name: string;
  readonly rig: Rig;
  /** Its file's keys (keys.ts). */
  readonly keys: ReadonlyMap<string, string>;
  readonly stream: StoredStream | null;
}

/** One rig with everything that is set beside the others. */
interface Looked {
  readonly candidate: Candidate;
  readonly values: Measured;
  readonly because: ReadonlyMap<string, string>;
  readonly effects: readonly Effect[];
  readonly ok: boolean;
}

/** Why a rig cannot be compared, in words without a stop. */
export interface NotCompared {
  readonly name: string;
  readonly refused: string;
}

/** @param stream its name; null: none. All candidates are of one drive. */
export function compare(candidates: readonly Candidate[], stream: string | null): Comparison | NotCompared {
  const looked: Looked[] = [];
  for (const candidate of candidates) {
    const answer = load(candidate.rig, {
      pose: HOME,
      without: [],
      stream: candidate.stream && { name: stream ?? '', stored: candidate.stream },
    });
    if ('refused' in answer) return { name: candidate.name, refused: answer.refused };
    looked.push(lookAt(candidate, answer));
  }
  return {
    rigs: candidates.map(({ name }) => name),
    stream,
    keys: keyRows(candidates.map(({ keys }) => keys)),
    figures: rowsFor(candidates[0]!.rig, stream !== null).map((row) => rowOf(row, looked)),
    ok: looked.map(({ ok }) => ok),
  };
}

function lookAt(candidate: Candidate, answer: LoadAnswer): Looked {
  const { rig, stream } = candidate;
  const deciding = decidingOf(rig, answer, stream);
  const values = new Map(measured(rig, deciding));
  const { use, joint } = mostUsed(answer);
  // Its own answer is the one that is told; the instants that decide are for what it is moved by.
  values.set('use', use ?? NaN);
  const stops = rig.platform ? travelsOf(rig, HOME).map(shownTravel) : [];
  const mode = lowestLarge(rig, homePosture(rig));
  return {
    candidate,
    values,
    because: new Map([
      ...stops.flatMap(({ axis, minus_stop, plus_stop }) => [
        [`${axis}_minus`, minus_stop ? stopWords(minus_stop) : ''] as const,
        [`${axis}_plus`, plus_stop ? stopWords(plus_stop) : ''] as const,
      ]),
      ['use', joint] as const,
      ['hold', mostHeld(answer)] as const,
      ['lowest_hz', mode ? (mode.unstable ? 'not held against gravity' : movesWords(mode.mostly)) : ''] as const,
    ]),
    effects: effectsOf(rig, deciding),
    ok: answer.ok,
  };
}

/** The largest share of any servo, moving or at the hardest place, and whose; none where a plate hangs loose or a joint is too fast. */
function mostUsed({ joints }: LoadAnswer): { readonly use: number | null; readonly joint: string } {
  if (joints.some(({ worst }) => worst.loose))
    return { use: null, joint: 'the plate hangs loose within the soft limits' };
  const fast = joints.find(({ along }) => along?.impossible === 'speed');
  if (fast) return { use: null, joint: `${fast.name} too fast for its servo` };
  const uses = joints.map(({ name, along, worst }) => ({ name, use: Math.max(along?.use ?? -1, worst.use ?? -1) }));
  const best = uses.reduce((a, b) => (b.use > a.use ? b : a));
  return best.use < 0 ? { use: null, joint: '' } : { use: best.use, joint: best.name };
}

/** '': of none it is known. */
const mostHeld = ({ joints }: LoadAnswer): string =>
  joints
    .filter(({ hold_use }) => hold_use !== null)
    .reduce<JointLoad | null>((a, b) => (a && a.hold_use! >= b.hold_use! ? a : b), null)?.name ?? '';

type Row = Pick<FigureRow, 'name' | 'words' | 'group' | 'unit'>;

function rowsFor({ platform }: Rig, hasStream: boolean): Row[] {
  const travel = AXES.flatMap((axis) =>
    (['minus', 'plus'] as const).map((way): Row => {
      const name = AXIS_NAMES[axis];
      return { name: `${name}_${way}`, words: `${name}, ${wayWords(name, way)}`, group: 'travel', unit: unitOf(axis) };
    }),
  );
  const row = (group: Row['group'], name: string, words: string, unit: Unit): Row => ({ name, words, group, unit });
  return [
    ...(platform ? travel : []),
    row('work', 'use', hasStream ? 'largest use, moving or holding' : 'largest use, holding', 'share'),
    row('work', 'hold', 'largest share held at home', 'share'),
    row('work', 'lowest_hz', 'lowest natural frequency', 'Hz'),
    row('work', 'hold_a', 'holding current at home', 'A'),
    ...(hasStream ? [row('work', 'peak_a', 'peak current', 'A')] : []),
    ...(platform
      ? [
          row('size', 'base_radius', 'base, radius of the joints', 'mm'),
          row('size', 'plate_radius', 'moving plate, radius of the joints', 'mm'),
          row('size', 'height', 'height at home, from the base’s joints to the plate’s', 'mm'),
        ]
      : []),
  ];
}

/** Half of the last digit that is shown: what reads the same is the same. */
const SHOWN: Readonly<Record<Unit, number>> = { mm: 0.05, deg: 0.05, share: 0.005, Hz: 0.05, A: 0.05 };

function rowOf(row: Row, looked: readonly Looked[]): FigureRow {
  const values = looked.map(({ values: found }) => {
    const value = found.get(row.name) ?? NaN;
    return Number.isNaN(value) ? null : value;
  });
  const isAlike = (i: number, j: number): boolean | null => {
    const [a, b] = [values[i] ?? null, values[j] ?? null];
    if (a === null || b === null)
      return a === b && (looked[i]!.because.get(row.name) ?? '') === (looked[j]!.because.get(row.name) ?? '');
    if (Math.abs(a - b) <= SHOWN[row.unit]) return true;
    const unsure = unsureOf(row.name, looked[i]!, looked[j]!);
    return unsure === null ? null : Math.abs(a - b) <= unsure;
  };
  const pairs = looked.flatMap((_, i) => looked.slice(i + 1).map((__, k) => [i, i + 1 + k] as const));
  return {
    ...row,
    values,
    because: looked.map(({ because }) => because.get(row.name) ?? ''),
    unsure: looked.map((other, i) =>
      i === 0 || values[i] === null || values[0] === null ? null : unsureOf(row.name, looked[0]!, other),
    ),
    same: looked.map((_, i) => isAlike(0, i)),
    alike: pairs.every(([i, j]) => isAlike(i, j) === true),
  };
}

/** How far the difference of two rigs' figures may be off; null: cannot be told, since a rig that is so far off has no such figure. */
function unsureOf(name: string, a: Looked, b: Looked): number | null {
  const paths = new Set([...a.effects, ...b.effects].map(({ path }) => path));
  let squares = 0;
  for (const path of paths) {
    const [one, other] = [changesAt(a, path, name), changesAt(b, path, name)];
    const each = isShared(path, a.candidate, b.candidate)
      ? [largest(one.map((change, way) => change - other[way]!))]
      : [largest(one), largest(other)];
    for (const off of each) squares += off ** 2;
  }
  const unsure = Math.sqrt(squares);
  return Number.isFinite(unsure) ? unsure : null;
}

/** NaN where one is. */
const largest = (changes: readonly number[]): number => Math.max(...changes.map(Math.abs));

/** Where the figure at this path is larger, and where it is smaller; what it does not touch does not change. */
function changesAt({ effects }: Looked, path: string, name: string): readonly number[] {
  const effect = effects.find((one) => one.path === path);
  return [effect?.more, effect?.less].map((changes) => changes?.get(name) ?? 0);
}

/** Both files have the figure alike, or neither has it: then it is off in both by as much. */
function isShared(path: string, a: Candidate, b: Candidate): boolean {
  const of = ({ keys }: Candidate): string =>
    [...keys]
      .filter(([key]) => key.startsWith(path))
      .map(([key, value]) => `${key}=${value}`)
      .sort()
      .join('\n');
  return of(a) === of(b);
}

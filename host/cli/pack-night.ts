/** Streams that replay calls within limits become the bytes of one night: for the command line and for the stage. Writes nothing. */
import { basename } from 'node:path';
import { imageFingerprint, packImage } from '../controller/image.ts';
import { slowWords } from '../controller/slowed.ts';
import type { Rig } from '../rig/rig.ts';
import { nearest, together } from '../rig/words.ts';
import type { IdleReach } from '../shows/idle.ts';
import { writeNight } from '../shows/night-file.ts';
import { type ShowLength, cueFaults } from '../shows/cue-faults.ts';
import { type Packed, heardAt, missingShows, nameFaults, namedShows, packShow } from '../shows/pack.ts';
import { buildPlan } from '../shows/plan.ts';
import { boardsFor, roomFault } from '../shows/room.ts';
import { storeStream } from '../stream/store.ts';
import { readText } from './files.ts';
import type { Io } from './io.ts';
import { type Problem, problemOf } from './output.ts';
import { type Made, controllerFor } from './own-controller.ts';
import { idleProblems, inRig } from './night-problems.ts';
import { isError } from './misfits.ts';
import type { RigInput } from './rig-input.ts';
import { limitFault } from './show-limits.ts';
import { shownName } from './stdin.ts';
import { readStreamFile } from './stream-input.ts';

/** A night that is packed. */
export interface Night {
  readonly rig: Rig;
  readonly packed: readonly Packed[];
  readonly bytes: number;
  readonly idle: IdleReach | null;
  /** Boards with room for it. */
  readonly fits: readonly string[];
}

export interface PackedNight extends Night {
  readonly file: Uint8Array<ArrayBuffer>;
  readonly warnings: readonly Problem[];
}

const UNWALKED =
  'not every joint has been walked (bringup): until then a real board gets a slower rig, and refuses this night as one for another rig';

/** A show is known by its stream's name. */
export const showName = (path: string): string => basename(path).replace(/\.csv$/i, '');

/** What is wrong with the streams' names, before any is read. */
export function streamNameFaults(streams: readonly string[]): Problem[] {
  const names = streams.map(showName);
  return nameFaults(names).map(({ name, message }) =>
    problemOf(shownName(streams[names.lastIndexOf(name)] ?? name), message),
  );
}

/** What reading the rig's file said of it, and where its keys are. */
export type Reading = Pick<RigInput, 'problems' | 'lineOf'>;

/** What a rig's file says of its night, and is not right: for whoever packs one. */
export const nightWarnings = ({ problems }: Pick<Reading, 'problems'>): Problem[] =>
  problems.filter(({ path }) => path === 'night' || path.startsWith('night.'));

/**
 * @param reading of the rig's file: its warnings of the night come first
 * @param output the file that it is to be written to, for words
 * @returns the night, or all that keeps it from being one
 */
export async function packNight(
  rig: Rig,
  reading: Reading,
  rigPath: string,
  streams: readonly string[],
  output: string,
  io: Io,
): Promise<PackedNight | { readonly refused: readonly Problem[] }> {
  const controller = await controllerFor(rigPath, rig);
  if (!('wasm' in controller)) return { refused: controller };
  const names = streams.map(showName);
  const packed: Packed[] = [];
  const warnings = [...nightWarnings(reading)];
  const refused: Problem[] = [];
  const lengths: ShowLength[] = [];
  for (const path of streams) {
    const made = await packOne(rig, controller, path, io);
    if ('packed' in made) {
      packed.push(made.packed);
      lengths.push({ name: made.packed.show.name, seconds: made.packed.frames.seconds, heard_s: made.heard_s });
    }
    ('packed' in made ? warnings : refused).push(...made.problems);
  }
  // What is wrong with a stream comes before what its show is missed for.
  const cues = cueFaults(rig, lengths).map((fault) => inRig(reading, rigPath, fault));
  for (const problem of [...showFaults(rig, rigPath, streams), ...cues])
    (isError(problem) ? refused : warnings).push(problem);
  if (refused.length > 0) return { refused };
  if (slowWords(rig) !== null) warnings.push({ ...problemOf(shownName(rigPath), UNWALKED), severity: 'warning' });
  const fingerprint = imageFingerprint(packImage(rig));
  const plan = buildPlan(rig, names, fingerprint);
  warnings.push(...idleProblems(rig, reading, rigPath));
  const file = writeNight({ fingerprint, plan: plan.bytes, shows: packed.map(({ show }) => show) });
  const tooLong = roomFault(rig.board?.kind ?? null, file.length);
  if (tooLong !== null) return { refused: [problemOf(output, tooLong)] };
  return { rig, packed, bytes: file.length, idle: plan.idle, fits: boardsFor(file.length), file, warnings };
}

/** What is wrong with the rig's shows and the streams, one for another: streams that no show is called after first, where a show is missing. */
export function showFaults(rig: Rig, rigPath: string, streams: readonly string[]): Problem[] {
  const missing = missingFaults(rig, rigPath, streams.map(showName));
  const known = namedShows(rig);
  const strays = missing.length === 0 ? [] : streams.filter((path) => !known.includes(showName(path)));
  const severity = missing.some((problem) => problem.severity === 'error') ? 'error' : 'warning';
  return [
    ...strays.map((path): Problem => {
      const close = known.length > 1 ? ` (nearest: ${nearest(showName(path), known) ?? ''})` : '';
      const words = `the rig’s night names no show ${showName(path)}; it names ${together(known)}${close}`;
      return { ...problemOf(shownName(path), words), severity };
    }),
    ...missing,
  ];
}

/** Shows that the rig file names and nobody gave: an error where one would start by itself, else a warning. */
function missingFaults(rig: Rig, rigPath: string, names: readonly string[]): Problem[] {
  return missingShows(rig, names).map(({ path, name, starts }) => {
    const close = nearest(name, names);
    const packed = `packed here: ${together(names)}${names.length > 2 && close !== undefined ? ` (nearest: ${close})` : ''}`;
    return {
      ...problemOf(shownName(rigPath), `found ${name}, and no stream of that name is given; ${packed}`),
      path,
      severity: starts ? 'error' : 'warning',
    };
  });
}

/** The show of a stream with what is said of it, or only why it cannot be one. */
async function packOne(
  rig: Rig,
  controller: Made,
  path: string,
  io: Io,
): Promise<
  | { readonly packed: Packed; readonly problems: readonly Problem[]; readonly heard_s: number | null }
  | { readonly problems: readonly Problem[] }
> {
  const { source, problems } = await readStreamFile(path, rig, io);
  if (source === null) return { problems };
  const read = await readText(path, io);
  const heard_s = 'text' in read ? heardAt(read.text) : null;
  const made = packShow(rig, showName(path), await storeStream(source, rig), heard_s);
  const fault = typeof made === 'string' ? made : await limitFault(rig, controller, made.frames, path, io);
  if (typeof made !== 'string' && fault === null) return { packed: made, problems, heard_s };
  return { problems: [problemOf(shownName(path), fault ?? '')] };
}

/** Reads the want file that a command was given, with the rig and the stream it names, which stand beside it. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { baseText, resolveWant } from '../../design/want/resolve.ts';
import { readWant } from '../../design/want/read.ts';
import type { WantFile } from '../../design/want/schema.ts';
import type { Must, Want } from '../../design/want/want.ts';
import { readDocument } from '../../rig/document.ts';
import { isWant, readRig } from '../../rig/read.ts';
import type { Rig } from '../../rig/rig.ts';
import { storeStream } from '../../stream/store.ts';
import { readText } from '../files.ts';
import type { Io } from '../io.ts';
import { filesBeside } from '../mesh-files.ts';
import { type Problem, problemOf } from '../output.ts';
import { isStdin, shownName } from '../stdin.ts';
import { readStreamFile } from '../stream-input.ts';

/** A file that a search rests on or leaves, by its name in a folder; bytes: a mesh. */
export interface NamedText {
  readonly name: string;
  readonly text: string | Uint8Array;
}

export interface WantInput {
  readonly want: Want;
  /** The want file, the rig, the stream, the rig's meshes, by their names beside the want file: what a result carries with it. */
  readonly texts: readonly NamedText[];
  /** The meshes by their names beside the rig: the designs name them so too. */
  readonly meshes: readonly NamedText[];
  /** Of these texts: searches of the same have the same. */
  readonly digest: string;
  /** Path of the given rig. */
  readonly rig: string;
  readonly warnings: readonly Problem[];
}

export type WantRead = WantInput | NotRead;

export const WANT_NAME = 'want.yaml';

const isError = ({ severity }: Problem): boolean => severity === 'error';

interface NotRead {
  readonly problems: readonly Problem[];
}

/** A problem of the want file at a key. */
type At = (message: string, ...keys: string[]) => Problem;

export async function readWantFile(path: string, io: Io): Promise<WantRead> {
  const file = shownName(path);
  const inFile = (problem: Omit<Problem, 'file'>): Problem => ({ file, ...problem });
  const read = await readText(path, io);
  if ('fault' in read) return { problems: [problemOf(file, read.fault)] };
  const reading = readWant(read.text, file);
  if (!reading.file) return { problems: reading.problems.map(inFile) };
  const folder = isStdin(path) ? '.' : dirname(path);
  const { from } = reading.file;
  const { follow: stream } = reading.file.must;
  const at: At = (message, ...keys) => ({
    ...problemOf(file, message),
    path: keys.join('.'),
    line: reading.document?.lineOf(keys) ?? 0,
  });
  const away = awayOf(from, stream, at);
  if (away.length > 0) return { problems: away };
  const rigPath = join(folder, from);
  const base = await readBase(reading.file, rigPath, at, io);
  if (!('rig' in base)) return base;
  const follow = stream === undefined ? null : await readFollowed(stream, folder, base.rig, at, io);
  if (follow && 'problems' in follow) return follow;
  const resolved = resolveWant(reading, base, follow);
  const told = resolved.problems.map(inFile);
  if (!resolved.want) return { problems: told };
  const meshes = meshesOf(base.rig, rigPath);
  const texts = [
    { name: WANT_NAME, text: read.text },
    { name: from, text: base.given },
    ...meshes.map(({ name, text: bytes }) => ({ name: join(dirname(from), name), text: bytes })),
    ...(stream === undefined ? [] : [{ name: stream, text: readFileSync(join(folder, stream), 'utf8') }]),
  ];
  const warnings = [...told, ...base.problems];
  return { want: resolved.want, texts, meshes, digest: digestOf(texts), rig: rigPath, warnings };
}

/** Files that are named and are not beside the want file. */
const awayOf = (from: string, stream: string | undefined, at: At): Problem[] => [
  ...(isBeside(from) ? [] : [at(beside(from), 'from')]),
  ...(stream === undefined || isBeside(stream) ? [] : [at(beside(stream), 'must', 'follow')]),
];

/** The rig that a want file begins from, and its file's text as given. */
async function readBase(want: WantFile, path: string, at: At, io: Io): Promise<(Base & { given: string }) | NotRead> {
  const { from } = want;
  const given = await readText(path, io);
  if ('fault' in given) return { problems: [at(`${from}: ${given.fault}`, 'from')] };
  if (isWant(readDocument(given.text, from).document?.data ?? {})) return { problems: [at(wantWords(from), 'from')] };
  const base = baseOf(want, given.text, path);
  return 'rig' in base ? { ...base, given: given.text } : base;
}

async function readFollowed(
  name: string,
  folder: string,
  rig: Rig,
  at: At,
  io: Io,
): Promise<NonNullable<Must['follow']> | NotRead> {
  const { source, problems } = await readStreamFile(join(folder, name), rig, io);
  if (source) return { name, stored: await storeStream(source, rig) };
  const keys = ['must', 'follow'];
  const whole = problems.filter(({ line }) => line === 0).map(({ message }) => at(`${name}: ${message}`, ...keys));
  const inside = problems.filter(({ line }) => line > 0);
  const told = inside.length > 0 ? [at(`${name} is no stream of ${rig.name}`, ...keys), ...inside] : [];
  return { problems: [...whole, ...told] };
}

/** Each once, as it was just read. */
function meshesOf({ parts }: Rig, path: string): NamedText[] {
  const { mesh } = filesBeside(path);
  const names = new Set(parts.flatMap(({ shape }) => (shape?.kind === 'mesh' ? [shape.file] : [])));
  return [...names].flatMap((name) => {
    const text = mesh?.(name);
    return text instanceof Uint8Array ? [{ name, text }] : [];
  });
}

/** The given rig with what the want file fixes of it, and the warnings of the rig as given. */
interface Base {
  readonly rig: Rig;
  readonly text: string;
  readonly problems: readonly Problem[];
}

function baseOf(want: WantFile, given: string, path: string): Base | NotRead {
  const base = readRig(given, undefined, filesBeside(path));
  const problems = base.problems.map((problem): Problem => ({ file: path, ...problem }));
  if (!base.rig || problems.some(isError)) return { problems };
  const text = baseText(want, given);
  const { rig } = text === null ? { rig: null } : readRig(text, undefined, filesBeside(path));
  if (rig && text !== null) return { rig, text, problems };
  const words = 'its text has no place for what the want file fixes: a group is shared by an anchor';
  return { problems: [problemOf(path, words)] };
}

/** In the want file's folder or below it: a result carries them along. */
const isBeside = (name: string): boolean => !/^[/~]|^[a-z]:|\\|(^|\/)\.\.(\/|$)/i.test(name) && name !== WANT_NAME;
const beside = (name: string): string => `found "${name}"; allowed: a file in the folder of the want file or below it`;

const wantWords = (name: string): string =>
  `${name} is a want file, not a rig; allowed: the rig file that has all that is not designed`;

function digestOf(texts: readonly NamedText[]): string {
  const hash = createHash('sha256');
  for (const { name, text } of texts)
    hash
      .update(`${name}\n${String(text.length)}\n`)
      .update(text)
      .update('\n');
  return hash.digest('hex').slice(0, 32);
}

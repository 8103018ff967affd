/** From a finished search to its answer: the front, or which wish to relax; written into the folder and told. */
import type { Answer } from '../../design/answer.ts';
import { saferThan } from '../../design/eased.ts';
import { emptyArchive } from '../../design/search/archive.ts';
import type { Evaluator } from '../../design/search/problem.ts';
import type { Subject } from '../../design/problem-of.ts';
import { type RelaxOptions, type Relaxing, relax } from '../../design/relax.ts';
import type { RigFiles } from '../../rig/read.ts';
import { type Outcome, type Search, WHOLE, outcome } from '../../design/search/search.ts';
import { writeSearch } from '../../design/search/state.ts';
import { AT } from '../../design/figures.ts';
import { tellsNearest } from '../../design/lost-words.ts';
import { followWords, insteadWords, weakWords } from '../../design/short-words.ts';
import { frontOf } from '../../design/shown.ts';
import { FAULT_WORDS, shortOf } from '../../design/wishes.ts';
import { SCHEMA_FILE, SCHEMA_HOOK, schemaText } from '../../new/rig-file.ts';
import { renderDesignReport } from '../../report/design-report.ts';
import type { ExitCode, Io } from '../io.ts';
import { printJson, refuse } from '../output.ts';
import { ISLAND } from './beginning.ts';
import { answerJson } from './json.ts';
import { FRONT, PAGE, writeResults } from './result-folder.ts';
import type { NamedText } from './want-file.ts';
import { answerWords } from './words.ts';

/** Evaluations for each wish that is relaxed. */
const EACH = 2000;
/** Points that the search ended with, to begin with: a crowd of them. */
const KNOWN = 60;

interface Looked extends Relaxing {
  /** Ctrl-C cut it short. */
  readonly isCut: boolean;
}
const NOTHING: Looked = { relaxed: [], found: emptyArchive(), evaluated: 0, isCut: false };

/** Which wish to relax, as far as it was looked for until Ctrl-C: the search before it is answered all the same. */
async function relaxed(subject: Subject, evaluator: Evaluator, options: RelaxOptions, io: Io): Promise<Looked> {
  const abort = new AbortController();
  io.onInterrupt(() => {
    abort.abort();
  });
  try {
    const found = await relax(subject, evaluator, { ...options, signal: abort.signal });
    return { ...found, isCut: abort.signal.aborted };
  } finally {
    io.onInterrupt(null);
  }
}

export interface Told {
  readonly folder: string;
  readonly texts: readonly NamedText[];
  readonly meshes: readonly NamedText[];
  readonly files: RigFiles;
  readonly json: boolean;
  readonly interrupted: boolean;
  /** Shards that are not among the searches, in words. */
  readonly missing?: readonly string[];
}

export async function answer(
  subject: Subject,
  searches: readonly Search[],
  evaluator: Evaluator,
  told: Told,
  io: Io,
): Promise<ExitCode> {
  const found = outcome(searches);
  const first = frontOf(subject, found.front, told.files);
  const { seed, islands } = searches[0]!.plan;
  const isLost = first.shown.length === 0 && found.feasible === 0;
  const relaxing =
    isLost && !told.interrupted
      ? await relaxed(
          subject,
          evaluator,
          { seed, each: EACH, known: found.last.slice(0, KNOWN).map(({ x }) => x), files: told.files },
          io,
        )
      : NOTHING;
  const { isCut } = relaxing;
  const late = relaxing.found.points.length > 0;
  const front = late ? frontOf(subject, relaxing.found.points, told.files) : first;
  const isTimed = islands === null;
  const whole: Answer = {
    subject,
    front,
    relaxed: front.shown.length > 0 ? [] : relaxing.relaxed,
    nearest: tellsNearest({ relaxed: relaxing.relaxed, front }) ? shortWords(subject, found) : [],
    evaluated: found.evaluated + relaxing.evaluated,
    feasible: found.feasible + relaxing.found.feasible,
    late,
    few: found.evaluated < ISLAND,
    missing: told.missing ?? [],
    complete: !isCut && (found.isComplete || (isTimed && !told.interrupted)),
    seed,
  };
  return tell(whole, searches, { ...told, isCut }, io);
}

/** Writes the answer into its folder, and says it. */
function tell(
  whole: Answer,
  searches: readonly Search[],
  { folder, texts, meshes, json, isCut }: Told & Pick<Looked, 'isCut'>,
  io: Io,
): ExitCode {
  const { shown } = whole.front;
  const document = answerJson(whole);
  const merged: Search = {
    ...searches[0]!,
    shard: searches.length > 1 ? WHOLE : searches[0]!.shard,
    islands: searches.flatMap(({ islands }) => islands).sort((a, b) => a.index - b.index),
  };
  const problem = writeResults(folder, texts, [
    ...shown.map(({ file, judged }) => ({ name: file, text: judged.text })),
    ...(shown.length > 0 ? meshes : []),
    ...(shown.some(({ judged }) => judged.text.includes(SCHEMA_HOOK))
      ? [{ name: SCHEMA_FILE, text: schemaText() }]
      : []),
    { name: FRONT, text: `${JSON.stringify(document, null, 2)}\n` },
    { name: PAGE, text: renderDesignReport(whole) },
    { name: 'search.json', text: writeSearch(merged) },
  ]);
  if (problem) return refuse(io, json, [problem]);
  if (json) printJson(io, document);
  else io.stdout.write(answerWords(whole, { folder, isCut }, io));
  return shown.length > 0 ? 0 : 1;
}

/** What the design that comes nearest falls short of; of one that does not stand at home, torques and frequencies are not told. */
function shortWords(subject: Subject, { nearest }: Outcome): string[] {
  if (!nearest || nearest.violation === 0) return [];
  const { wishes, look } = subject;
  const { design, figures } = look(nearest.x);
  const faults = nearest.violations.slice(wishes.length);
  const isTold = (path: string): boolean => figures[AT.stands] === 1 || !/^(firm|axes)\./.test(path);
  return [
    ...wishes
      .filter((wish) => shortOf(wish, figures, design) > 0 && isTold(wish.path))
      .map((wish) =>
        wish.path === 'must.follow'
          ? followWords(subject, wish, design)
          : (weakWords(subject, wish, design, figures) ??
            insteadWords(wish, saferThan(wish, wish.given(figures, design), 0))),
      ),
    ...FAULT_WORDS.filter((_, k) => faults[k]! > 0),
  ];
}

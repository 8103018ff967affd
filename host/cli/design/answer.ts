/** From a finished search to its answer: the front, or which wish to relax; written into the folder and told. */
import type { Answer } from '../../design/answer.ts';
import type { Evaluator } from '../../design/search/problem.ts';
import type { Subject } from '../../design/problem-of.ts';
import { relax } from '../../design/relax.ts';
import type { RigFiles } from '../../rig/read.ts';
import { type Outcome, type Search, outcome } from '../../design/search/search.ts';
import { writeSearch } from '../../design/search/state.ts';
import { frontOf } from '../../design/shown.ts';
import { FAULT_WORDS, amountWords, shortOf } from '../../design/wishes.ts';
import { renderDesignReport } from '../../report/design-report.ts';
import type { ExitCode, Io } from '../io.ts';
import { printJson, refuse } from '../output.ts';
import { answerJson } from './json.ts';
import { FRONT, PAGE, writeResults } from './result-folder.ts';
import type { NamedText } from './want-file.ts';
import { answerWords } from './words.ts';

/** Evaluations for each wish that is relaxed. */
const EACH = 2000;

export interface Told {
  readonly folder: string;
  readonly texts: readonly NamedText[];
  readonly files: RigFiles;
  readonly json: boolean;
  readonly interrupted: boolean;
}

export async function answer(
  subject: Subject,
  searches: readonly Search[],
  evaluator: Evaluator,
  told: Told,
  io: Io,
): Promise<ExitCode> {
  const found = outcome(searches);
  const front = frontOf(subject, found.front, told.files);
  const seed = searches[0]!.plan.seed;
  const isLost = front.shown.length === 0 && found.feasible === 0;
  const relaxed = isLost && !told.interrupted ? await relax(subject, evaluator, { seed, each: EACH }) : [];
  const whole: Answer = {
    subject,
    front,
    relaxed,
    nearest: relaxed.length > 0 || front.shown.length > 0 ? [] : shortWords(subject, found),
    evaluated: found.evaluated,
    feasible: found.feasible,
    complete: found.isComplete,
    seed,
  };
  const json = answerJson(whole);
  const merged: Search = {
    ...searches[0]!,
    islands: searches.flatMap(({ islands }) => islands).sort((a, b) => a.index - b.index),
  };
  const problem = writeResults(told.folder, told.texts, [
    ...front.shown.map(({ file, judged }) => ({ name: file, text: judged.text })),
    { name: FRONT, text: `${JSON.stringify(json, null, 2)}\n` },
    { name: PAGE, text: renderDesignReport(whole) },
    { name: 'search.json', text: writeSearch(merged) },
  ]);
  if (problem) return refuse(io, told.json, [problem]);
  if (told.json) printJson(io, json);
  else io.stdout.write(answerWords(whole, told.folder, io));
  return front.shown.length > 0 ? 0 : 1;
}

/** What the design that comes nearest falls short of. */
function shortWords({ wishes, look }: Subject, { nearest }: Outcome): string[] {
  if (!nearest) return [];
  const { design, figures } = look(nearest.x);
  const faults = nearest.violations.slice(wishes.length);
  return [
    ...wishes
      .filter((wish) => shortOf(wish, figures, design) > 0)
      .map(
        (wish) =>
          `${wish.path}: ${amountWords(wish.given(figures, design), wish.unit)} instead of ${amountWords(wish.asked, wish.unit)}`,
      ),
    ...FAULT_WORDS.filter((_, k) => faults[k]! > 0),
  ];
}

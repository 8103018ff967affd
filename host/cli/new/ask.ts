/** Asks the questions of a new rig, one a line, on standard error; reads a line for each from standard input. */
import { type Fault, arises, faultsOf, valueOf } from '../../new/answers.ts';
import { type Answers, QUESTIONS, type Question } from '../../new/questions.ts';
import { plainText } from '../../rig/plain-text.ts';
import type { Io } from '../io.ts';

const INTRO =
  'An empty line takes what stands in brackets: typical, not measured. Ctrl-C ends it, and nothing is written.\n';

const shown = (value: unknown): string =>
  Array.isArray(value) ? (value.length > 0 ? value.join(', ') : '-') : String(value);

type Asked = { readonly given: Readonly<Record<string, unknown>> } | { readonly faults: readonly Fault[] };

/** Lines as they are asked for: nothing is read ahead, so that what reads can be closed between two of them. */
async function* linesOf(stdin: Io['stdin']): AsyncGenerator<string, void> {
  const decoder = new TextDecoder();
  let rest = '';
  for await (const chunk of stdin) {
    const lines = (rest + decoder.decode(chunk, { stream: true })).split(/\r?\n/);
    rest = lines.pop() ?? '';
    yield* lines;
  }
  if (rest !== '') yield rest;
}

/** What was typed, by the names of the questions; those with an empty line are left out. Faults: the lines ended before the questions. */
export async function askAll(io: Io): Promise<Asked> {
  const lines = linesOf(io.stdin);
  try {
    return await ask(io, lines);
  } finally {
    // Standard input that is still open keeps the process alive, on a terminal for ever.
    await lines.return();
  }
}

async function ask(io: Io, lines: AsyncGenerator<string, void>): Promise<Asked> {
  const given: Record<string, unknown> = {};
  const answers: Record<string, unknown> = {};
  const before = answers as unknown as Answers;
  io.stderr.write(INTRO);
  for (const question of QUESTIONS) {
    const typical: unknown = question.typical(before);
    answers[question.key] = typical;
    if (!arises(question, before)) continue;
    const told = await askOne(io, question, before, lines);
    if ('ended' in told)
      return { faults: [{ question: question.key, message: 'standard input ended before this was answered' }] };
    if (told.value === undefined) continue;
    answers[question.key] = given[question.key] = told.value;
  }
  return { given };
}

/** Until the answer is right; undefined: an empty line. */
async function askOne(
  io: Io,
  question: Question,
  before: Answers,
  lines: AsyncIterator<string>,
): Promise<{ readonly value: unknown } | { readonly ended: true }> {
  for (;;) {
    io.stderr.write(`${question.ask} [${shown(question.typical(before))}]: `);
    const line = await lines.next();
    if (line.done === true) {
      io.stderr.write('\n');
      return { ended: true };
    }
    if (line.value.trim() === '') return { value: undefined };
    const value = valueOf(question, line.value, before);
    const faults = faultsOf(question, value);
    if (faults.length === 0) return { value };
    for (const { question: name, message } of faults) io.stderr.write(`  ${name}: ${plainText(message)}\n`);
  }
}

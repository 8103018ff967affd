/** Answers as data or as typed lines: all of them with typical values filled in, or everything that is wrong with them. */
import { unknownKey } from '../rig/unknown-key.ts';
import { type Answers, type Key, QUESTIONS, type Question } from './questions.ts';

export interface Fault {
  /** Its name, as in a file of answers. */
  readonly question: string;
  readonly message: string;
}

export interface Answered {
  readonly answers: Answers;
  /** Questions that nobody answered: their answers are typical values. */
  readonly typical: ReadonlySet<Key>;
}

/** Whether a question arises by the answers so far. */
export const arises = (question: Question, before: Answers): boolean => question.arises?.(before) ?? true;

/** What is wrong with an answer; an empty list: nothing. */
export function faultsOf({ key, takes }: Question, value: unknown): Fault[] {
  const { error } = takes.safeParse(value);
  return (error?.issues ?? []).map(({ path, message }) => ({
    question: [key, ...path.map((step) => (typeof step === 'number' ? step + 1 : String(step)))].join('.'),
    message,
  }));
}

/**
 * Answers by the names of their questions; a question without one takes its typical value.
 * @param given as a file has them.
 */
export function readAnswers(
  given: Readonly<Record<string, unknown>>,
): Answered | { readonly faults: readonly Fault[] } {
  const known = QUESTIONS.map(({ key }) => key);
  const faults: Fault[] = Object.keys(given)
    .filter((key) => !known.some((name) => name === key))
    .map((key) => ({ question: key, message: unknownAnswer(key, known) }));
  const answers: Record<string, unknown> = {};
  const before = answers as unknown as Answers;
  const typical = new Set<Key>();
  for (const question of QUESTIONS) {
    const { key } = question;
    const value = Object.hasOwn(given, key) ? given[key] : undefined;
    const wrong = value === undefined ? [] : wrongAnswer(question, value, before, faults);
    faults.push(...wrong);
    if (value === undefined) typical.add(key);
    answers[key] = value === undefined || wrong.length > 0 ? question.typical(before) : value;
  }
  return faults.length > 0 ? { faults } : { answers: before, typical };
}

/** Questions have other keys than rigs: what a word would be called in a rig is of no use here. */
function unknownAnswer(key: string, known: readonly string[]): string {
  const begun = known.filter((name) => name.startsWith(`${key.toLowerCase()}_`));
  return begun.length > 0 ? `unknown key ${key}; likely meant: ${begun.join(' or ')}` : unknownKey(key, known);
}

/** Answers by which others arise. */
const DECIDES: readonly string[] = ['drive', 'tilt', 'face'];

/** @param faults of the answers before: after a wrong one it cannot be told what is asked. */
function wrongAnswer(question: Question, value: unknown, before: Answers, faults: readonly Fault[]): Fault[] {
  if (arises(question, before)) return faultsOf(question, value);
  if (faults.some(({ question: name }) => DECIDES.includes(name.replace(/\..*/, '')))) return [];
  const message = 'is not asked after the answers before it: leave it out, or look at drive, tilt and face';
  return [{ question: question.key, message }];
}

/**
 * A typed line as the data that the question takes: numbers with a comma or a space between, words, or `-` for an empty list. What it
 * takes is seen from its typical value.
 */
export function valueOf(question: Question, line: string, before: Answers): unknown {
  const shape: unknown = question.typical(before);
  const text = line.trim();
  const numeric = (word: string): unknown => (Number.isFinite(Number(word)) ? Number(word) : word);
  if (!Array.isArray(shape)) return typeof shape === 'number' ? numeric(text) : text;
  const words = text === '-' ? [] : text.split(/[\s,;]+/).filter((word) => word !== '');
  return shape.length === 0 ? words : words.map(numeric);
}

/**
 * The YAML of a rig file: its values as plain data, and the line of every key. What is not YAML is told in words; what the
 * values mean is not looked at.
 */
import {
  type Document,
  LineCounter,
  type ParsedNode,
  type YAMLError,
  type YAMLMap,
  isAlias,
  isMap,
  isPair,
  isScalar,
  isSeq,
  parseDocument,
} from 'yaml';
import type { Path, Problem } from './problem.ts';

/** A file that could be read as keys and values. */
export interface RigDocument {
  readonly data: Readonly<Record<string, unknown>>;
  /** Line of a key or list item, or of the nearest thing around it that is there; counted from 1. */
  lineOf(path: Path): number;
}

const WORDS: Readonly<Record<string, string>> = {
  TAB_AS_INDENT: 'there is a tab in front of this line: YAML is indented with spaces',
  MULTIPLE_DOCS: 'a second document begins here (---): a rig file holds one rig',
  BAD_INDENT: 'this line is not indented like its neighbours, or a bracket before it is not closed',
  UNEXPECTED_TOKEN: 'this does not fit what stands before it: a line is key: value, or a list item after a dash',
  MISSING_CHAR: 'something is missing here: a colon after the key, a quote, or a bracket that closes',
  BLOCK_AS_IMPLICIT_KEY: 'there are two colons on this line, or it is indented too far',
  MULTILINE_IMPLICIT_KEY: 'a colon after the key is missing here',
};

/** Reads the text. `document` is null when there are no keys to look at; then `problems` says why. */
export function readDocument(text: string, file: string): { document: RigDocument | null; problems: Problem[] } {
  const lines = new LineCounter();
  const doc = parseDocument(text, { lineCounter: lines, merge: true, prettyErrors: false });
  const lineAt = (offset: number): number => lines.linePos(offset).line;
  const problems = doc.errors.map((error) => syntaxProblem(error, text, lineAt));
  const usable = doc.errors.every(({ code }) => code === 'DUPLICATE_KEY');
  if (!usable) return { document: null, problems };
  const whole = (message: string): Problem => ({ path: 'file', line: 0, message, severity: 'error' });
  if (doc.contents === null)
    return { document: null, problems: [whole(`${file} is empty: a rig file begins with rig: NAME`)] };
  if (!isMap(doc.contents))
    return { document: null, problems: [whole(`${file} holds no keys and values: a rig file begins with rig: NAME`)] };
  const data = plainData(doc);
  if (typeof data === 'string') return { document: null, problems: [...problems, whole(data)] };
  return { document: { data, lineOf: (path) => lineAt(offsetOf(doc, path)) }, problems };
}

/** The values, or why they cannot be had. */
function plainData(doc: Document.Parsed): Record<string, unknown> | string {
  try {
    return doc.toJS() as Record<string, unknown>;
  } catch (error) {
    // The library throws for an alias without an anchor, and for aliases of aliases that would fill the memory.
    if (!(error instanceof ReferenceError)) throw error;
    return `an alias (*name) in this file leads nowhere, or to too much: ${error.message}`;
  }
}

function syntaxProblem(error: YAMLError, text: string, lineAt: (offset: number) => number): Problem {
  const line = lineAt(error.pos[0]);
  if (error.code === 'DUPLICATE_KEY') {
    const key = /^[^\s:,{}]*/.exec(text.slice(error.pos[0]))?.[0] ?? '';
    return { path: key, line, message: `the key ${key} stands here twice: keep one of the two`, severity: 'error' };
  }
  const message = WORDS[error.code] ?? `this is not YAML: ${error.message}`;
  return { path: 'file', line, message, severity: 'error' };
}

function offsetOf(doc: Document.Parsed, path: Path): number {
  let node: unknown = doc.contents;
  let offset = doc.contents?.range[0] ?? 0;
  for (const step of path) {
    const next = childOf(resolved(node, doc), step);
    if (!next) break;
    offset = next.offset;
    node = next.node;
  }
  return offset;
}

const resolved = (node: unknown, doc: Document): unknown => (isAlias(node) ? node.resolve(doc) : node);

function childOf(node: unknown, step: string | number): { offset: number; node: unknown } | null {
  if (isSeq(node)) {
    const item = node.items[Number(step)];
    const offset = (item as ParsedNode | undefined)?.range[0];
    return offset === undefined ? null : { offset, node: item };
  }
  return isMap(node) ? keyOf(node, String(step)) : null;
}

function keyOf(map: YAMLMap, name: string): { offset: number; node: unknown } | null {
  for (const pair of map.items) {
    if (!isPair(pair) || !isScalar(pair.key)) continue;
    const offset = pair.key.range?.[0];
    if (String(pair.key.value) === name && offset !== undefined) return { offset, node: pair.value };
  }
  return null;
}

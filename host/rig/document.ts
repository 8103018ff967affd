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
  type YAMLWarning,
  isAlias,
  isMap,
  isPair,
  isScalar,
  isSeq,
  parseDocument,
} from 'yaml';
import { oddText } from './odd-text.ts';
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

/**
 * Reads the text. `document` is null when there are no keys to look at; then `problems` says why.
 * @param begins what such a file begins with.
 */
export function readDocument(
  text: string,
  file: string,
  begins = 'a rig file begins with rig: NAME',
): { document: RigDocument | null; problems: Problem[] } {
  const odd = oddText(text);
  if (odd) return { document: null, problems: [odd] };
  const lines = new LineCounter();
  const doc = parseDocument(text, { lineCounter: lines, merge: true, prettyErrors: false, resolveKnownTags: false });
  const lineAt = (offset: number): number => lines.linePos(offset).line;
  const problems = [
    ...doc.errors.map((error) => syntaxProblem(error, text, lineAt)),
    ...doc.warnings.map((warning) => oddityProblem(warning, text, lineAt)),
  ];
  const usable = doc.errors.every(({ code }) => code === 'DUPLICATE_KEY');
  if (!usable) return { document: null, problems };
  const whole = (message: string): Problem => ({ path: 'file', line: 0, message, severity: 'error' });
  if (doc.contents === null)
    return { document: null, problems: [whole(`${file} is empty: ${begins}`)] };
  if (!isMap(doc.contents))
    return { document: null, problems: [whole(`${file} holds no keys and values: ${begins}`)] };
  const data = plainData(doc);
  if (typeof data === 'string') return { document: null, problems: [...problems, whole(data)] };
  const keys: Keys = new WeakMap();
  return { document: { data, lineOf: (path) => lineAt(offsetOf(doc, path, keys)) }, problems };
}

/** The values, or why they cannot be had. */
function plainData(doc: Document.Parsed): Record<string, unknown> | string {
  try {
    return doc.toJS() as Record<string, unknown>;
  } catch (error) {
    // The library throws for an alias without an anchor, for aliases of aliases that would fill the memory, and for a merge of what is no group.
    if (!(error instanceof Error)) throw error;
    if (error.message.startsWith('Merge'))
      return 'the key << takes an alias of a group, such as *neck, or a list of them';
    const name = /^Unresolved alias .*: (\S+)$/.exec(error.message)?.[1];
    return name === undefined
      ? 'aliases (*name) of aliases in this file would fill the memory'
      : `the alias *${name} leads nowhere: its anchor &${name} must stand before it`;
  }
}

/** A tag that means nothing here, or a version of YAML that is not known. */
function oddityProblem({ code, message, pos }: YAMLWarning, text: string, lineAt: (offset: number) => number): Problem {
  const tag = /^\S{1,40}/.exec(text.slice(pos[0]))?.[0];
  const words =
    code === 'TAG_RESOLVE_FAILED'
      ? `found the tag ${tag ?? '!'}; allowed: plain keys and values, without tags`
      : `this is not YAML 1.2: ${message}`;
  return { path: 'file', line: lineAt(pos[0]), message: words, severity: 'error' };
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

/** Of each group looked into: its keys, and where they stand. */
type Keys = WeakMap<YAMLMap, Map<string, { offset: number; node: unknown }>>;

function offsetOf(doc: Document.Parsed, path: Path, keys: Keys): number {
  let node: unknown = doc.contents;
  let offset = doc.contents?.range[0] ?? 0;
  for (const step of path) {
    const next = childOf(resolved(node, doc), step, keys);
    if (!next) break;
    offset = next.offset;
    node = next.node;
  }
  return offset;
}

const resolved = (node: unknown, doc: Document): unknown => (isAlias(node) ? node.resolve(doc) : node);

function childOf(node: unknown, step: string | number, keys: Keys): { offset: number; node: unknown } | null {
  if (isSeq(node)) {
    const item = node.items[Number(step)];
    const offset = (item as ParsedNode | undefined)?.range[0];
    return offset === undefined ? null : { offset, node: item };
  }
  if (!isMap(node)) return null;
  const known = keys.get(node) ?? keysOf(node);
  keys.set(node, known);
  return known.get(String(step)) ?? null;
}

/** The first of each name. */
function keysOf(map: YAMLMap): Map<string, { offset: number; node: unknown }> {
  const known = new Map<string, { offset: number; node: unknown }>();
  for (const pair of map.items) {
    if (!isPair(pair) || !isScalar(pair.key)) continue;
    const offset = pair.key.range?.[0];
    const name = String(pair.key.value);
    if (offset !== undefined && !known.has(name)) known.set(name, { offset, node: pair.value });
  }
  return known;
}

/**
 * Figures into the text of a rig file: only what changes is written over, and a comment beside it says what it was, so that
 * comments, order and spacing stay. What cannot be written in place (an alias, a merged group) is set in the parsed document, which
 * keeps comments and order but may space them anew.
 */
import { dequal } from 'dequal/lite';
import {
  type Document,
  type Node,
  type Pair,
  type YAMLMap,
  type YAMLSeq,
  isMap,
  isNode,
  isScalar,
  isSeq,
  parseDocument,
  stringify,
} from 'yaml';
import { changedComments } from './changed-comments.ts';
import type { Source } from './rig.ts';

/** Letters `from` up to `to` of a text, and what stands there instead. */
export interface Edit {
  readonly from: number;
  readonly to: number;
  readonly text: string;
}

export const parseForEdit = (text: string): Document.Parsed =>
  parseDocument(text, { merge: true, prettyErrors: false });

/** Over a plain value that is there; null: none is. */
export function over(node: unknown, text: string): Edit | null {
  const range = isScalar(node) ? (node as Node).range : null;
  return range ? { from: range[0], to: range[1], text } : null;
}

export const spliced = (text: string, edits: readonly Edit[]): string =>
  [...edits]
    .sort((a, b) => b.from - a.from)
    .reduce((now, { from, to, text: put }) => now.slice(0, from) + put + now.slice(to), text);

type Way = readonly (string | number)[];

/** A figure with where it comes from, as the rig file has it. */
export interface Sourced {
  readonly value: number;
  readonly from: Exclude<Source['from'], 'given' | 'unknown'>;
  readonly within_percent: number;
}

/** A value of a file, lists and groups included. */
export type Plain = number | string | boolean | readonly Plain[] | { readonly [key: string]: Plain };

/** What is to stand at a place of the file. The group around it is there; the key need not be. */
export interface FigureChange {
  readonly path: Way;
  readonly to: Plain | Sourced;
}

/**
 * The text with these figures in it.
 * @param by who changed them, for the comments beside: `measured by posewright`.
 * @returns null: the file shares one of them (by an anchor), or has no group for it.
 */
export function withFigures(text: string, changes: readonly FigureChange[], by: string): string | null {
  const wanted = wantedData(text, changes);
  if (wanted === null) return null;
  const doc = parseForEdit(text);
  const edits = changes.map((change) => editFor(text, doc, change));
  if (edits.every((edit) => edit !== null)) {
    const written = spliced(text, [...edits, ...changedComments(text, edits, by)]);
    if (says(written, wanted)) return written;
  }
  for (const { path, to } of changes) {
    if (doc.getIn(path.slice(0, -1)) === undefined) return null;
    doc.setIn(path, typeof to === 'number' ? to : doc.createNode(to, { flow: true }));
  }
  const whole = doc.toString({ lineWidth: 0 });
  return says(whole, wanted) ? whole : null;
}

/** As people write it: 4.03e-6 rather than 0.00000403. */
const inFile = (value: number): string =>
  value !== 0 && Math.abs(value) < 1e-3 ? value.toExponential() : String(value);

function shown(to: FigureChange['to']): string {
  if (typeof to === 'number') return inFile(to);
  if (typeof to !== 'object') return plainScalar(to);
  if (Array.isArray(to)) return `[${(to as readonly Plain[]).map(shown).join(', ')}]`;
  const entries = Object.entries(to as Readonly<Record<string, Plain>>);
  return `{ ${entries.map(([key, value]) => `${plainScalar(key)}: ${shown(value)}`).join(', ')} }`;
}

/** A word as it is, or in quotes where it would be read as something else. */
const plainScalar = (value: string | boolean): string => stringify(value, { lineWidth: 0 }).trimEnd();

/** Null: not in place. */
function editFor(text: string, doc: Document.Parsed, { path, to }: FigureChange): Edit | null {
  const node = doc.getIn(path, true);
  if (isNode(node)) {
    const flow = (isMap(node) || isSeq(node)) && node.flow === true && node.range;
    return flow ? { from: flow[0], to: flow[1], text: shown(to) } : over(node, shown(to));
  }
  const group = doc.getIn(path.slice(0, -1), true);
  if (isSeq(group)) return path.at(-1) === group.items.length ? appended(text, group, shown(to)) : null;
  return isMap(group) ? added(text, group, `${plainScalar(String(path.at(-1)))}: ${shown(to)}`) : null;
}

/** A new key behind the last one of its group, on a line of its own where they have one. */
function added(text: string, group: YAMLMap, entry: string): Edit | null {
  const last = group.items.at(-1) as Pair<Node, Node | null> | undefined;
  const start = last?.key.range?.[0];
  const end = last?.value?.range?.[1];
  if (start === undefined || end === undefined) return null;
  return behind(text, start, end, entry, group.flow === true);
}

/** A new item behind the last one of its list. */
function appended(text: string, list: YAMLSeq, item: string): Edit | null {
  const [start, end] = (list.items.at(-1) as Node | undefined)?.range ?? [];
  if (start === undefined || end === undefined) return null;
  if (list.flow) return { from: end, to: end, text: `, ${item}` };
  const dash = text.lastIndexOf('-', start - 1);
  return text.slice(dash + 1, start).trim() === '' ? behind(text, dash, end, `- ${item}`, false) : null;
}

/** @param start of the entry before, @param end of its value */
function behind(text: string, start: number, end: number, entry: string, flow: boolean): Edit | null {
  if (flow) return { from: end, to: end, text: `, ${entry}` };
  const indent = /[^\n]*$/.exec(text.slice(0, start))?.[0] ?? '';
  if (indent.trim() !== '') return null;
  const next = text.indexOf('\n', end - 1);
  const cut = next < 0 ? text.length : text[next - 1] === '\r' ? next - 1 : next;
  return { from: cut, to: cut, text: `${text[cut] === '\r' ? '\r\n' : '\n'}${indent}${entry}` };
}

type Data = Record<string | number, unknown>;

/** Through JSON, so that what an anchor shares is shared no longer. */
const dataOf = (doc: Document.Parsed): Data => JSON.parse(JSON.stringify(doc.toJS() ?? {})) as Data;

/** What the file is to say afterwards; null: a group is not there. */
function wantedData(text: string, changes: readonly FigureChange[]): Data | null {
  const data = dataOf(parseForEdit(text));
  for (const { path, to } of changes) {
    const group = path.slice(0, -1).reduce<unknown>((at, key) => (at as Data | null | undefined)?.[key], data);
    if (typeof group !== 'object' || group === null) return null;
    (group as Data)[path.at(-1)!] = to;
  }
  return data;
}

function says(text: string, wanted: Data): boolean {
  const doc = parseForEdit(text);
  return doc.errors.length === 0 && dequal(dataOf(doc), wanted);
}

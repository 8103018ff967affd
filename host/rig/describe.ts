/** Puts what every key is, how to measure it and what is usual into the JSON Schema of rig files. */
import type { KeyWords } from './key-words-common.ts';
import { KEY_WORDS } from './key-words.ts';
import { NOT_MEASURED } from './typical.ts';
import { usualFigures } from './usual.ts';
import { capital } from './words.ts';

export interface SchemaNode {
  description?: string;
  readonly properties?: Readonly<Record<string, SchemaNode>>;
  readonly additionalProperties?: SchemaNode | boolean;
  readonly items?: SchemaNode | boolean;
  readonly anyOf?: readonly SchemaNode[];
  readonly oneOf?: readonly SchemaNode[];
}

/** Every property below a node, with its key path; names and items are `*`, leg1 … leg6 are `leg`. */
export function* propertiesOf(node: SchemaNode, path: readonly string[] = []): Generator<[string[], SchemaNode]> {
  for (const [key, inner] of Object.entries(node.properties ?? {})) {
    const at = [...path, /^leg\d$/.test(key) ? 'leg' : key];
    yield [at, inner];
    yield* propertiesOf(inner, at);
  }
  for (const inner of [node.additionalProperties, node.items])
    if (typeof inner === 'object') yield* propertiesOf(inner, [...path, '*']);
  for (const inner of [...(node.anyOf ?? []), ...(node.oneOf ?? [])]) yield* propertiesOf(inner, path);
}

/** The key of the longest entry that the path ends with, `^` before a path from the root; undefined: none. */
export function entryOf(path: readonly string[]): string | undefined {
  const root = `^${path.join('.')}`;
  if (KEY_WORDS.has(root)) return root;
  return path.map((_, i) => path.slice(i).join('.')).find((end) => KEY_WORDS.has(end));
}

function sentence(path: readonly string[], { what, how, usual }: KeyWords, allowed: string): string {
  const figures = usual ?? usualFigures(path);
  return [
    `${what}.`,
    how && `Measure: ${how}.`,
    figures && `Typical: ${figures} ${NOT_MEASURED}.`,
    allowed && `Takes ${allowed}.`,
  ]
    .filter((part) => part !== '' && part !== null)
    .join(' ');
}

/** The schema, described in place. */
export function describe<T extends SchemaNode>(schema: T): T {
  for (const [path, node] of propertiesOf(schema)) {
    const it = KEY_WORDS.get(entryOf(path) ?? '');
    if (it) node.description = capital(sentence(path, it, node.description ?? ''));
  }
  return schema;
}

/** Where in a rig file a key belongs, for one that stands in another place. */
import * as z from 'zod';
import { LIKELY } from './other-words.ts';
import { rigSchema } from './schema.ts';
import { isLike, nearest, together } from './words.ts';

interface SchemaNode {
  readonly properties?: Readonly<Record<string, SchemaNode>>;
  readonly additionalProperties?: SchemaNode | false;
  readonly items?: SchemaNode;
  readonly anyOf?: readonly SchemaNode[];
  readonly oneOf?: readonly SchemaNode[];
}

/** Parts of a figure that may stand at any of them. */
const OF_FIGURES: readonly string[] = ['value', 'from', 'within_percent'];

let known: ReadonlyMap<string, ReadonlySet<string>> | null = null;

/** By key: the groups that have it, such as `servos.NAME`; '' for the file itself. */
function places(): ReadonlyMap<string, ReadonlySet<string>> {
  if (known) return known;
  const found = new Map<string, Set<string>>();
  const walk = (node: SchemaNode, path: string): void => {
    for (const [key, inner] of Object.entries(node.properties ?? {})) {
      const group = path.replace(/\bleg\d$/, 'legN');
      if (!OF_FIGURES.includes(key)) found.set(key, (found.get(key) ?? new Set()).add(group));
      walk(inner, path === '' ? key : `${path}.${key}`);
    }
    for (const inner of [node.additionalProperties, node.items])
      if (typeof inner === 'object') walk(inner, `${path}.NAME`);
    for (const inner of [...(node.anyOf ?? []), ...(node.oneOf ?? [])]) walk(inner, path);
  };
  walk(z.toJSONSchema(rigSchema, { io: 'input' }) as SchemaNode, '');
  known = found;
  return found;
}

/** What was said of an unknown key, and where else a key of that name, or much like it, belongs. */
export function withPlaces(message: string, key: string): string {
  if (message.includes(LIKELY)) return message;
  const near = nearest(key, [...places().keys()]);
  const groups = near === undefined ? [] : [...(places().get(near) ?? [])];
  const isSaid = near === undefined || message.endsWith(` ${near}`) || message.includes('does not belong here');
  if (isSaid || !isLike(key, near) || groups.length > MOST_GROUPS) return message;
  return `${message}; ${near} is a key of ${together(groups.map((group) => group || 'the file itself'))}`;
}

/** A key that is everywhere, such as `at_mm`, needs no place. */
const MOST_GROUPS = 4;

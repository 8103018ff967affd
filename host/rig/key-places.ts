/** Where in a rig file, or in a file of another schema, a key belongs that stands in another place. */
import * as z from 'zod';
import { A_KEY_OF, LIKELY } from './other-words.ts';
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

type Places = ReadonlyMap<string, ReadonlySet<string>>;

const known = new WeakMap<z.ZodType, Places>();

/** By key: the groups that have it, such as `servos.NAME`; '' for the file itself. */
function placesIn(schema: z.ZodType): Places {
  const before = known.get(schema);
  if (before) return before;
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
  walk(z.toJSONSchema(schema, { io: 'input' }) as SchemaNode, '');
  known.set(schema, found);
  return found;
}

/**
 * What was said of an unknown key, and where else a key of that name, or much like it, belongs.
 * @param schema of the whole file.
 */
export function withPlaces(said: string, key: string, schema: z.ZodType = rigSchema): string {
  const isElsewhere = said.includes(LIKELY) && said.includes(A_KEY_OF);
  if (said.includes(LIKELY) && (schema === rigSchema || !isElsewhere)) return said;
  // What makers call things is told with its place in a rig file: in another file that is none.
  const message = isElsewhere ? said.slice(0, said.indexOf(`; ${LIKELY}`)) : said;
  const places = placesIn(schema);
  const near = nearest(key, [...places.keys()]);
  const groups = near === undefined ? [] : [...(places.get(near) ?? [])];
  const isSaid =
    near === undefined || (!isElsewhere && message.endsWith(` ${near}`)) || message.includes('does not belong here');
  if (isSaid || !isLike(key, near) || groups.length > MOST_GROUPS) return message;
  return `${message}; ${near} is a key of ${together(groups.map((group) => group || 'the file itself'))}`;
}

/** A key that is everywhere, such as `at_mm`, needs no place. */
const MOST_GROUPS = 4;

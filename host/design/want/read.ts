/**
 * Reads a want file: text in, its groups or everything that is wrong with it out, in the words of rig files. Pure: the files it names
 * are the caller's; with them it is resolved (resolve.ts).
 */
import * as z from 'zod';
import { type SchemaNode, propertiesOf } from '../../rig/describe.ts';
import { type RigDocument, readDocument } from '../../rig/document.ts';
import type { Problem } from '../../rig/problem.ts';
import { listed, speaker } from '../../rig/read.ts';
import { faultsOf } from '../../rig/shape.ts';
import { WANT_WORDS } from './key-words.ts';
import { type WantFile, wantSchema } from './schema.ts';

/** A want file by itself. */
export interface WantReading {
  /** Null when a problem is an error. */
  readonly file: WantFile | null;
  /** Null: there are no keys in it. */
  readonly document: RigDocument | null;
  /** In the order of the file's lines. */
  readonly problems: readonly Problem[];
}

/** @param name of the file, for messages about the whole of it. */
export function readWant(text: string, name = 'this file'): WantReading {
  const { document, problems } = readDocument(text, name, 'a want file begins with want: NAME');
  if (!document) return { file: null, document, problems: listed(problems) };
  const found = [...problems];
  const say = speaker(document, found);
  const result = wantSchema.safeParse(document.data);
  const issues = result.error?.issues ?? [];
  for (const { path, message } of issues.flatMap((issue) => faultsOf(issue, wantSchema))) say.error(path, message);
  const wrong = found.some(({ severity }) => severity === 'error');
  const sorted = listed(found.sort((a, b) => a.line - b.line));
  return { file: wrong ? null : (result.data ?? null), document, problems: sorted };
}

/** The JSON Schema (draft 2020-12) of want files, for editors. Rules between keys are not in it. */
export function wantSchemaJson(): unknown {
  const schema = z.toJSONSchema(wantSchema, { io: 'input' }) as SchemaNode;
  for (const [path, node] of propertiesOf(schema)) {
    const words = WANT_WORDS.get(path.join('.'));
    const takes = node.description ? ` Takes ${node.description}.` : '';
    if (words !== undefined) node.description = `${words}.${takes}`;
  }
  return { title: 'What is wanted of a platform of posewright', ...schema };
}

/**
 * A wobble cure into the text of a rig file. What is there is written over in place, so that comments, order and spacing stay; a
 * group that is missing is added where it belongs.
 */
import { dequal } from 'dequal/lite';
import { type Node, type Pair, isMap, isScalar } from 'yaml';
import { parseForEdit as parse } from '../rig/edit.ts';
import type { WobbleCure } from './wobble.ts';

type Figures = Pick<WobbleCure, 'cure' | 'hz' | 'damping'>;

const inFlow = ({ cure, hz, damping }: Figures): string =>
  `{ cure: ${cure}, hz: ${String(hz)}, damping: ${String(damping)} }`;

/** The text with motion.wobble of these figures. */
export function withNewWobble(text: string, figures: Figures): string {
  const written = inPlace(text, figures);
  if (written !== null && says(text, written, figures)) return written;
  const doc = parse(text);
  const { cure, hz, damping } = figures;
  doc.setIn(['motion', 'wobble'], doc.createNode({ cure, hz, damping }, { flow: true }));
  return doc.toString({ lineWidth: 0 });
}

/** Null: not without spacing the file anew. */
function inPlace(text: string, figures: Figures): string | null {
  const motion = parse(text).get('motion', true);
  if (!isMap(motion)) return null;
  const wobble: unknown = motion.get('wobble', true);
  if (isMap(wobble) && wobble.flow === true) return spliced(text, wobble.range, inFlow(figures));
  if (wobble !== undefined || motion.flow === true) return null;
  const last = motion.items.at(-1) as Pair<Node, Node> | undefined;
  const end = last?.value?.range?.[1];
  if (last === undefined || end === undefined) return null;
  // Behind the line, comment and all, that the last key of motion ends on.
  const line = text.indexOf('\n', end - 1) + 1 || text.length;
  const start = isScalar(last.key) ? (last.key.range?.[0] ?? 0) : 0;
  const indent = /[^\n]*$/.exec(text.slice(0, start))?.[0] ?? '';
  if (indent.trim() !== '') return null;
  const before = text.slice(0, line);
  return `${before}${before.endsWith('\n') ? '' : '\n'}${indent}wobble: ${inFlow(figures)}\n${text.slice(line)}`;
}

const spliced = (text: string, range: Node['range'] | undefined, put: string): string | null =>
  range ? text.slice(0, range[0]) + put + text.slice(range[1]) : null;

/** Whether the written text says what the text did, with the figures in it. */
function says(text: string, written: string, figures: Figures): boolean {
  const doc = parse(written);
  if (doc.errors.length > 0) return false;
  const { cure, hz, damping } = figures;
  const wanted = parse(text).toJS() as { motion: Record<string, unknown> };
  wanted.motion = { ...wanted.motion, wobble: { cure, hz, damping } };
  return dequal(doc.toJS(), wanted);
}

/** Comments of a rig file that a design wrote: which speak of the figures before, and which figures were assumed. */
import { type Node, type Pair, isMap, parseDocument } from 'yaml';
import { BY } from './want/resolve.ts';

/** A figure with its unit: such a comment was worked out from what stood beside it. */
const FIGURE = /\d\s*(mm|cm|deg|°|%|N·m|kg|Hz)/;

/** `…; was 14: 33.9 mm to the next` speaks of the 14: `…; was 14, of which was said: 33.9 mm to the next`. */
export function oldFiguresSaid(text: string, before: string): string {
  const derived = before.split(/\r?\n/).flatMap((line) => {
    const comment = /\s#\s*(.*)$/.exec(line)?.[1];
    return comment !== undefined && FIGURE.test(comment) ? [comment] : [];
  });
  const said = (line: string): string => {
    const old = derived.find((comment) => line.includes(`# ${BY}; was `) && line.endsWith(`: ${comment}`));
    return old === undefined ? line : `${line.slice(0, -old.length - 2)}, of which was said: ${old}`;
  };
  return text.split('\n').map(said).join('\n');
}

const ASSUMED = 'as assumed by the search; measure yours';

/** With a comment beside those keys of `platform.clearance` that nobody measured. */
export function assumedSaid(text: string, assumed: readonly string[]): string {
  const clearance = parseDocument(text, { merge: true }).getIn(['platform', 'clearance'], true);
  if (!isMap(clearance)) return text;
  const ends = (clearance.items as Pair<Node, Node | null>[]).flatMap(({ key, value }) =>
    assumed.includes(String(key)) && value?.range ? [lineEnd(text, value.range[1])] : [],
  );
  return [...new Set(ends)]
    .sort((a, b) => b - a)
    .reduce(
      (now, at) => `${now.slice(0, at)}${/#[^\n]*$/.test(now.slice(0, at)) ? '; ' : '   # '}${ASSUMED}${now.slice(at)}`,
      text,
    );
}

function lineEnd(text: string, from: number): number {
  const next = text.indexOf('\n', from - 1);
  const end = next < 0 ? text.length : next;
  return text[end - 1] === '\r' ? end - 1 : end;
}

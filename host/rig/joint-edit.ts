/** Figures of one joint into the text of a rig file: made where the file has no entry for it, taken out where they are void. */
import { type Node, type Pair, isMap, isScalar } from 'yaml';
import { type FigureChange, type Sourced, parseForEdit, spliced, withFigures } from './edit.ts';

/** What a joint's entry is to say: null takes the key out. */
export interface JointFigures {
  readonly joint: string;
  readonly figures: Readonly<Record<string, number | readonly number[] | Sourced | null>>;
}

/**
 * The text with these figures of a joint.
 * @returns null: the file shares one of them (by an anchor), so that there is no place of its own for it.
 */
export function withJointFigures(text: string, { joint, figures }: JointFigures, by: string): string | null {
  const entries = Object.entries(figures);
  const set = entries.flatMap(([key, to]): FigureChange[] =>
    to === null ? [] : [{ path: ['joints', joint, key], to }],
  );
  let now: string | null = withEntry(text, joint);
  for (const [key, to] of entries) if (to === null && now !== null) now = withoutKey(now, ['joints', joint, key]);
  return now !== null && set.length > 0 ? withFigures(now, set, by) : now;
}

/** With an entry for the joint; a leg needs none while all of it is nominal. `sense: 1` says what is so without it. */
function withEntry(text: string, joint: string): string | null {
  const doc = parseForEdit(text);
  if (isMap(doc.getIn(['joints', joint]))) return text;
  if (isMap(doc.get('joints'))) return withFigures(text, [{ path: ['joints', joint], to: { sense: 1 } }], '');
  return `${text.trimEnd()}\njoints:\n  ${joint}: { sense: 1 }\n`;
}

/** Null: it stands where it cannot be cut. */
function withoutKey(text: string, path: readonly string[]): string | null {
  const doc = parseForEdit(text);
  if (!doc.hasIn(path)) return text;
  const group = doc.getIn(path.slice(0, -1));
  // An entry without any key is none.
  if (isMap(group) && group.items.length === 1) {
    const kept = withFigures(text, [{ path: [...path.slice(0, -1), 'sense'], to: 1 }], '');
    return kept === null ? null : withoutKey(kept, path);
  }
  const cut = cutIn(text, group, path.at(-1) ?? '');
  return cut !== null && !parseForEdit(cut).hasIn(path) ? cut : null;
}

function cutIn(text: string, group: unknown, key: string): string | null {
  if (!isMap(group)) return null;
  const items = group.items as Pair<Node, Node | null>[];
  const at = items.findIndex((item) => isScalar(item.key) && item.key.value === key);
  const [from, to] = [items[at]?.key.range?.[0], items[at]?.value?.range?.[1]];
  if (from === undefined || to === undefined) return null;
  if (!group.flow) {
    const line = text.lastIndexOf('\n', from - 1) + 1;
    const end = text.indexOf('\n', to - 1);
    return text.slice(line, from).trim() === ''
      ? spliced(text, [{ from: line, to: end < 0 ? text.length : end + 1, text: '' }])
      : null;
  }
  const next = items[at + 1]?.key.range?.[0];
  const before = items[at - 1]?.value?.range?.[1];
  const edit = before !== undefined ? { from: before, to } : next !== undefined ? { from, to: next } : null;
  return edit && spliced(text, [{ ...edit, text: '' }]);
}

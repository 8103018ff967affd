/**
 * New limits into the text of a rig file: only the figures that change are written over, and a comment beside one says what it was,
 * so that comments, order and spacing stay. What cannot be written in place (an alias, a merged group) is set in the parsed
 * document, which keeps comments and order but may space them anew.
 */
import { type Document, isAlias, isMap, isNode, isScalar } from 'yaml';
import { type Edit, over, parseForEdit as parse, spliced } from '../rig/edit.ts';
import { commentEdits, tunedComment } from './comments.ts';
import type { Figures, TunedJoint } from './result.ts';

type Way = readonly string[];

const inFlow = ({ plus, minus }: Figures): string => `{ plus: ${String(plus)}, minus: ${String(minus)} }`;

/**
 * The text with the limits of these joints in it.
 * @returns null: the file shares a figure between joints (by an anchor) so that one cannot be changed alone.
 */
export function withNewLimits(text: string, joints: readonly TunedJoint[]): string | null {
  const changed = joints.filter(({ outcome }) => outcome === 'tuned');
  if (changed.length === 0) return text;
  const wanted = wantedData(text, changed);
  const doc = parse(text);
  const edits = changed.flatMap((joint) => editsFor(text, doc, joint) ?? [null]);
  if (edits.every((edit) => edit !== null)) {
    const written = spliced(text, [...edits, ...commentEdits(text, edits)]);
    if (sameData(written, wanted)) return written;
  }
  for (const joint of changed) if (!setLimits(doc, joint)) return null;
  const whole = doc.toString({ lineWidth: 0 });
  return sameData(whole, wanted) ? whole : null;
}

const waysOf = ({ path, unit }: TunedJoint): { speed: Way; accel: Way; gone: Way } => {
  const group = path.split('.');
  const of = (key: string): Way => [...group, key];
  return { speed: of(`speed_${unit}_s`), accel: of(`accel_${unit}_s2`), gone: of(`accel_gone_at_${unit}_s`) };
};

/** Speeds at which limits are gone, of those that fade; null: neither does. */
function goneOf({ plus_gone, minus_gone }: Figures): Readonly<Record<string, number>> | null {
  const all = Object.entries({ plus: plus_gone, minus: minus_gone }).filter(([, speed]) => Number.isFinite(speed));
  return all.length > 0 ? Object.fromEntries(all) : null;
}

const changes = ({ limits, file }: TunedJoint, ...keys: readonly (keyof Figures)[]): boolean =>
  keys.some((key) => limits[key] !== file[key]);

/** The edits in place; null: this one cannot be done so, as a fade that is no more cannot. */
function editsFor(text: string, doc: Document.Parsed, joint: TunedJoint): Edit[] | null {
  const { limits, file } = joint;
  const { speed, accel, gone } = waysOf(joint);
  const edits: (Edit | null)[] = [];
  const node = doc.getIn(accel, true);
  if (changes(joint, 'speed')) edits.push(over(doc.getIn(speed, true), String(limits.speed)));
  if (changes(joint, 'plus_gone', 'minus_gone')) edits.push(goneEdit(text, doc.getIn(gone, true), node, joint));
  if (changes(joint, 'plus', 'minus')) {
    if (isMap(node)) {
      if (limits.plus !== file.plus) edits.push(over(node.get('plus', true), String(limits.plus)));
      if (limits.minus !== file.minus) edits.push(over(node.get('minus', true), String(limits.minus)));
    } else edits.push(over(node, limits.plus === limits.minus ? String(limits.plus) : inFlow(limits)));
  }
  return edits.every((edit) => edit !== null) ? edits : null;
}

/** Over the figures there are, or as a new key behind the accelerations, on a line of its own where they have one. */
function goneEdit(text: string, old: unknown, accel: unknown, joint: TunedJoint): Edit | null {
  const gone = goneOf(joint.limits);
  const words =
    gone &&
    `{ ${Object.entries(gone)
      .map(([key, speed]) => `${key}: ${String(speed)}`)
      .join(', ')} }`;
  if (!words) return null;
  if (isMap(old)) return old.flow && old.range ? { from: old.range[0], to: old.range[1], text: words } : null;
  const range = isNode(accel) && !isAlias(accel) ? accel.range : null;
  if (!range) return null;
  const { accel: way, gone: to } = waysOf(joint);
  const entry = `${to.at(-1)!}: ${words}`;
  const lineFrom = text.lastIndexOf('\n', range[0]) + 1;
  const indent = /^( *)(\S+?):/.exec(text.slice(lineFrom));
  if (!indent || indent[2] !== way.at(-1)) {
    // Inside { … }, where the value must not run over a line.
    return text.slice(range[0], range[1]).includes('\n') ? null : { from: range[1], to: range[1], text: `, ${entry}` };
  }
  const end = text.indexOf('\n', range[1] - 1);
  const cut = end < 0 ? text.length : text[end - 1] === '\r' ? end - 1 : end;
  return { from: cut, to: cut, text: `${text[cut] === '\r' ? '\r\n' : '\n'}${indent[1]!}${entry}` };
}

/** In the parsed document; a group that comes from elsewhere gets a key of its own. False: others use what stands here. */
function setLimits(doc: Document.Parsed, joint: TunedJoint): boolean {
  const { limits } = joint;
  const { speed, accel, gone } = waysOf(joint);
  const shared = [speed, accel, gone].some((way) => {
    const node = doc.getIn(way, true);
    return isNode(node) && !isAlias(node) && node.anchor !== undefined;
  });
  if (shared) return false;
  if (changes(joint, 'speed')) setSpeed(doc, speed, joint);
  const both = { plus: limits.plus, minus: limits.minus };
  if (changes(joint, 'plus', 'minus')) doc.setIn(accel, doc.createNode(both, { flow: true }));
  if (changes(joint, 'plus_gone', 'minus_gone')) {
    const fades = goneOf(limits);
    if (fades) doc.setIn(gone, doc.createNode(fades, { flow: true }));
    else doc.deleteIn(gone);
  }
  return true;
}

/** The comment beside it goes with it; that of accelerations goes with the figures it was about. */
function setSpeed(doc: Document.Parsed, way: Way, { limits, file }: TunedJoint): void {
  doc.setIn(way, limits.speed);
  const node = doc.getIn(way, true);
  if (isScalar(node) && node.comment) node.comment = ` ${tunedComment(String(file.speed), node.comment)}`;
}

type Data = Record<string, unknown>;

/** What the file is to say afterwards. */
function wantedData(text: string, joints: readonly TunedJoint[]): unknown {
  // Through JSON, so that what an anchor shares is shared no longer.
  const data = JSON.parse(JSON.stringify(parse(text).toJS())) as Data;
  for (const joint of joints) {
    const group = joint.path.split('.').reduce((at, key) => at[key] as Data, data);
    const { speed, accel, gone } = waysOf(joint);
    const fades = goneOf(joint.limits);
    // Undefined is left out of what is compared.
    group[gone.at(-1)!] = fades ?? undefined;
    group[speed.at(-1)!] = joint.limits.speed;
    group[accel.at(-1)!] = { plus: joint.limits.plus, minus: joint.limits.minus };
  }
  return plain(data);
}

/** One acceleration for both ways and two equal ones say the same; the order of keys says nothing. */
function plain(value: unknown, key = ''): unknown {
  if (key.startsWith('accel_') && typeof value === 'number') return { minus: value, plus: value };
  if (Array.isArray(value)) return value.map((item) => plain(item));
  if (typeof value !== 'object' || value === null) return value;
  const sorted = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
  return Object.fromEntries(sorted.map(([name, item]) => [name, plain(item, name)]));
}

function sameData(text: string, wanted: unknown): boolean {
  const doc = parse(text);
  if (doc.errors.length > 0) return false;
  const is = plain(JSON.parse(JSON.stringify(doc.toJS())));
  return JSON.stringify(is) === JSON.stringify(wanted);
}

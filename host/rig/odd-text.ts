/**
 * A text that is no rig file, found before it is read as YAML: too large, nested too deep, or not text. What it would cost to read
 * it grows faster than its size.
 */
import { type CST, Parser } from 'yaml';
import type { Problem } from './problem.ts';
import { codePoint } from './plain-text.ts';

/** A rig of sixteen joints and a hundred parts has some 20 kB. */
export const MOST_CHARACTERS = 200_000;
/** Groups within groups: a rig has six. */
export const MOST_DEPTH = 20;
/** Keys, values and list items: a rig has some hundreds. */
const MOST_NODES = 20_000;

/** What YAML 1.2 allows in no file (section 5.1): control characters but tab and line ends. */

const CONTROL = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u0084\u0086-\u009f\ufffe\uffff]/;

/** Why the text is not worth reading; null: it is. */
export function oddText(text: string): Problem | null {
  const whole = (message: string, line = 0): Problem => ({ path: 'file', line, message, severity: 'error' });
  if (text.length > MOST_CHARACTERS)
    return whole(
      `found ${(text.length / 1000).toFixed(0)} kB; allowed: up to ${String(MOST_CHARACTERS / 1000)} kB, and rigs have a few`,
    );
  const control = CONTROL.exec(text);
  if (control)
    return whole(
      `found the control character ${codePoint(control[0])}; allowed: text, tabs and line ends`,
      lineOf(text, control.index),
    );
  if (/\r(?!\n)/.test(text))
    return whole('its lines end in carriage returns alone; allowed: line feeds, with or without them: save it so');
  return tooMuch(text, whole);
}

function tooMuch(text: string, whole: (message: string, line?: number) => Problem): Problem | null {
  // The parser of tokens takes time in proportion to the text; what makes nodes of them need not.
  const waiting: [CST.Token, number][] = [...new Parser().parse(text)].map((token) => [token, 0]);
  for (let nodes = 0; ; nodes++) {
    const next = waiting.pop();
    if (!next) return null;
    const [token, depth] = next;
    if (nodes > MOST_NODES)
      return whole(`found more than ${String(MOST_NODES)} keys and values; a rig has some hundreds`);
    if (depth > MOST_DEPTH)
      return whole(
        `found groups within groups, more than ${String(MOST_DEPTH)} deep; a rig has six`,
        lineOf(text, token.offset),
      );
    for (const inner of insideOf(token)) waiting.push([inner, depth + 1]);
  }
}

/** Keys and values of a group, items of a list, the contents of a document. */
function insideOf(token: CST.Token): CST.Token[] {
  if (token.type === 'document') return token.value ? [token.value] : [];
  if (!('items' in token)) return [];
  return token.items.flatMap(({ key, value }) => [key, value]).filter((inner) => inner !== undefined && inner !== null);
}

const lineOf = (text: string, offset: number): number => text.slice(0, offset).split('\n').length;

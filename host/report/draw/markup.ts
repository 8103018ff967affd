/**
 * Text into markup, safely: whatever is put into a `markup` template is escaped, unless it is markup itself.
 * Serves HTML and the SVG inside it alike.
 */

/** A piece of finished markup; only `markup` makes one. */
export interface Markup {
  readonly markup: string;
}

/** What a template may hold. Numbers are written to two decimals at most; null leaves nothing. */
export type Value = string | number | null | Markup | readonly Markup[];

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Text for element content and for quoted attributes. Control characters, which no markup may hold, and marks that turn the direction of writing become spaces. */
export const escapeText = (text: string): string =>
  text
    .replace(/[&<>"']/g, (c) => ENTITIES[c] ?? c)
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069]/g, ' ');

function written(value: Value): string {
  if (value === null) return '';
  if (typeof value === 'string') return escapeText(value);
  if (typeof value === 'number') return String(Math.round(value * 100) / 100 || 0);
  if ('markup' in value) return value.markup;
  return value.map((piece) => piece.markup).join('');
}

/** Tagged template: markup`<p title="${text}">${text}</p>`. */
export function markup(pieces: TemplateStringsArray, ...values: Value[]): Markup {
  const text = pieces.reduce(
    (all, piece, i) => all + written(values[i - 1] ?? null) + piece.replace(/\n\s*/g, '\n'),
    '',
  );
  return { markup: text };
}

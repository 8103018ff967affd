/**
 * Text from outside, such as a name in a file, before it reaches a terminal or a page: characters that steer instead of being seen are
 * written out, so that no file can clear a screen, colour it, or turn words around.
 */

/**
 * Control characters (C0, DEL, C1), line and paragraph separators, the byte order mark, halves of surrogate pairs, and the marks that
 * turn the direction of writing (Unicode Standard Annex 9, section 2; Unicode Technical Report 36, section 3.7, from memory).
 */
const STEERING =
  /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** `U+001B`. */
export const codePoint = (character: string): string =>
  `U+${(character.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0')}`;

/** The text with such characters written as `<U+001B>`. */
export const plainText = (text: string): string => text.replace(STEERING, (character) => `<${codePoint(character)}>`);

/** The first such character of a text, as `U+001B`; null: there is none. */
export function steering(text: string): string | null {
  const at = text.search(STEERING);
  return at < 0 ? null : codePoint(text.charAt(at));
}

/** The same at most `longest` characters long, for a message. */
export function shortText(text: string, longest: number): string {
  const cut = text.length > longest ? `${text.slice(0, longest)}…` : text;
  return plainText(cut.replace(/\s+/g, ' '));
}

/** JSON in which such characters are escaped as JSON does it; line ends between its parts stay. */
export const plainJson = (json: string): string =>
  json.replace(STEERING, (character) =>
    character === '\n' ? character : `\\u${character.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );

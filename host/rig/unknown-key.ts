/** What is said of a key that nobody knows: what it was likely meant to be. */
import { likelyMeant } from './other-words.ts';
import { shortText } from './plain-text.ts';
import { LONGEST, isLike, nearest } from './words.ts';

/** What is said of a key that nobody knows. `elsewhere` explains keys that are right in another place. */
export function unknownKey(
  key: string,
  known: readonly string[],
  elsewhere: Readonly<Record<string, string>> = {},
): string {
  const other = Object.hasOwn(elsewhere, key) ? elsewhere[key] : undefined;
  const shown = shortText(key, LONGEST) || '""';
  if (other !== undefined) return `found the key ${shown}, which does not belong here: ${other}`;
  const meant = likelyMeant(key, known);
  if (meant !== null) return `unknown key ${shown}; ${meant}`;
  const near = nearest(key, known);
  if (near === undefined || !isLike(key, near)) return `unknown key ${shown}; known here: ${known.join(', ')}`;
  return `unknown key ${shown}; the nearest known key is ${near}`;
}

/** What every page must be: well nested, alone, without a script, without a figure that is none. */

const VOID = new Set(['meta', 'br', 'hr', 'link', 'img', 'input']);

/** Names of elements that are opened and closed in another order, or never closed. */
export function misnested(html: string): string[] {
  const open: string[] = [];
  const wrong: string[] = [];
  for (const [, close, name, , self] of html.matchAll(/<(\/?)([a-zA-Z][\w-]*)((?:"[^"]*"|'[^']*'|[^>"'])*?)(\/?)>/g)) {
    if (!name || VOID.has(name) || self) continue;
    if (!close) open.push(name);
    else if (open.pop() !== name) wrong.push(name);
  }
  return [...wrong, ...open];
}

/** All that is wrong with a page, in words; none for a good one. */
export function faultsOf(html: string): string[] {
  const faults = misnested(html).map((name) => `badly nested: ${name}`);
  const outside = html
    .replaceAll('http://www.w3.org/2000/svg', '')
    .match(/<script|<iframe|<link|src=|@import|https?:|href="(?!#)|javascript:|\son[a-z]+=/gi);
  if (outside) faults.push(`not alone: ${outside.join(' ')}`);
  const none = html.match(/.{0,30}(?:NaN|Infinity|undefined|\[object).{0,20}|[>(\s]null[<)\s].{0,20}/g);
  if (none) faults.push(`no figure: ${none.slice(0, 3).join(' | ')}`);
  for (const [, id = ''] of html.matchAll(/url\(([^)]*)\)/g))
    if (!id.startsWith('#') || html.split(`id="${id.slice(1)}"`).length !== 2) faults.push(`refers to ${id}`);
  for (const [svg] of html.matchAll(/<svg[^>]*>/g))
    if (!/aria-(?:label="[^"]+"|hidden="true")/.test(svg)) faults.push(`not told to who cannot see: ${svg}`);
  return faults;
}

/** The words of a page, tags and style taken out, spaces plain. */
export const textOf = (html: string): string =>
  html
    .replace(/<style>[^]*?<\/style>/, '')
    .replace(/<[^>]+>/g, ' ')
    .replace(/[\s\u00a0\u202f]+/g, ' ');

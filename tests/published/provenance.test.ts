/** Every value from outside says where it is from, and keeps what is published apart from what is derived (values/README.md). */
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

type Entry = Readonly<Record<string, unknown>>;
const KEYS = ['statement', 'source', 'read', 'inputs', 'published', 'derived', 'derivation'];
const FOLDER = 'tests/published/values';

const entries = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.json'))
  .flatMap((name): [string, Entry][] => {
    const file = JSON.parse(readFileSync(`${FOLDER}/${name}`, 'utf8')) as Record<string, unknown>;
    // A file of one entry, or of several by name.
    return 'statement' in file ? [[name, file]] : Object.entries(file as Record<string, Entry>);
  });

/** What an entry lacks, in words. */
function lacks(entry: Entry): string[] {
  const words = (key: string): boolean => typeof entry[key] === 'string' && entry[key].length >= 8;
  return [
    ...['statement', 'source', 'read'].filter((key) => !words(key)),
    ...('published' in entry || 'derived' in entry ? [] : ['published or derived']),
    ...('derived' in entry && !words('derivation') ? ['derivation'] : []),
    ...Object.keys(entry).flatMap((key) => (KEYS.includes(key) ? [] : [`no key ${key}`])),
    // A published figure needs a work: an author and a title at least.
    ...('published' in entry && !String(entry.source).includes(',') ? ['author and title'] : []),
  ];
}

describe('values/*.json', () => {
  it.each(entries)('%s: source, where it was read, published and derived apart', (_, entry) => {
    expect(lacks(entry)).toEqual([]);
  });

  it('there are some', () => expect(entries.length).toBeGreaterThan(30));
});

it.each([
  [{}, ['statement', 'source', 'read', 'published or derived']],
  [{ statement: 'a sum of two', source: 'A. Uthor, Title, 1999', read: 'in the source', derived: 2 }, ['derivation']],
  [
    { statement: 'a sum of two', source: 'a web page', read: 'in the source', published: 2, provenance: 'read' },
    ['no key provenance', 'author and title'],
  ],
])('what is missing is found: %#', (entry, missing) => expect(lacks(entry)).toEqual(missing));

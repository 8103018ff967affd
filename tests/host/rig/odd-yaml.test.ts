/** Files that are YAML in name only, or oddly: told in words and in bounded time, never thrown over. */
import { describe, expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { OWL, problemsOf, swap } from './owl.ts';

const first = (text: string): string => {
  const [problem] = problemsOf(text);
  return `${problem?.path ?? ''}:${String(problem?.line)} ${problem?.message ?? ''}`;
};
/** The only one. */
const only = (text: string): string => {
  expect(problemsOf(text)).toHaveLength(1);
  return first(text);
};
const right = (text: string): void => {
  expect(problemsOf(text)).toEqual([]);
};

describe('what would take for ever to read is refused before it is read', () => {
  it.each([
    ['explicit keys within keys', '? '.repeat(500)],
    ['brackets', '['.repeat(100_000)],
    ['lists within lists', '- '.repeat(5000)],
    ['groups within groups', `rig: ${'{a: '.repeat(300)}1${'}'.repeat(300)}`],
  ])('%s', (_, text) => {
    expect(only(text)).toMatch(/^file:1 found groups within groups, more than 20 deep/);
  });

  it('more keys than a rig has, and a file that is larger', () => {
    const keys = (count: number): string => Array.from({ length: count }, (_, i) => `k${String(i)}: 1\n`).join('');
    expect(only(OWL + keys(12_000))).toMatch(/^file:0 found more than 20000 keys and values/);
    expect(only(OWL + keys(600_000))).toMatch(/^file:0 found 6\d{3} kB; allowed: up to 200 kB/);
  });

  it('aliases of aliases that would fill the memory', () => {
    const bomb = 'bcdefghi'.split('').map((name, i) => {
      const inner = Array<string>(9).fill(`*${'abcdefgh'.charAt(i)}`);
      return `${name}: &${name} [${inner.join(',')}]\n`;
    });
    expect(first(`a: &a [x, x, x, x, x, x, x, x, x]\n${bomb.join('')}${OWL}`)).toMatch(/would fill the memory/);
  });
});

it.each([
  ['a tag', '!'.repeat(100_000)],
  ['an unknown key', `${OWL}${'k'.repeat(100_000)}: 1\n`],
  ['a key that stands twice', `${OWL}${`${'k'.repeat(50_000)}: 1\n`.repeat(2)}`],
  ['an alias', `${OWL}k: *${'a'.repeat(100_000)}\n`],
  ['a value', OWL.replace('rest: on_stop', `rest: ${'r'.repeat(100_000)}`)],
])('%s of 100,000 characters is not told in full', (_, text) => {
  const said = problemsOf(text);
  expect(said.length).toBeGreaterThan(0);
  for (const { path, message } of said) expect(path.length + message.length).toBeLessThan(1300);
});

it('a hundred mistakes are listed, and the rest is counted', () => {
  const keys = Array.from({ length: 412 }, (_, i) => `k${String(i)}: 1\n`).join('');
  const problems = problemsOf(OWL + keys);
  expect(problems).toHaveLength(101);
  expect(problems.at(-1)).toMatchObject({ path: 'file', message: 'and 312 more' });
});

describe('YAML of other kinds', () => {
  it.each([
    ['a merge of a number', `<<: 3\n${OWL}`, /^file:0 the key << takes an alias of a group/],
    ['a merge of a list of none', `<<: [3, a]\n${OWL}`, /^file:0 the key << takes an alias of a group/],
    ['an alias of nothing', swap(OWL, ['rod_mm: 120', 'rod_mm: *rod']), /the alias \*rod leads nowhere/],
    ['a tag', swap(OWL, ['rod_mm: 120', 'rod_mm: !foo 120']), /found the tag !foo; allowed: plain keys/],
    ['a tag that would run code', `x: !!js/function "f"\n${OWL}`, /^file:1 found the tag !!js\/function/],
    ['two rigs', `${OWL}\n---\n${OWL}`, /a second document begins here/],
    ['a NUL byte', `${OWL}# \0`, /^file:\d\d found the control character U\+0000/],
    ['an escape character', `# \u001b[2J\n${OWL}`, /^file:1 found the control character U\+001B/],
    ['nothing', '', /is empty/],
    ['a comment', '# rig\n', /is empty/],
    ['a list', '- rig: a\n', /holds no keys and values/],
    ['a word', 'hello', /holds no keys and values/],
    ['carriage returns alone', OWL.replaceAll('\n', '\r'), /end in carriage returns alone/],
    ['a tab', swap(OWL, ['\n  drive', '\n\tdrive']), /tab in front of this line/],
  ])('%s', (_, text, words) => {
    expect(first(text)).toMatch(words);
  });

  it('binary data, yes and no, dates, endless numbers', () => {
    expect(first(swap(OWL, ['rod_mm: 120', 'rod_mm: !!binary aGVsbG8=']))).toMatch(/found the tag !!binary/);
    expect(first(swap(OWL, ['rod_mm: 120', 'rod_mm: .inf']))).toMatch(/found a number without end/);
    expect(first(swap(OWL, ['rod_mm: 120', 'rod_mm: 1_20']))).toMatch(/found "1_20"/);
    expect(first(swap(OWL, ['rod_mm: 120', 'rod_mm: 2024-01-01']))).toMatch(/found "2024-01-01"/);
    expect(first(swap(OWL, ['rod_mm: 120', 'rod_mm: yes']))).toMatch(/found "yes"/);
  });

  it('what is right stays right: a byte order mark, Windows line ends, numbers in base 16, aliases, merges', () => {
    right(`\ufeff${OWL}`);
    right(OWL.replaceAll('\n', '\r\n'));
    right(swap(OWL, ['rod_mm: 120', 'rod_mm: 0x78']));
    right(swap(OWL, ['rod_mm: 120', 'rod_mm: &rod 120'], ['name: shell,', 'name: shell, <<: { fitted: true },']));
  });
});

describe('names that steer a terminal', () => {
  const STEERS = ['\\e[31m', '\\n', '\\u202e', '\\0', '\\u2028'];
  it.each(STEERS)('%s is refused in a name, and told without it', (steers) => {
    for (const text of [
      swap(OWL, ['rig: test-owl', `rig: "owl${steers}"`]),
      `${OWL}"key${steers}": 1\n`,
      swap(OWL, ['  nod:\n', `  "nod${steers}":\n`]),
    ]) {
      const { rig, problems } = readRig(text);
      expect(rig).toBeNull();

      for (const { path, message } of problems) expect(path + message).not.toMatch(/[\u0000-\u001f\u2028\u202e]/);
    }
  });
});

describe('a key in another place is sent to its own', () => {
  it.each([
    ['friction: 0.1', /friction_nm is a key of servos\.NAME$/],
    ['crank_mm: 20', /crank_mm is a key of platform$/],
    ['tick_hz: 200', /tick_hz is a key of motion$/],
    ['baud: 9600', /baud is a key of board$/],
    ['speeed_deg_s: 20', /the nearest known key is speed_deg_s$/],
    ['limits_deg: 20', /the nearest known key is limit_deg$/],
  ])('%s at a joint', (line, words) => {
    const { problems } = readRig(swap(OWL, ['    gear_ratio: 3', `    ${line}\n    gear_ratio: 3`]));
    expect(problems.map(({ message }) => message)).toContainEqual(expect.stringMatching(words));
  });
});

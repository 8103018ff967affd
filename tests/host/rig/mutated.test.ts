/** The demo's rig with one to three things spoilt: read, or told in words with lines, and never thrown over. */
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { isMap, isPair, isScalar, isSeq, parseDocument, visit } from 'yaml';
import { runCli } from '../../../host/cli/main.ts';

const DEMO = readFileSync(new URL('../../../host/demo/night-owl.yaml', import.meta.url), 'utf8');
/** Run with POSEWRIGHT_MUTANTS=5000 for more. */
const RUNS = Number(process.env['POSEWRIGHT_MUTANTS'] ?? 300);
const SEED = 20_260_917;

/** What is put in the place of a value. */
const OTHERS: readonly unknown[] = [
  ...[0, -0, 1, -1, 1e-320, 1e-12, 1e-6, 0.001, 0.1, 3, 57.3, 360, 1000, 1e5, 1e9, 1e38, 1e300, -1e9],
  ...[NaN, Infinity, -Infinity, 2 ** 53, 254, 255, 0.5, -180, 180, 1 / 3],
  ...[null, true, '', 'unknown', 'x', '1,5', '12 mm', '__proto__', 'constructor', 'ground', 'moving', 'base', 'nod'],
  ...['leg1', 'lid', 'level', '\u001b[2J', 'a\nb', '\u202e', 'ü'.repeat(200)],
  ...[[], {}, [1], [1, 2, 3], [0, 0, 0], [5, -5], [[1, 2, 3]], { value: 3 }, { value: NaN, from: 'x' }, { '': 1 }],
];
const KEYS = [
  '',
  'x',
  'pin',
  'servo',
  'on',
  '__proto__',
  'constructor',
  'leg7',
  'leg1',
  'a b',
  'ke\u001by',
  'at_v',
  'load',
];

type Change = readonly [kind: number, where: number, what: number];

/** The text after the changes: a value removed, replaced, or scaled, or a key renamed or copied to another group. */
function spoilt(changes: readonly Change[]): string {
  const doc = parseDocument(DEMO);
  for (const [kind, where, what] of changes) {
    const places: { set(value: unknown): void; remove(): void; rename(key: string): void; value: unknown }[] = [];
    visit(doc, {
      Pair: (_, pair, path) => {
        const map = path.at(-1);
        if (!isMap(map)) return;
        places.push({
          set: (value) => (pair.value = doc.createNode(value)),
          remove: () => void map.items.splice(map.items.indexOf(pair), 1),
          rename: (key) => (pair.key = doc.createNode(key)),
          value: pair.value,
        });
      },
      Scalar: (key, node, path) => {
        const list = path.at(-1);
        if (!isSeq(list) || isPair(list) || typeof key !== 'number') return;
        places.push({
          set: (value) => (list.items[key] = doc.createNode(value)),
          remove: () => void list.items.splice(key, 1),
          rename: () => undefined,
          value: node,
        });
      },
    });
    const place = places[where % places.length]!;
    const number = isScalar(place.value) ? place.value.value : null;
    if (kind === 0) place.remove();
    else if (kind === 1) place.rename(KEYS[what % KEYS.length]!);
    else if (kind === 2 && typeof number === 'number') place.set(number * 10 ** ((what % 19) - 9));
    else place.set(OTHERS[what % OTHERS.length]);
  }
  return doc.toString();
}

const whole = fc.nat(10_000);
const changes = fc.array(fc.tuple(fc.nat(5), whole, whole), { minLength: 1, maxLength: 3 });

it(`the demo’s rig with up to three things spoilt, ${String(RUNS)} times (seed ${String(SEED)})`, async () => {
  await fc.assert(
    fc.asyncProperty(changes, async (made) => {
      const text = spoilt(made);
      let out = '';
      let err = '';
      const code = await runCli(['check', '-', '--json'], {
        stdout: { write: (words) => (out += words) },
        stderr: { write: (words) => (err += words) },
        stdin: (async function* () {
          yield await Promise.resolve(Buffer.from(text));
        })(),
        env: {},
        now: () => 0,
        onInterrupt: () => undefined,
      });
      expect(err).toBe('');
      expect([0, 2]).toContain(code);
      const { ok, problems } = JSON.parse(out) as {
        ok: boolean;
        problems: { line: number; message: string; path: string }[];
      };
      expect(ok).toBe(code === 0);
      if (!ok) expect(problems.length).toBeGreaterThan(0);
      for (const { line, message, path } of problems) {
        expect(line).toBeGreaterThanOrEqual(path === 'file' ? 0 : 1);
        expect(message).not.toMatch(/NaN|Infinity|undefined|\[object|Invalid/);

        expect(path + message).not.toMatch(/[\u0000-\u001f\u202e]/);
      }
      if (ok) {
        const told = await wordsOf(text);
        expect(told).not.toMatch(/NaN|Infinity|undefined|\[object/);
      }
    }),
    { seed: SEED, numRuns: RUNS },
  );
}, 600_000);

/** What `check` says of a rig that is right. */
async function wordsOf(text: string): Promise<string> {
  let out = '';
  await runCli(['check', '-'], {
    stdout: { write: (words) => (out += words) },
    stderr: { write: (words) => (out += words) },
    stdin: (async function* () {
      yield await Promise.resolve(Buffer.from(text));
    })(),
    env: {},
    now: () => 0,
    onInterrupt: () => undefined,
  });
  return out;
}

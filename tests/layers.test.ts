/**
 * The import rules catch what they are for: every layer importing every other one, in a tree made for it. The rule file
 * itself is under test; that this project keeps to it is for `npm run lint`.
 */
import { cruise, type ICruiseResult } from 'dependency-cruiser';
import extractDepcruiseOptions from 'dependency-cruiser/config-utl/extract-depcruise-options';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, expect, it } from 'vitest';

/** Who may import whom; an area may always import itself. */
const ALLOWED: Record<string, string[]> = {
  assembly: [],
  boards: [],
  'host/rig': [],
  'host/stream': ['host/rig'],
  'host/physics': ['host/rig', 'host/stream'],
  'host/controller': ['host/rig'],
  'host/reach': ['host/rig', 'host/physics'],
  'host/load': ['host/rig', 'host/stream', 'host/physics'],
  'host/new': ['host/rig', 'host/stream', 'host/physics'],
  'host/compare': ['host/rig', 'host/stream', 'host/physics', 'host/reach', 'host/load'],
  'host/wiring': ['host/rig', 'host/load'],
  'host/replay': ['host/rig', 'host/stream', 'host/physics', 'host/controller'],
  'host/firmware': ['host/rig', 'host/controller'],
  'host/targets': ['host/firmware', 'host/rig', 'host/stream', 'host/physics', 'host/controller', 'host/replay'],
  'host/retime': ['host/rig', 'host/stream', 'host/physics', 'host/replay'],
  'host/tune': ['host/rig', 'host/stream', 'host/physics', 'host/replay', 'host/load'],
  'host/design': [
    ...['host/rig', 'host/stream', 'host/physics', 'host/controller', 'host/replay'],
    ...['host/reach', 'host/load'],
  ],
  'host/why': ['host/rig', 'host/stream', 'host/physics', 'host/replay', 'host/load', 'host/tune'],
  'host/bringup': ['host/rig', 'host/stream', 'host/physics', 'host/controller', 'host/replay'],
  'host/report': [
    ...['host/rig', 'host/stream', 'host/physics', 'host/controller', 'host/replay'],
    ...['host/reach', 'host/load', 'host/wiring', 'host/retime', 'host/tune', 'host/why'],
    ...['host/design', 'host/compare'],
  ],
  'host/cli': [
    ...['host/rig', 'host/stream', 'host/physics', 'host/controller', 'host/replay'],
    ...[
      'host/firmware',
      'host/targets',
      'host/bringup',
      'host/report',
      'host/reach',
      'host/load',
      'host/new',
      'host/wiring',
      'host/retime',
      'host/tune',
      'host/why',
      'host/design',
      'host/compare',
    ],
  ],
};
const AREAS = [...Object.keys(ALLOWED), 'tests'];

const folder = mkdtempSync(join(tmpdir(), 'posewright-layers-'));
afterAll(() => {
  rmSync(folder, { recursive: true });
});

function write(path: string, text: string): void {
  mkdirSync(dirname(join(folder, path)), { recursive: true });
  writeFileSync(join(folder, path), text);
}

/** Pairs "from -> to" of areas, or of files, that break a rule among the files written so far. */
async function broken(areas: string[]): Promise<{ rule: string; pair: string }[]> {
  const options = await extractDepcruiseOptions('./.dependency-cruiser.mjs');
  const { output } = await cruise(areas, { ...options, baseDir: folder, validate: true });
  return (output as ICruiseResult).summary.violations.map(({ rule, from, to }) => ({
    rule: rule.name,
    pair: `${dirname(from)} -> ${dirname(to)}`,
  }));
}

it('reports each import from a lower layer to a higher one, of values and of types, and no other', async () => {
  for (const area of AREAS) write(`${area}/leaf.ts`, 'export const value = 1;\nexport type Value = number;\n');
  const forbidden: string[] = [];
  for (const [n, from] of Object.keys(ALLOWED).entries()) {
    for (const [m, to] of AREAS.entries()) {
      const up = '../'.repeat(from.split('/').length);
      const what = (n + m) % 2 ? 'type { Value }' : '{ value }';
      write(`${from}/to-${to.replace('/', '-')}.ts`, `export ${what} from '${up}${to}/leaf.ts';\n`);
      if (from !== to && !ALLOWED[from]?.includes(to)) forbidden.push(`${from} -> ${to}`);
    }
  }
  const found = await broken(AREAS);
  expect([...new Set(found.map(({ pair }) => pair))].sort()).toEqual(forbidden.sort());
});

/** The rooms inside a layer: who may import whom of its own. */
const ROOMS: Record<string, string[]> = {
  'host/physics/kinematics': [],
  'host/physics/servo': [],
  'host/physics/dynamics': ['host/physics/kinematics', 'host/physics/servo'],
  'host/physics/vibration': ['host/physics/kinematics', 'host/physics/servo', 'host/physics/dynamics'],
  'host/physics/plant': ['kinematics', 'servo', 'dynamics', 'vibration'].map((room) => `host/physics/${room}`),
  'host/report': ['host/report/draw'],
  'host/report/draw': [],
  'host/cli': ['host/cli/load', 'host/cli/why'],
  'host/cli/load': ['host/cli'],
  'host/cli/why': ['host/cli'],
};

const layerOf = (room: string): string | undefined => room.split(/[/ ]/)[1];

it('reports each import between the rooms of a layer that may not be, and no other', async () => {
  const forbidden: string[] = [];
  for (const room of Object.keys(ROOMS)) write(`${room}/leaf.ts`, 'export const value = 1;\n');
  for (const [from, allowed] of Object.entries(ROOMS))
    for (const to of Object.keys(ROOMS)) {
      if (from === to || layerOf(from) !== layerOf(to)) continue;
      const up = '../'.repeat(from.split('/').length);
      write(`${from}/to-${to.replaceAll('/', '-')}.ts`, `export { value } from '${up}${to}/leaf.ts';\n`);
      if (!allowed.includes(to)) forbidden.push(`${from} -> ${to}`);
    }
  const found = await broken(['host/physics', 'host/report', 'host/cli']);
  const inside = found.map(({ pair }) => pair).filter((pair) => layerOf(pair) === layerOf(pair.split(' -> ')[1]!));
  expect([...new Set(inside)].sort()).toEqual(forbidden.sort());
});

it('reports circles, missing files and packages in the controller', async () => {
  write('host/rig/ring-a.ts', "export { b } from './ring-b.ts';\nexport const a = 1;\n");
  write('host/rig/ring-b.ts', "export { a } from './ring-a.ts';\nexport const b = 1;\n");
  write('host/rig/lost.ts', "export { gone } from './gone.ts';\n");
  write('assembly/guest.ts', "export { readFileSync } from 'fs';\n");
  const rules = new Set((await broken(['assembly', 'host/rig'])).map(({ rule }) => rule));
  expect(rules).toContain('no-circle');
  expect(rules).toContain('not-found');
  expect(rules).toContain('assembly-without-packages');
});

it('reports what a browser does not have, in what it shares with the command line', async () => {
  const reading = "export { readFileSync } from 'node:fs';\n";
  const shared = ['host/rig', 'host/stream', 'host/physics', 'host/retime', 'host/why'];
  for (const area of [...shared, 'host/cli', 'host/firmware']) write(`${area}/reads.ts`, reading);
  write('host/targets/sim.ts', reading);
  write('host/targets/native.ts', reading);
  const found = (await broken(['host'])).filter(({ rule }) => rule === 'no-node-below-the-edges');
  expect(found.map(({ pair }) => pair.split(' -> ')[0]).sort()).toEqual([...shared, 'host/targets'].sort());
});

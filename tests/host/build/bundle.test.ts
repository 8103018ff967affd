/** What a start of the command line loads: the help and `check` are asked for often, and need little of what is there. */
import { build, type Metafile } from 'esbuild';
import { beforeAll, expect, it } from 'vitest';
// @ts-expect-error a build script without types
import { BUNDLE } from '../../../host/build/bundle.mjs';

let outputs: Metafile['outputs'] = {};
beforeAll(async () => {
  const { metafile } = await build({ ...BUNDLE, write: false });
  outputs = (metafile as Metafile).outputs;
});

/** The sources in the files that are loaded with the one made of `entry`, without what is loaded on demand. */
function loadedWith(entry: string): string[] {
  const first = Object.keys(outputs).find((file) => outputs[file]?.entryPoint === entry);
  expect(first).toBeDefined();
  const seen = new Set<string>();
  const files = [first ?? ''];
  for (let file = files.pop(); file !== undefined; file = files.pop()) {
    if (seen.has(file)) continue;
    seen.add(file);
    for (const { path, kind } of outputs[file]?.imports ?? []) if (kind === 'import-statement') files.push(path);
  }
  return [...seen].flatMap((file) => Object.keys(outputs[file]?.inputs ?? {}));
}

const HELP = ['host/cli/bin.ts', 'host/cli/main.ts'];
const roomsOf = (sources: readonly string[]): string[] =>
  [...new Set(sources.map((source) => /^(host\/[^/]+|node_modules\/(?:@[^/]+\/)?[^/]+)/.exec(source)?.[0] ?? source))].sort();

it('the help needs the command line alone', () => {
  const rooms = roomsOf(HELP.flatMap(loadedWith)).filter((room) => !room.startsWith('node_modules'));
  expect(rooms).toEqual(['host/cli', 'host/rig', 'package.json']);
  const rig = HELP.flatMap(loadedWith).filter((source) => source.startsWith('host/rig/'));
  expect([...new Set(rig)].sort()).toEqual(['host/rig/plain-text.ts', 'host/rig/words.ts']);
  expect(HELP.flatMap(loadedWith)).not.toContain('node_modules/yaml/dist/index.js');
});

it('check needs the rig file’s reader besides, no emulator, no stream, no plant, and one language of zod', () => {
  const sources = [...HELP, 'host/cli/check/check.ts'].flatMap(loadedWith);
  const rooms = roomsOf(sources);
  for (const none of ['rp2040js', 'ml-matrix', 'fft.js', 'papaparse', 'uf2', 'd3-shape', 'cli-progress'])
    expect(rooms).not.toContain(`node_modules/${none}`);
  for (const none of ['targets', 'replay', 'report', 'retime', 'tune', 'why', 'load', 'controller', 'firmware'])
    expect(rooms).not.toContain(`host/${none}`);
  expect(sources.filter((source) => /zod\/.*\/locales\//.test(source))).toEqual([
    expect.stringContaining('locales/en.js'),
  ]);
  expect(sources).not.toContain('host/physics/plant/plant.ts');
});

it('what is loaded with a command is in files of their own', () => {
  expect(loadedWith('host/cli/replay/replay.ts')).toContain('host/replay/replay.ts');
  expect(loadedWith('host/cli/retime/retime.ts').some((source) => source.includes('rp2040js'))).toBe(false);
});

/**
 * The whole verdict of a 3-minute take after edits of 2 s, as the page's worker finds it: the demo's take over and over, a bump on a
 * column at random places. Wall time beside CPU time, which counts what the engine compiles on the side too.
 */
import { readFileSync } from 'node:fs';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { readRig } from '../../rig/read.ts';
import { Verdicts } from '../../stage/page/verdict/verdicts.ts';
import { warmUp } from '../../stage/page/verdict/warm-up.ts';
import { framesOf } from '../../stage/take/detail.ts';
import { edited } from '../../stage/take/edit.ts';
import { takeComments, takeOf } from '../../stage/take/file.ts';
import { FRAME_HZ, type Take } from '../../stage/take/take.ts';

const SECONDS = 180;
const EDITS = 45;
const SEED = 7;
const EDIT_S = 2;
/** mm or deg. */
const BUMP = 3;
const go = (): Promise<boolean> => Promise.resolve(true);

/** The demo's frames, for so long. */
function looped(): Take {
  const text = readFileSync('host/demo/dusk.csv', 'utf8');
  const [head, ...lines] = text.split('\n').filter((line) => line !== '' && !line.startsWith('#'));
  const rows = lines.map((line) => line.split(',').slice(1).map(Number));
  const column = (k: number): Float64Array =>
    Float64Array.from({ length: SECONDS * FRAME_HZ + 1 }, (_, n) => rows[n % (rows.length - 1)]![k]!);
  const names = head!.split(',').slice(1);
  return takeOf('dusk', new Map(names.map((name, k) => [name, column(k)])), takeComments([]));
}

/** A bump of 2 s on one column of a take, at a random place. */
function bumps(seed: number): (take: Take) => Take {
  const random = xoroshiro128plus(seed);
  return (take) => {
    const curve = take.curves[uniformInt(random, 0, take.curves.length - 1)]!;
    const first = uniformInt(random, 0, (SECONDS - EDIT_S) * FRAME_HZ);
    const samples = framesOf(take, curve)
      .slice(first, first + EDIT_S * FRAME_HZ + 1)
      .map((value, n) => value + BUMP * Math.sin((Math.PI * n) / (EDIT_S * FRAME_HZ)) ** 2);
    return edited(take, { kind: 'layer', from_s: first / FRAME_HZ, samples: new Map([[curve.column, samples]]) });
  };
}

interface Took {
  readonly wall_ms: number;
  readonly cpu_ms: number;
}

const worded = (all: readonly Took[]): string => {
  const figures = (['wall_ms', 'cpu_ms'] as const).map((what) => {
    const sorted = all.map((one) => one[what]).sort((a, b) => a - b);
    const ms = (value: number | undefined): string => (value ?? NaN).toFixed(0);
    return `${ms(sorted[sorted.length >> 1])}, worst ${ms(sorted.at(-1))} ms ${what === 'cpu_ms' ? 'CPU' : 'wall'}`;
  });
  return `median ${figures.join('; ')}`;
};

/** In words: median and worst of the edits. @param clock ms; @param isWarm warmed up before, as the page's worker is */
export async function verdictOfEdit(clock: () => number, isWarm = true): Promise<string> {
  const rig = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
  const wasm = new Uint8Array(readFileSync('build/controller.wasm'));
  const verdicts = new Verdicts(rig, wasm);
  const took = async (take: Take): Promise<Took> => {
    const from = process.cpuUsage();
    const from_ms = clock();
    const verdict = await verdicts.of(take, go);
    const wall_ms = clock() - from_ms;
    const { user, system } = process.cpuUsage(from);
    if (verdict === null || typeof verdict === 'string') throw new Error(String(verdict));
    return { wall_ms, cpu_ms: (user + system) / 1000 };
  };
  let take = looped();
  const whole = await took(take);
  if (isWarm) await warmUp(rig, wasm, take, go);
  const next = bumps(SEED);
  const all: Took[] = [];
  for (let k = 0; k < EDITS; k++) {
    take = next(take);
    all.push(await took(take));
  }
  return `verdict of a ${String(SECONDS / 60)}-minute take after each of ${String(EDITS)} edits of ${String(EDIT_S)} s: ${worded(all)}; from its beginning ${whole.wall_ms.toFixed(0)} ms`;
}

/**
 * The benchmark: ratios measured in one run, rounds interleaved, medians taken, so that a busy machine slows both sides
 * alike. Prints versions and flags, what was measured on the way, and README's tables of figures, row by row.
 */
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { batchSolver } from '../../controller/batch.ts';
import { packImage } from '../../controller/image.ts';
import { load } from '../../load/load.ts';
import { PERFECT_LINK } from '../../replay/link-model.ts';
import { replay } from '../../replay/replay.ts';
import { TOLERANCE } from '../../replay/tolerance.ts';
import { readRig } from '../../rig/read.ts';
import { type Rig, HOME } from '../../rig/rig.ts';
import { storeStream } from '../../stream/store.ts';
import { simTarget } from '../../targets/sim.ts';
import { cures } from './cures.ts';
import { searches } from './design-search.ts';
import { threads } from './design-threads.ts';
import { designs } from './design.ts';
import { lookAheads } from './look-ahead.ts';
import { reaching } from './reaching.ts';
import { retimings } from './retimings.ts';
import { stutters } from './stutter.ts';
import { type AimRow, aimCells, cpu_s, printTable, whole } from './table.ts';
import { matrixSolver, plainSolver, quaternionSolver } from './baselines.ts';

const POSES = 20_000;
const ROUNDS = 31;
const wasm = (name: string): Uint8Array<ArrayBuffer> => readFileSync(`build/${name}.wasm`);
const packageVersion = (name: string): string =>
  (JSON.parse(readFileSync(`node_modules/${name}/package.json`, 'utf8')) as { version: string }).version;
const median = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1] ?? NaN;
const say = (line = ''): boolean => process.stdout.write(`${line}\n`);

/** Seconds of prop in a second: of CPU, which is what aims are of, and on the clock. */
interface Rate {
  readonly cpu: number;
  readonly wall: number;
}

async function timed(run: () => Promise<number>): Promise<Rate> {
  const [from, used] = [performance.now(), cpu_s()];
  const seconds = await run();
  return { cpu: seconds / (cpu_s() - used), wall: (seconds * 1000) / (performance.now() - from) };
}

function rateRow(name: string, rates: readonly Rate[], least: number): AimRow {
  say(`  ${name}: ${rates.map(({ cpu, wall }) => `${whole(cpu)} x (${whole(wall)} x on the clock)`).join(', ')}`);
  const [cpu, wall] = [median(rates.map((rate) => rate.cpu)), median(rates.map((rate) => rate.wall))];
  return { name, aim: `${whole(least)} x real time`, measured: `${whole(cpu)} x in CPU time, ${whole(wall)} x on the clock`, isMet: cpu >= least };
}

const ratioRow = (name: string, reached: number, least: number): AimRow => ({
  name,
  aim: `${String(least)} x`,
  measured: `${reached.toFixed(1)} x`,
  isMet: reached >= least,
});

function solvers(rig: Rig): AimRow[] {
  const { platform } = rig;
  if (!platform) throw new Error('the demo has a platform');
  const batch = batchSolver(wasm('batch'), packImage(rig));
  const plain = plainSolver(platform);
  const byQuaternion = quaternionSolver(platform);
  const byMatrix = matrixSolver(platform);
  const poses = new Float32Array(POSES * 6);
  let seed = 1;
  for (let k = 0; k < poses.length; k++) {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    poses[k] = (seed / 2 ** 31 - 1) * (k % 6 < 3 ? 6 : 0.1);
  }
  const out = new Float32Array(poses.length);
  const work = {
    'SIMD batch': () => batch.solve(poses, out, true),
    'scalar wasm batch': () => batch.solve(poses, out, false),
    'plain TypeScript, asin/atan2': () => plain(poses, out),
    'three, quaternions': () => byQuaternion(poses, out),
    'three, matrices': () => byMatrix(poses, out),
  };
  const times = new Map(Object.keys(work).map((name) => [name, [] as number[]]));
  for (let round = -5; round < ROUNDS; round++)
    for (const [name, run] of Object.entries(work)) {
      const from = performance.now();
      run();
      if (round >= 0) times.get(name)!.push(performance.now() - from);
    }
  const rate = new Map([...times].map(([name, list]) => [name, POSES / median(list) / 1000]));
  say(`Inverse kinematics of six legs, ${String(POSES)} poses, median of ${String(ROUNDS)} interleaved rounds`);
  for (const [name, value] of rate) say(`  ${name.padEnd(58)} ${value.toFixed(2).padStart(9)} M poses/s`);
  const simd = rate.get('SIMD batch')!;
  const three = Math.max(rate.get('three, quaternions')!, rate.get('three, matrices')!);
  const plainly = simd / rate.get('plain TypeScript, asin/atan2')!;
  return [
    ratioRow('inverse kinematics of many poses with SIMD, speed ÷ plain TypeScript', plainly, 3.5),
    ratioRow('the same ÷ the library three, the faster of two ways to write it', simd / three, 5),
  ];
}

/** The demo's stream again and again, in pieces, as one stream of so many minutes. */
function* repeated(minutes: number): Generator<Uint8Array> {
  const [header, ...rows] = readFileSync('host/demo/dusk.csv', 'utf8')
    .split('\n')
    .filter((line) => line && !line.startsWith('#'));
  yield Buffer.from(`${header ?? ''}\n`);
  for (let pass = 0; pass < minutes * 3; pass++)
    yield Buffer.from(
      rows
        .slice(0, -1)
        .map((row) => {
          const comma = row.indexOf(',');
          return `${(Number(row.slice(0, comma)) + 20 * pass).toFixed(3)}${row.slice(comma)}\n`;
        })
        .join(''),
    );
}

async function replays(rig: Rig): Promise<AimRow[]> {
  const sim = simTarget({ wasm: wasm('controller') });
  const options = { link: PERFECT_LINK, tolerance: TOLERANCE, name: 'dusk, repeated' };
  // Its making is no part of a replay; its reading is.
  const stream = [...repeated(10)];
  const run = (): Promise<Rate> =>
    timed(async () => {
      const { answer } = await replay(rig, stream, sim, options);
      if (!answer.ok) throw new Error(`the replay is not clean: ${JSON.stringify(answer.breaches)}`);
      return answer.seconds;
    });
  // Twice, until the compiler has done with it.
  for (let k = 0; k < 2; k++) await run();
  const rates: Rate[] = [];
  for (let k = 0; k < 7; k++) rates.push(await run());
  say();
  say(`Replay of the demo, ${String(rig.motion.tick_hz)} ticks/s, path measured, link and all; median of 7 runs of 10 minutes`);
  const speed = rateRow('replay of the demo, with its path measured', rates, 2000);

  const held = async (minutes: number): Promise<number> => {
    let most = 0;
    await replay(rig, repeated(minutes), sim, {
      ...options,
      progress: () => {
        globalThis.gc?.();
        most = Math.max(most, process.memoryUsage().heapUsed);
      },
    });
    return most / 2 ** 20;
  };
  const short = await held(1);
  const long = await held(60);
  return [
    speed,
    {
      name: 'memory for a stream of 1 min and of 60 min',
      aim: 'constant',
      measured: `${short.toFixed(1)} and ${long.toFixed(1)} MiB`,
      isMet: long < short + 4,
    },
  ];
}

async function loads(rig: Rig): Promise<AimRow> {
  const run = (minutes: number): Promise<Rate> =>
    timed(async () => {
      const stored = await storeStream(repeated(minutes), rig);
      load(rig, { pose: HOME, without: [], stream: { name: 'dusk, repeated', stored } });
      return minutes * 60;
    });
  await run(1);
  const rates = [await run(10), await run(10), await run(10)];
  say();
  say('Load of the demo along a stream, torque at every tick, spare weight and all; median of 3 runs of 10 minutes');
  return rateRow('`load --stream`, with weights of rods and cranks, speed ÷ real time', rates, 200);
}

const { rig } = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8'));
if (!rig) throw new Error('the demo rig has problems');
const { options } = JSON.parse(readFileSync('asconfig.json', 'utf8')) as { options: Record<string, unknown> };
say(`Node ${process.version}, V8 ${process.versions.v8}, ${cpus()[0]?.model ?? 'unknown processor'}, ${String(cpus().length)} cores`);
say(`asc ${packageVersion('assemblyscript')} ${JSON.stringify(options)}; three ${packageVersion('three')}`);
say(`commit ${execFileSync('git', ['rev-parse', '--short', 'HEAD'], { encoding: 'utf8' }).trim()}`);
say();
const sim = simTarget({ wasm: wasm('controller') });
const rows: AimRow[] = [];
rows.push(...solvers(rig));
rows.push(...(await replays(rig)));
rows.push(...(await cures(sim)));
rows.push(await loads(rig));
rows.push(await retimings(rig, say));
rows.push(reaching());
await lookAheads(say);
await stutters(rig, sim, say);
await designs(say);
await threads(say);
await searches(say);
say();
printTable(say, ['', 'aim', 'measured'], rows.map(aimCells));

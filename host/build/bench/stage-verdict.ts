/** The whole verdict of a 3-minute take after an edit of 2 s, as the page's worker finds it: CPU time, the demo's take over and over. */
import { readFileSync } from 'node:fs';
import { readRig } from '../../rig/read.ts';
import { Verdicts } from '../../stage/page/verdict/verdicts.ts';
import { edited } from '../../stage/take/edit.ts';
import { takeComments, takeOf } from '../../stage/take/file.ts';
import { FRAME_HZ, type Take } from '../../stage/take/take.ts';

const SECONDS = 180;
const EDITS = 11;
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

/** In words: median and worst of several edits, each of another stretch, the first of them with code that is still cold. */
export async function verdictOfEdit(): Promise<string> {
  const rig = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
  const verdicts = new Verdicts(rig, new Uint8Array(readFileSync('build/controller.wasm')));
  const took = async (take: Take): Promise<number> => {
    const from = process.cpuUsage();
    const verdict = await verdicts.of(take, go);
    const { user, system } = process.cpuUsage(from);
    if (verdict === null || typeof verdict === 'string') throw new Error(String(verdict));
    return (user + system) / 1000;
  };
  let take = looped();
  const whole_ms = await took(take);
  const all_ms: number[] = [];
  for (let k = 0; k < EDITS; k++) {
    const from_s = 20 + 13 * k;
    const stretch = { columns: ['nod_deg'], from_s, to_s: from_s + 2 };
    take = edited(take, { kind: 'scale', stretch, times: 1.2 });
    all_ms.push(await took(take));
  }
  all_ms.sort((a, b) => a - b);
  const figure = (ms: number | undefined): string => `${(ms ?? NaN).toFixed(0)} ms`;
  return `verdict of a ${String(SECONDS / 60)}-minute take after an edit of 2 s, CPU: median ${figure(all_ms[all_ms.length >> 1])}, worst ${figure(all_ms.at(-1))}; from its beginning ${figure(whole_ms)}`;
}

/** The verdict of a 3-minute take after an edit of 2 s: CPU time, the demo's take over and over. */
import { readFileSync } from 'node:fs';
import { readRig } from '../../rig/read.ts';
import { type Judged, Judge } from '../../stage/page/verdict/judge.ts';
import { rowsOf } from '../../stage/page/verdict/rows.ts';

const SECONDS = 180;
const EDITS = 11;
const go = (): Promise<boolean> => Promise.resolve(true);

/** The demo's frames for so long, the nod moved by up to 4 degrees for 2 s from each of these frames on. */
function looped(lines: readonly string[], edits: readonly number[]): string {
  const head = lines[0]!;
  const rows = lines.slice(1).map((line) => line.split(',').slice(1).map(Number));
  const nod = head.split(',').indexOf('nod_deg') - 1;
  const out = Array.from({ length: SECONDS * 50 + 1 }, (_, n) => {
    const row = [...rows[n % (rows.length - 1)]!];
    for (const at of edits) if (n >= at && n < at + 100) row[nod]! += 4 * Math.sin((Math.PI * (n - at)) / 100) ** 2;
    return [n / 50, ...row.map((value) => Math.round(value * 1e6) / 1e6)].join(',');
  });
  return [head, ...out, ''].join('\n');
}

/** In words: median and worst of several edits, the text read and judged; and all of it judged from its beginning. */
export async function verdictOfEdit(): Promise<string> {
  const rig = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
  const lines = readFileSync('host/demo/dusk.csv', 'utf8').split('\n').filter((line) => line !== '' && !line.startsWith('#'));
  const judge = new Judge(rig, new Uint8Array(readFileSync('build/controller.wasm')));
  const judged = async (text: string): Promise<readonly [number, Judged]> => {
    const from = process.cpuUsage();
    const rows = await rowsOf(text, rig);
    if (typeof rows === 'string') throw new Error(rows);
    const done = (await judge.judge(rows, go))!;
    const { user, system } = process.cpuUsage(from);
    return [(user + system) / 1000, done];
  };
  const [whole_ms] = await judged(looped(lines, []));
  const all: number[] = [];
  const edits: number[] = [];
  for (let k = 0; k < EDITS; k++) {
    edits.push(1000 + 650 * k);
    const [took_ms, { anew }] = await judged(looped(lines, edits));
    if (anew.to - anew.from > 500) throw new Error('an edit of 2 s is judged as one of more than 10 s');
    all.push(took_ms);
  }
  all.sort((a, b) => a - b);
  return `verdict of a ${String(SECONDS / 60)}-minute take after an edit of 2 s: median ${all[all.length >> 1]!.toFixed(0)} ms, worst ${all.at(-1)!.toFixed(0)} ms of CPU; from its beginning ${whole_ms.toFixed(0)} ms`;
}

/**
 * The benchmark's table of stutter: speed peaks of each component of the pose that moves, in the stream, in what retiming made of
 * it when all of it was slowed as quickly as can be (`retime --together --quickest`), and in what it makes of it now.
 */
import { readFileSync } from 'node:fs';
import { retime } from '../../retime/retime.ts';
import type { RetimeAnswer } from '../../retime/result.ts';
import { readRig } from '../../rig/read.ts';
import { type Rig, POSE_KEYS } from '../../rig/rig.ts';
import type { StreamSource } from '../../stream/read.ts';
import type { Target } from '../../replay/target.ts';
import { tune } from '../../tune/tune.ts';
import { type Say, printTable } from './table.ts';

/** Nods of 20 deg, one every 0.8 s, with a little of roll and yaw: 8 s at 50 Hz, invented. */
function fastNods(): Uint8Array[] {
  const rows = Array.from({ length: 401 }, (_, k) => {
    const t_s = k / 50;
    const swing = (period_s: number): number => Math.sin((2 * Math.PI * t_s) / period_s) * Math.min(1, t_s, 8 - t_s);
    return [t_s, 4 * swing(2.6), 6 * swing(1.6), 10 * swing(0.8)].map((value) => value.toFixed(4)).join(',');
  });
  return [Buffer.from(['t_s,roll_deg,yaw_deg,nod_deg', ...rows, ''].join('\n'))];
}

async function answerOf(rig: Rig, source: StreamSource, isFormer: boolean): Promise<RetimeAnswer> {
  const how = isFormer ? { together: true, quickest: true } : {};
  const done = await retime(rig, source, { fit: false, kept_s: [], name: 'bench', ...how });
  if ('stops' in done) throw new Error('the stream is out of reach');
  return done.answer;
}

/** @param owl the demo, as it is before it is tuned; @param sim what it is tuned on. */
export async function stutters(owl: Rig, sim: Target, say: Say): Promise<void> {
  const { rig: stork } = readRig(readFileSync('tests/data/lone-stork.yaml', 'utf8'));
  if (!stork) throw new Error('the stork has problems');
  const tuned = (await tune(owl, sim, { faster: false, stream: null })).rig;
  const pose = POSE_KEYS.map((key) => key.replace(/_.*$/, ''));
  say();
  say('Stutter: speed peaks of what moves of the pose, and seconds; quickest: with --together --quickest');
  const rows: string[][] = [];
  for (const [words, rig, source] of [
    ['a stork’s show, with blinks and a beak that speaks', stork, [readFileSync('tests/data/lone-show.csv')]],
    ['a slow look with one blink', stork, [readFileSync('tests/data/lone-blink.csv')]],
    ['a tuned owl’s dusk', tuned, [readFileSync('host/demo/dusk.csv')]],
    ['the tuned owl’s fast nods', tuned, fastNods()],
  ] as const) {
    const [former, now] = [await answerOf(rig, source, true), await answerOf(rig, source, false)];
    const peaks = now.pace.peaks
      .map(({ name, before, after }) => ({ name, before, after, was: former.pace.peaks.find((one) => one.name === name) }))
      .filter(({ name }) => pose.includes(name) || name === 'nod' || name === 'neck')
      .map(({ name, before, was, after }) => `${name} ${[before, was?.after ?? 0, after].join(', ')}`);
    const seconds = [now.seconds_before, former.seconds_after, now.seconds_after].map((s) => s.toFixed(2)).join(', ');
    rows.push([words, peaks.join('; '), `${seconds}${now.ok && former.ok ? '' : ': **not within limits**'}`]);
  }
  printTable(say, ['stream', 'speed peaks: stream, fastest, now', 'seconds: stream, fastest, now'], rows);
}

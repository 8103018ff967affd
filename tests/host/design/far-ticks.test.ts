/** Where a stream leaves reach is found although nothing there is hard: it goes there slowly, and shakes fast before and after. */
import { expect, it } from 'vitest';
import { sampleStream } from '../../../host/design/evaluate/ask.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { firmnessAt } from '../../../host/physics/kinematics/firmness.ts';
import { whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { HOME, type Pose, type Rig } from '../../../host/rig/rig.ts';
import { streamOf } from '../load/rigs.ts';
import { askOf, demoOwl, randomDesigns } from './candidates.ts';

const demo = demoOwl();
const owl: Rig = { ...demo, motion: { ...demo.motion, tick_hz: 50 } };

/** Turned furthest at 6 s, in 2 s there and 2 s back; up and down 6 times a second but near that place. */
const stored = streamOf(owl, 12, (t) => {
  const share = Math.exp(-(((t - 6) / 1.2) ** 2));
  const shake = Math.abs(t - 6) < 0.25 ? 0 : 2.5 * Math.sin(12 * Math.PI * t);
  return { pose: [0, 0, shake, 0, 0, 18 * share] };
});

it('as the library finds it, of designs that reach there and of others', () => {
  const stream = sampleStream('slow', owl, stored);
  const ask = askOf(owl, { stream, samples: randomDesigns(20, 99) });
  const evaluation = new Evaluation(prepare(ask));
  const out = new Float64Array(FIGURES);
  const poses = Array.from({ length: stream.ticks }, (__, k) => [
    ...stream.rows.subarray((k + 1) * stream.size, (k + 1) * stream.size + 6),
  ]) as unknown as Pose[];
  const goes = (rig: Rig): boolean => {
    const side = firmnessAt(rig.platform!, HOME)!.side;
    return poses.every((pose) => whatStops(rig, pose) === null && firmnessAt(rig.platform!, pose)!.side === side);
  };
  let [reached, missed] = [0, 0];
  for (const design of randomDesigns(60, 17)) {
    evaluation.figures(design, out);
    if (out[AT.stands] !== 1) continue;
    const isReached = goes(candidateRig(ask, design)!);
    expect(out[AT.stream_short]! <= 0).toBe(isReached);
    if (isReached) reached++;
    else missed++;
  }
  expect(reached).toBeGreaterThan(4);
  expect(missed).toBeGreaterThan(5);
});

/** The lowest natural frequency at home and where each wanted travel ends, against the library's own at those poses. */
import { expect, it } from 'vitest';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { withMargins } from '../../../host/design/evaluate/margins.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { poseAt } from '../../../host/physics/kinematics/travel.ts';
import { modesAt } from '../../../host/physics/vibration/modes.ts';
import { unitAlong } from '../../../host/reach/axes.ts';
import { HOME, type Pose, type Rig } from '../../../host/rig/rig.ts';
import { WANTED, askOf, demoOwl, randomDesigns } from './candidates.ts';

/** Of the modes in which a leg or an axis in space moves; below 0: it is not held. */
function lowestAt(rig: Rig, pose: Pose): number {
  const q = [...inverse(rig.platform!, pose)!, ...rig.joints.slice(6).map(({ home }) => home)];
  const placed = (i: number): boolean => i < 6 || rig.joints[i]!.axis !== null;
  const modes = modesAt(rig, q, pose)!.modes.filter(({ shape }) =>
    shape.some((by, i) => placed(i) && Math.abs(by) > 1e-3),
  );
  return Math.min(...modes.map(({ hz }) => hz ?? -1));
}

it('is the lowest of all of them that are reached, weights and voltage with their margins', () => {
  const ask = askOf(demoOwl(), { margins: { weight: 1.1, voltage: 0.9 } });
  const evaluation = new Evaluation(prepare(ask));
  const out = new Float64Array(FIGURES);
  let [compared, lower, unstable] = [0, 0, 0];
  for (const design of randomDesigns(60, 61)) {
    evaluation.figures(design, out);
    if (out[AT.stands] !== 1) continue;
    const rig = candidateRig(withMargins(ask), design)!;
    const ends = [...WANTED.keys()]
      .filter((k) => WANTED[k]! > 0 && out[AT.travel + k]! >= WANTED[k]!)
      .map((k) => poseAt(HOME, unitAlong((k >> 1) as 0, k & 1 ? 1 : -1), WANTED[k]!));
    const [home, ...others] = [HOME, ...ends].map((pose) => lowestAt(rig, pose));
    const lowest = Math.min(home!, ...others);
    expect(out[AT.unstable]).toBe(lowest < 0 ? 1 : 0);
    if (lowest < 0) unstable++;
    else expect(out[AT.lowest_hz]).toBeCloseTo(lowest, 3);
    if (lowest < home! - 0.01) lower++;
    compared++;
  }
  expect(compared).toBeGreaterThan(40);
  expect(lower).toBeGreaterThan(20);
  expect(unstable).toBeLessThan(compared / 2);
});

/**
 * Everywhere that a candidate is looked at, against the library's own: room between bodies where travels end and in the corners, and
 * what an axis holds at its soft limits.
 */
import { expect, it } from 'vitest';
import { type Design, designOf } from '../../../host/design/design.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { Demand } from '../../../host/load/demand.ts';
import { postureOf } from '../../../host/load/places.ts';
import { roomAt } from '../../../host/physics/kinematics/bodies.ts';
import { firmnessAt } from '../../../host/physics/kinematics/firmness.ts';
import { inverse, whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { poseAt } from '../../../host/physics/kinematics/travel.ts';
import { unitAlong } from '../../../host/reach/axes.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';
import { HOME, type Pose, type Rig } from '../../../host/rig/rig.ts';
import { WANTED, askOf, demoOwl, randomDesigns } from './candidates.ts';

const owl = demoOwl();
const SHARE = 0.5;

/** Every choice of one end of each wanted travel, half of the way. */
const CORNERS = [2, 3, 4, 5].reduce<Pose[]>(
  (all, axis) =>
    all.flatMap((pose) =>
      [-1, 1].map((sign) => pose.map((by, k) => (k === axis ? sign * SHARE * WANTED[2 * k]! : by)) as unknown as Pose),
    ),
  [HOME],
);

it('the least room is that of home, of where the wanted travels end, short of what is wanted or not, and of the corners', () => {
  const clearance = usualClearance({ servo_body_mm: [20, 24, 38], axes_above_base_mm: 30 });
  const ask = askOf(owl, { clearance });
  const evaluation = new Evaluation(prepare(ask));
  const out = new Float64Array(FIGURES);
  let [compared, elsewhere] = [0, 0];
  for (const design of randomDesigns(80, 71)) {
    evaluation.figures(design, out);
    if (out[AT.stands] !== 1) continue;
    const { platform, ...rig } = candidateRig(ask, design)!;
    const side = firmnessAt(platform!, HOME)!.side;
    const stands = (pose: Pose): boolean =>
      whatStops({ ...rig, platform }, pose) === null && firmnessAt(platform!, pose)!.side === side;
    const room = (pose: Pose): number => roomAt(platform!, clearance, inverse(platform!, pose)!, pose).mm;
    // A travel short of what is wanted ends where a leg stops it: there a pose is within reach but for rounding.
    const end = (k: number): number => Math.min(WANTED[k]!, out[AT.travel + k]! * (1 - 1e-9));
    const ends = [...WANTED.keys()]
      .filter((k) => WANTED[k]! > 0)
      .map((k) => poseAt(HOME, unitAlong((k >> 1) as 0, k & 1 ? 1 : -1), end(k)));
    const least = Math.min(...[HOME, ...ends, ...CORNERS].filter(stands).map(room));
    expect(out[AT.clearance]).toBeCloseTo(least, 6);
    if (least < Math.min(...[HOME, ...ends].map(room)) - 0.1) elsewhere++;
    compared++;
  }
  expect(compared).toBeGreaterThan(30);
  expect(elsewhere).toBeGreaterThan(3);
});

/** Share of stall torque of joint i at the hardest of these places. */
function hardest(
  rig: Rig,
  i: number,
  places: readonly { readonly q: readonly number[]; readonly pose: Pose }[],
): number {
  const demand = new Demand(rig);
  return Math.max(...places.map((place) => (demand.hold(place) ? demand.share(i) : NaN)));
}

it('an axis that carries the platform is looked at with it tilted to both soft limits', () => {
  const ask = askOf(owl);
  const nod = owl.joints.findIndex(({ name }) => name === 'nod');
  const given: Design = { ...designOf(owl), home_z_mm: null };
  const prepared = prepare(ask);
  const out = new Float64Array(FIGURES);
  new Evaluation(prepared).figures(given, out);
  const rig = candidateRig(ask, given)!;
  const still = [HOME, ...CORNERS].flatMap((pose) => postureOf(rig, pose) ?? []);
  const { lo, hi } = rig.joints[nod]!;
  const tilted = [lo, hi].map((at) => ({ ...still[0]!, q: [...still[0]!.q].map((q, i) => (i === nod ? at : q)) }));
  const most = hardest(rig, nod, [...still, ...tilted]);
  expect(most).toBeGreaterThan(1.05 * hardest(rig, nod, still));
  expect(out[AT.axis_hold_use + prepared.axisIndex.indexOf(nod)]).toBeCloseTo(most, 9);
});

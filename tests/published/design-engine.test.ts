/**
 * Designs of the search, as rigs, in MuJoCo (E. Todorov, T. Erez, Y. Tassa, "MuJoCo: A physics engine for model-based control", IROS
 * 2012; npm package mujoco-js): what the search's evaluator says that each leg and the axis must give to hold, at home and at corners
 * of the wanted box, against the engine's own. The two share the rig's figures and nothing else.
 */
import { describe, expect, it } from 'vitest';
import type { Design } from '../../host/design/design.ts';
import { candidateRig } from '../../host/design/evaluate/candidate-rig.ts';
import { Candidate, STANDS } from '../../host/design/evaluate/candidate.ts';
import { Evaluation } from '../../host/design/evaluate/evaluate.ts';
import { type Prepared, prepare } from '../../host/design/evaluate/prepare.ts';
import { AT, FIGURES } from '../../host/design/figures.ts';
import { type Pose, type Rig, toRad } from '../../host/rig/rig.ts';
import { inverse, whatStops } from '../../host/physics/kinematics/inverse.ts';
import { askOf } from '../host/design/candidates.ts';
import { OWL, rigOf } from '../host/why/rigs.ts';
import { Engine } from './engine/engine.ts';

/** Beside the largest effort of its kind. The shell of the demo's head is made solid: the engine's shell is approximate (its documentation). */
const CLOSE = 1e-5;
const owl = rigOf(OWL.replaceAll('ellipsoid_shell', 'ellipsoid'));
const rig = (weighs: boolean): Rig => ({
  ...owl,
  platform: { ...owl.platform!, rod_kg: weighs ? 0.03 : null, crank_kg: weighs ? 0.02 : null },
});

const design = (changes: Partial<Design>): Design => ({
  ...{ base_radius_mm: 74, base_half_rad: toRad(17), plate_radius_mm: 58, plate_half_rad: toRad(43) },
  ...{ crank_mm: 26, rod_mm: 125, stroke_mm: null, home_z_mm: null, facing: 'outward', servo: -1, limits: null },
  axes: [],
  ...changes,
});
const COUNTERWEIGHT: Design['axes'] = [
  { joint: 'nod', gear_ratio: 2.5, counterweight: { kg: 0.6, at_mm: 140 }, servo: -1 },
];

/** The stations at which a design is looked at that it reaches; efforts of legs and axes as the evaluator has them. */
function* heldBy(prepared: Prepared, of: Design, made: Rig) {
  const { instants, poses, carried } = prepared.stations;
  const candidate = new Candidate(prepared);
  if (candidate.take(of) !== STANDS) throw new Error('it does not stand');
  const { moment, legs, rods, bars, crew, height } = candidate;
  for (let n = 0; n < carried; n += 2) {
    const pose = [0, 1, 2, 3, 4, 5].map((k) => poses[6 * n + k]! * (k < 3 ? 1000 : 1)) as unknown as Pose;
    if (whatStops(made, pose)) continue;
    moment.place(instants, n, legs);
    if (!moment.work(instants, n, height, legs, rods, bars, crew, false)) continue;
    yield { pose, legs: Array.from(moment.leg), axes: Array.from(moment.axis) };
  }
}

const largest = (values: readonly number[]): number => Math.max(...values.map(Math.abs));

describe.each([
  ['other plates, cranks and rods', design({}), rig(false)],
  ['cranks inward, rods and cranks that weigh', design({ facing: 'inward', base_half_rad: toRad(28) }), rig(true)],
  ['a counterweight and another gear on the axis', design({ axes: COUNTERWEIGHT }), rig(false)],
] as const)('%s', (_, of, base) => {
  const usual = askOf(base, { freeAxes: ['nod'], counterweights: ['nod'] });
  const ask = { ...usual, must: { ...usual.must, together: 0.25 } };
  const prepared = prepare(ask);
  const made = candidateRig(ask, of)!;
  const engine = new Engine(made);
  const carriers = prepared.axisIndex.map((i) => made.joints[i]!);

  it('holds with the efforts that the engine says', () => {
    let [places, most] = [0, 0];
    for (const { pose, legs, axes } of heldBy(prepared, of, made)) {
      const coordinates = new Map([
        ...Array.from(inverse(made.platform!, pose)!, (at, i) => [`leg${String(i + 1)}`, at] as const),
        ...carriers.map(({ name, home }) => [name, home] as const),
      ]);
      const u = engine.names.map((name) => coordinates.get(name)!);
      const theirs = engine.hold(u);
      const stood = engine.at(u)!;
      stood.forEach((value, k) => {
        expect(Math.abs(value - pose[k]!)).toBeLessThan(1e-9);
      });
      const of6 = theirs.filter((_value, k) => engine.names[k]!.startsWith('leg'));
      const others = carriers.map(({ name }) => theirs[engine.names.indexOf(name)]!);
      expect(of6).toHaveLength(6);
      expect(largest(legs.map((effort, i) => effort - of6[i]!)) / largest(of6)).toBeLessThan(CLOSE);
      expect(largest(axes.map((effort, k) => effort - others[k]!)) / largest(others)).toBeLessThan(CLOSE);
      most = Math.max(most, largest(of6));
      places++;
    }
    expect(places).toBeGreaterThan(8);
    // The figure that the search bounds is the largest of all its stations, these among them.
    const figures = new Float64Array(FIGURES);
    new Evaluation(prepared).figures(of, figures);
    expect(figures[AT.hold]).toBeGreaterThan(most * (1 - CLOSE));
  });
});

/** Published facts of symmetric platforms, of what the search's evaluator says. */
import { describe, expect, it } from 'vitest';
import type { Design } from '../../../host/design/design.ts';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { AT, FIGURES, stopOf } from '../../../host/design/figures.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { LIFT, rigFrom } from '../load/rigs.ts';
import { askOf, draws } from './candidates.ts';

/** Actuators with room for nearly half a turn. */
const rig = rigFrom(
  LIFT,
  ['stroke_mm: [130, 200]', 'stroke_mm: [60, 600]'],
  ['limit_mm: [150, 170]', 'limit_mm: [61, 599]'],
  ['us_per_mm: 14', 'us_per_mm: 1'],
);
const ask = askOf(rig);
const evaluation = new Evaluation(prepare(ask));

function figuresOf(changes: Partial<Design>): Float64Array {
  const out = new Float64Array(FIGURES);
  evaluation.figures(
    {
      ...{ base_radius_mm: 90, base_half_rad: toRad(14), plate_radius_mm: 60, plate_half_rad: toRad(46) },
      ...{ crank_mm: 0, rod_mm: 0, stroke_mm: [60, 600], home_z_mm: 200, facing: 'outward', servo: -1 },
      ...{ limits: null, axes: [], ...changes },
    },
    out,
  );
  return out;
}

const next = draws(91);
const within = (from: number, to: number): number => from + (to - from) * next();

describe('actuators between two symmetric plates', () => {
  /**
   * E. F. Fichter, A Stewart platform-based manipulator: general theory and practical construction, International Journal of Robotics
   * Research 5(2), 1986 (tests/published/values/parallel-kinematics.json, pk-fichter-yaw90; from memory).
   */
  it('yaw by 90 degrees either way and no further: there the plate hangs loose, at every height and of every size (Fichter 1986)', () => {
    for (let n = 0; n < 20; n++) {
      const out = figuresOf({
        base_radius_mm: within(80, 120),
        plate_radius_mm: within(40, 75),
        base_half_rad: toRad(within(5, 20)),
        plate_half_rad: toRad(within(35, 55)),
        home_z_mm: within(150, 300),
      });
      for (const k of [10, 11]) {
        expect(stopOf(out, k)?.cause).toBe('loose');
        expect(out[AT.travel + k]).toBeCloseTo(Math.PI / 2, 6);
      }
    }
  });

  /** O. Ma, J. Angeles, Architecture singularities of platform manipulators, IEEE ICRA 1991 (pk-architecture-singularity; from memory). */
  it('similar plates hold nothing, whatever their size and height: never one that may be built (Ma & Angeles 1991)', () => {
    for (let n = 0; n < 40; n++) {
      const half = toRad(within(5, 55));
      const out = figuresOf({
        base_radius_mm: within(80, 120),
        plate_radius_mm: within(40, 75),
        base_half_rad: half,
        plate_half_rad: half,
        home_z_mm: within(150, 300),
      });
      const fails = out[AT.stands] !== 1 || out[AT.unstable] === 1 || out[AT.hold_use]! > 1 || out[AT.lowest_hz]! < 0.1;
      expect(fails).toBe(true);
    }
  });
});

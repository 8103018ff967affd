/** Soft limits that are drawn in: what `load` says of a rig with them, and of one with the next wider. */
import { describe, expect, it } from 'vitest';
import { type Design, designOf } from '../../../host/design/design.ts';
import { candidateRig } from '../../../host/design/evaluate/candidate-rig.ts';
import { heavierRig } from '../../../host/design/evaluate/margins.ts';
import { bindsOf } from '../../../host/design/binds.ts';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { written } from '../../../host/design/written.ts';
import { limitsThatHold } from '../../../host/design/soft-limits.ts';
import { load } from '../../../host/load/load.ts';
import { HOME, type Rig, toDeg, toRad } from '../../../host/rig/rig.ts';
import { LIFT, rigFrom } from '../load/rigs.ts';
import { askOf, demoOwl } from './candidates.ts';
import type { Want } from '../../../host/design/want/want.ts';
import { NECK as LOW, wantOf } from './want/wants.ts';

/** In a room that these designs have height for. */
const NECK = LOW.replace('height_mm: 130', 'height_mm: 190');

const LEGS = [0, 1, 2, 3, 4, 5];
/** All legs stand alike at home. */
const homeOf = ({ joints }: Rig): number => joints[0]!.home;

/** The largest share of its servo that a leg holds within these limits, as `load` finds it. */
function hardest(rig: Rig, [lo, hi]: readonly [number, number]): number {
  const joints = rig.joints.map((joint) => (joint.kind === 'leg' ? { ...joint, lo, hi } : joint));
  const answer = load({ ...rig, joints }, { pose: HOME, without: [], stream: null });
  if ('refused' in answer) throw new Error(answer.refused);
  return Math.max(...answer.joints.flatMap(({ leg, worst }) => (leg ? [worst.loose ? Infinity : worst.use!] : [])));
}

/** Legs that run nearly side by side: they turn far, and hold little against swaying. */
const sideways: Design = {
  ...designOf(demoOwl()),
  ...{ base_radius_mm: 68.3, base_half_rad: toRad(18.4), plate_radius_mm: 60, plate_half_rad: toRad(23.6) },
  ...{
    crank_mm: 28,
    rod_mm: 140,
    home_z_mm: null,
    axes: [],
  },
};

it.each([
  ['cranks', heavierRig(candidateRig(askOf(demoOwl()), sideways)!, { weight: 1.1, voltage: 0.9 }), toRad(1)],
  ['actuators', rigFrom(LIFT, ['limit_mm: [150, 170]', 'limit_mm: [140, 185]']), 0.5],
])('%s: the widest limits within which all legs hold', (_, rig, step) => {
  const { lo, hi } = rig.joints[0]!;
  expect(hardest(rig, [lo, hi])).toBeGreaterThan(1);
  const [low, high] = limitsThatHold({
    rig,
    limits: [lo, hi],
    needed: [homeOf(rig), homeOf(rig)],
    legs: LEGS,
  })!;
  expect(low - lo).toBeCloseTo(hi - high, 9);
  expect((low - lo) / step).toBeCloseTo(Math.round((low - lo) / step), 6);
  expect(hardest(rig, [low, high])).toBeLessThanOrEqual(1);
  expect(hardest(rig, [low - step, high + step])).toBeGreaterThan(0.99);
});

describe('a design whose legs cannot hold everywhere', () => {
  const neck = (y_mm: number): Want =>
    wantOf(
      NECK.replace(/must:\n[^]*?room:/, `must: { y_mm: ${String(y_mm)}, together: 0.3 }\nroom:`).replace(
        /axes:\n.*\n/,
        '',
      ),
    );

  it('is written with its soft limits drawn in', () => {
    const own = written(neck(30), sideways, {});
    if ('refused' in own) throw new Error(own.refused);
    const [low, high] = own.design.limits!.map(toDeg) as [number, number];
    expect(high).toBeLessThan(60);
    expect(low).toBeCloseTo(-high, 9);
    expect(own.judged.text).toContain(`limit_deg: [${low.toFixed(0)}, ${high.toFixed(0)}]`);
    expect(own.judged.rig.joints[0]!.hi).toBeCloseTo(toRad(high), 9);
  });

  it('is refused where what was asked lies beyond them', () => {
    // At the end of this travel a leg holds with more than half its torque.
    const want = neck(64);
    expect(written(want, sideways, {})).toEqual({ refused: 'load: holding takes more than 50 %' });
    expect(written({ ...want, firm: { ...want.firm, hold_use: 1 } }, sideways, {})).toEqual({
      refused: 'load: its legs hold everywhere only within soft limits too narrow for what was asked',
    });
  });
});

it.each([
  ['as given', ''],
  ['of a list', 'limit_deg: [40, 60], '],
])('soft limits %s are named where they were drawn in, and not where they were found so', (_, limits) => {
  const subject = subjectOf(describeProblem(wantOf(NECK.replace('stock: { ', `stock: { ${limits}`))));
  const x = new Float64Array(subject.problem.dims).fill(0.5);
  const { design, figures } = subject.look(x);
  const drawnIn = { ...design, limits: [toRad(-38), toRad(38)] as const };
  const words = 'platform.limit_deg: -38 … 38 deg, drawn in: with wider limits a leg could not hold everywhere';
  expect(bindsOf(subject, x, { design, figures }).join('; ')).not.toContain('drawn in');
  expect(bindsOf(subject, x, { design: drawnIn, figures })).toContain(words);
});

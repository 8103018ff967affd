import { describe, expect, test } from 'vitest';
import { inverse, whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { HOME, type Pose, type Rig, toRad } from '../../../host/rig/rig.ts';
import { AXES, fromShown } from '../../../host/reach/axes.ts';
import { boxShare, wilson } from '../../../host/reach/box.ts';
import { dimensionsOf, roundStep } from '../../../host/reach/dimensions.ts';
import { planeAbout } from '../../../host/reach/plane.ts';
import { type ReachOptions, reach } from '../../../host/reach/reach.ts';
import type { ReachAnswer } from '../../../host/reach/result.ts';
import { sensitivity } from '../../../host/reach/sensitivity.ts';
import { axisSentences, costSentences, strongest } from '../../../host/reach/strongest.ts';
import values from '../../published/values/parallel-kinematics.json' with { type: 'json' };
import { crankPlatform, linearPlatform, pointsPlatform, rigOf } from '../physics/platforms.ts';
import { LINEAR, OWL, rigOf as rigFrom, swap } from '../rig/owl.ts';

const PLAIN: ReachOptions = { at: HOME, planes: [], box: null, samples: 1000, seed: 1, sensitivity: false };
const from = (rig: Rig, at: Pose = HOME): ReachAnswer => reach(rig, { ...PLAIN, at });
const owl = rigFrom(OWL);

/** Every number in a document. */
function numbers(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(numbers) : [];
}

describe('travel', () => {
  test('is the same both ways where the platform is symmetric, and its stops name legs', () => {
    const { axes, ok, home_z_mm } = from(owl);
    expect(ok).toBe(true);
    expect(home_z_mm).toBe(owl.platform!.home_z_mm);
    for (const name of ['y', 'roll', 'yaw']) {
      const { minus, plus } = axes.find(({ axis }) => axis === name)!;
      expect(minus).toBeCloseTo(-plus, 4);
    }
    for (const { minus_stop, plus_stop } of axes)
      for (const stop of [minus_stop, plus_stop]) expect(stop?.joint).toMatch(/^leg[1-6]$/);
  });

  test('at a pose is counted from there', () => {
    const home = from(owl).axes;
    const moved = from(owl, [5, 0, 0, 0, 0, 0]);
    expect(moved.at['x_mm']).toBe(5);
    expect(moved.axes[0]!.plus).toBeCloseTo(home[0]!.plus - 5, 5);
    expect(moved.axes[0]!.minus).toBeCloseTo(home[0]!.minus - 5, 5);
  });

  test('of a rig upside down mirrors that of one that stands', () => {
    const standing = from(rigOf(crankPlatform(), -1, 1)).axes;
    const mount = { at_mm: [0, 0, 0], rpy_rad: [Math.PI, 0, 0] } as const;
    const hanging = from(rigOf(crankPlatform({ mount }), -1, 1)).axes;
    const z = ([, , it]: typeof standing): readonly number[] => [it!.minus, it!.plus];
    expect(z(hanging)[0]).toBeCloseTo(-z(standing)[1]!, 4);
    expect(z(hanging)[1]).toBeCloseTo(-z(standing)[0]!, 4);
  });
});

describe('singular poses', () => {
  const { inputs } = values['pk-fichter-yaw90'];
  const fichter = rigOf(pointsPlatform(inputs.base, inputs.platform), 0, 1e6);
  const upright: Pose = [0, 0, inputs.z, 0, 0, 0];

  test('are found on the way: yaw by 90 degrees (Fichter 1986)', () => {
    const answer = from(fichter, upright);
    const yaw = answer.axes[5]!;
    expect(yaw.plus_firmness.loose_at).toBeCloseTo(90, 6);
    expect(yaw.minus_firmness.loose_at).toBeCloseTo(-90, 6);
    expect(answer.ok).toBe(false);
    expect(answer.warnings.filter((words) => words.startsWith('yaw'))).toEqual([
      expect.stringMatching(/hang loose at -90.00 deg/),
      expect.stringMatching(/hang loose at 90.00 deg/),
    ]);
  });

  test('are found on the way: tilted about a side into the far corner’s legs (Hunt 1978)', () => {
    const { derived } = values['pk-hunt-singularity'];
    const corner = (side: number, deg: number): number[] => [
      (side / Math.sqrt(3)) * Math.cos(toRad(deg)),
      (side / Math.sqrt(3)) * Math.sin(toRad(deg)),
      0,
    ];
    // Turned so that the side opposite a corner lies along x: its middle is the pivot, and roll tilts about it.
    const base = [0, 120, 120, 240, 240, 360].map((deg) => corner(2, deg + 30));
    const moving = [60, 60, 180, 180, 300, 300].map((deg) => corner(1, deg + 30));
    const platform = pointsPlatform(base, moving, [0, -1 / (2 * Math.sqrt(3)), 0]);
    const roll = from(rigOf(platform, 0, 1e6), [0, 0, 1, 0, 0, 0]).axes[3]!;
    expect(fromShown(3, roll.minus_firmness.loose_at!)).toBeCloseTo(derived.tilt_rad[0]!, 6);
    expect(fromShown(3, roll.plus_firmness.loose_at!)).toBeCloseTo(derived.tilt_rad[1]!, 6);
  });

  test.each([
    ['where it begins', from(fichter, [0, 0, inputs.z, 0, 0, Math.PI / 2])],
    [
      'everywhere',
      from(rigFrom(swap(LINEAR, ['half_angle_deg: 50', 'half_angle_deg: 10'], ['home_z_mm: 250', 'home_z_mm: 290']))),
    ],
  ])('%s are said in words, with no NaN', (_, answer) => {
    expect(answer.condition).toBeNull();
    expect(answer.ok).toBe(false);
    expect(answer.weakest.length).toBeGreaterThan(0);
    expect(numbers(answer).every(Number.isFinite)).toBe(true);
  });

  test('the plate goes softer towards one, and that is said with its share', () => {
    const near = inverse(fichter.platform!, [0, 0, inputs.z, 0, 0, toRad(80)])!;
    const rig = rigOf(fichter.platform!, 0, Math.max(...near));
    const { axes, warnings } = from(rig, upright);
    const { stiffness, loose_at } = axes[5]!.plus_firmness;
    expect(loose_at).toBeNull();
    expect(stiffness!.share).toBeLessThan(0.25);
    expect(stiffness!.at).toBeCloseTo(axes[5]!.plus, 9);
    expect(warnings.join()).toMatch(/yaw turns left: it becomes less firm/);
  });
});

describe('a box', () => {
  test('holds the share that its free part is: a line', () => {
    const [, plus] = [from(owl).axes[0]!.minus, from(owl).axes[0]!.plus];
    const box = boxShare(owl, HOME, [{ axis: 0, from: 0, to: 2 * plus }], 20_000, 7);
    expect(box.interval[0]).toBeLessThan(0.5);
    expect(box.interval[1]).toBeGreaterThan(0.5);
    expect(box.fits_at).toBeCloseTo(0.5, 5);
    expect(box.stops.reduce((sum, { samples }) => sum + samples, 0)).toBe(Math.round((1 - box.share) * 20_000));
  });

  test('is drawn anew by another seed only', () => {
    const draw = (seed: number) => boxShare(owl, HOME, [{ axis: 5, from: -0.3, to: 0.3 }], 500, seed);
    expect(draw(1)).toEqual(draw(1));
    expect(draw(1).share).not.toBe(draw(2).share);
  });

  test('that does not hold the pose is not shrunk about it', () => {
    expect(boxShare(owl, HOME, [{ axis: 0, from: 5, to: 90 }], 100, 1).fits_at).toBeNull();
  });

  test('Wilson’s interval, in closed form: the shares whose own normal test the count just passes', () => {
    const z = 1.959963984540054;
    for (const [hits, n] of [
      [3, 10],
      [81, 263],
      [9999, 10_000],
    ] as const)
      for (const p of wilson(hits, n)) expect(Math.abs(hits / n - p)).toBeCloseTo(z * Math.sqrt((p * (1 - p)) / n), 10);
    expect(wilson(0, 50)[0]).toBe(0);
    expect(wilson(0, 50)[1]).toBeCloseTo((z * z) / (50 + z * z), 12);
    expect(wilson(50, 50)[1]).toBe(1);
  });
});

describe('a plane', () => {
  test('says at each place what whatStops says, and frames what is in reach', () => {
    const plane = planeAbout(owl, HOME, 0, 5);
    expect(plane.axes).toEqual(['x', 'yaw']);
    const [columns, rows] = [plane.rows[0]!.length, plane.rows.length];
    const at = (span: readonly [number, number], i: number, n: number): number =>
      span[0] + ((span[1] - span[0]) * i) / (n - 1);
    for (let r = 0; r < rows; r += 7)
      for (let c = 0; c < columns; c += 7) {
        const pose: Pose = [at(plane.across, c, columns), 0, 0, 0, 0, toRad(at(plane.up, r, rows))];
        expect(plane.letters[plane.rows[r]![c]!] ?? null).toEqual(whatStops(owl, pose));
      }
    const edge = [plane.rows[0]!, plane.rows.at(-1)!, ...plane.rows.map((row) => row[0]! + row.at(-1)!)].join('');
    expect(edge).not.toContain('.');
    expect(plane.rows.join('').split('.').length / (columns * rows)).toBeGreaterThan(0.25);
  });

  test('its outline lies on the edge, to a hundredth of a mm and of a degree', () => {
    const { outlines } = planeAbout(owl, HOME, 4, 2);
    expect(outlines).toHaveLength(1);
    const isFree = (pitch_deg: number, z: number): boolean =>
      whatStops(owl, [0, 0, z, 0, toRad(pitch_deg), 0]) === null;
    for (const [pitch, z] of outlines[0]!) {
      const around = [-0.01, 0, 0.01].flatMap((a) => [-0.01, 0, 0.01].map((b) => isFree(pitch + a, z + b)));
      expect(new Set(around).size).toBe(2);
    }
  });

  test('a turn that nothing stops is shown whole', () => {
    const rig = rigOf(linearPlatform({ stroke_mm: [1, 10_000] }), 0, 20_000);
    const plane = planeAbout(rig, HOME, 5, 3);
    expect([plane.across, plane.up].flat().map(Math.round)).toEqual([-180, 180, -180, 180]);
  });
});

describe('sensitivity', () => {
  const changes = sensitivity(owl, HOME);

  test('is what reading the changed file gives', () => {
    const edits: readonly (readonly [string, number, string, string])[] = [
      ['platform.crank_mm', 24, 'crank_mm: 22', 'crank_mm: 24'],
      ['platform.rod_mm', 130, 'rod_mm: 120', 'rod_mm: 130'],
      ['platform.base.radius_mm', 75, 'radius_mm: 70', 'radius_mm: 75'],
      ['platform.base.half_angle_deg', 12, 'half_angle_deg: 14', 'half_angle_deg: 12'],
      ['platform.moving.radius_mm', 60, 'radius_mm: 55', 'radius_mm: 60'],
      ['platform.moving.half_angle_deg', 48, 'half_angle_deg: 46', 'half_angle_deg: 48'],
      ['platform.rod_end_deg', 30, 'rod_end_deg: 28', 'rod_end_deg: 30'],
      ['platform.pivot_mm.z', 45, 'pivot_mm: [0, 0, 40]', 'pivot_mm: [0, 0, 45]'],
      ['platform.limit_deg', 5, 'limit_deg: [-60, 60]', 'limit_deg: [-65, 65]'],
    ];
    for (const [path, to, was, is] of edits) {
      const change = changes.find((it) => it.path === path && it.to === to);
      const read = from(rigFrom(swap(OWL, [was, is])));
      expect(change?.home_z_mm, path).toBeCloseTo(read.home_z_mm, 9);
      change!.axes!.forEach(({ minus, plus }, i) => {
        expect(minus, path).toBeCloseTo(read.axes[i]!.minus, 5);
        expect(plus, path).toBeCloseTo(read.axes[i]!.plus, 5);
      });
    }
  });

  test('changes every dimension both ways, by round steps', () => {
    const paths = dimensionsOf(owl).map(({ path }) => path);
    expect(new Set(paths).size).toBe(paths.length);
    for (const path of paths) expect(changes.filter((change) => change.path === path)).toHaveLength(2);
    expect([22, 120, 70, 16, 300].map(roundStep)).toEqual([2, 10, 5, 1, 20]);
  });

  test('an actuator platform has its stroke instead of crank and rod', () => {
    const rig = rigFrom(LINEAR);
    const paths = dimensionsOf(rig).map(({ path }) => path);
    expect(paths).toContain('platform.stroke_mm');
    expect(paths).not.toContain('platform.crank_mm');
    expect(numbers(sensitivity(rig, [0, 0, 45, 0, 0, 0])).every(Number.isFinite)).toBe(true);
  });

  test('what the file would not allow is said: limits beyond the pulses, a rest out of reach', () => {
    const tight = rigFrom(swap(OWL, ['limit_deg: [-60, 60]', 'limit_deg: [-88, 88]']));
    const wider = sensitivity(tight, HOME).find(({ path, to }) => path === 'platform.limit_deg' && to > 0);
    expect(wider?.but).toMatch(/needs a servo that takes pulses beyond 600 to 2400 µs/);
    const low = rigFrom(
      swap(OWL, ['rest: { z_mm: -8 }', 'rest: { z_mm: -40 }'], ['rod_end_deg: 28', 'rod_end_deg: 40']),
    );
    expect(sensitivity(low, HOME).some(({ but }) => but?.startsWith('then its rest is out of reach'))).toBe(true);
  });

  test('plates given by points are changed as symmetric ones when they lie so, and scaled otherwise', () => {
    const skew = crankPlatform().legs.map((leg, i) => (i === 0 ? { ...leg, base_mm: [71, -17, 1] as const } : leg));
    const paths = dimensionsOf(rigOf(crankPlatform({ legs: skew }), -1, 1)).map(({ path }) => path);
    expect(paths).toContain('platform.base.points_mm');
    expect(paths).toContain('platform.moving.radius_mm');
  });

  test('names for each way the dimension that gives most, and what it costs', () => {
    const answer = reach(owl, { ...PLAIN, sensitivity: true });
    const yaw = answer.axes[5]!;
    const best = strongest(yaw, 'plus', answer.changes!)[0]!;
    const all = answer.changes!.filter(({ but }) => but === null).map(({ axes }) => axes?.[5]?.plus ?? 0);
    expect(best.to).toBe(Math.max(...all));
    expect(axisSentences(yaw, answer.changes!)).toEqual([
      expect.stringMatching(/^yaw either way stops at [\d.]+ deg, at leg/),
    ]);
    const words = axisSentences(yaw, answer.changes!).join();
    expect(words).toMatch(/radius of the base [\d.]+ → [\d.]+ mm gives/);
    expect(costSentences(answer).join('\n')).toMatch(/crank 22 → 24 mm: .*about 9 % more torque/);
  });
});

test('figures that say how far they may be off are told with what they move', () => {
  const { unsure } = from(rigFrom(swap(OWL, ['rod_mm: 120', 'rod_mm: { value: 120, within_percent: 1 }'])));
  expect(unsure).toEqual([expect.objectContaining({ path: 'platform.rod_mm', within_percent: 1 })]);
  expect(unsure[0]!.by).toBeGreaterThan(0.1);
  expect(AXES.length).toBe(6);
});

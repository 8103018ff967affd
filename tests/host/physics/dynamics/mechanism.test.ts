/**
 * The mechanism against energy: what it says of efforts must be what the heights and speeds of every gram ask for, found here
 * by differences of places in space (frames.ts and legs.ts, which know no dynamics).
 */
import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { ForwardSolver, type MutablePose } from '../../../../host/physics/kinematics/forward.ts';
import { endOf, geometryOf, startOf } from '../../../../host/physics/kinematics/geometry.ts';
import { inverse } from '../../../../host/physics/kinematics/inverse.ts';
import { G_M_S2, Mechanism } from '../../../../host/physics/dynamics/mechanism.ts';
import { framesOf, inWorld } from '../../../../host/report/draw/frames.ts';
import { HOME, type Joint, type Part, type Pose, type Rig, type Vec3, toRad } from '../../../../host/rig/rig.ts';
import { add, rpyMatrix, scale } from '../../../../host/rig/rotation.ts';
import { crankPlatform, linearPlatform, rigOf } from '../platforms.ts';

const SEED = 11;
const MM = 1e-3;

const point = (name: string, on: string, mass_kg: number, at_mm: Vec3): Part => ({
  name,
  on,
  mass_kg,
  at_mm,
  shape: null,
  inertia_kgmm2: [0, 0, 0],
  fitted: true,
});

/** A box as eight points that weigh and turn the same: at ±size/√12 of its centre. */
const asPoints = (name: string, on: string, mass_kg: number, at: Vec3, size: Vec3): Part[] =>
  [0, 1, 2, 3, 4, 5, 6, 7].map((k) => {
    const side = (axis: 0 | 1 | 2): number => at[axis] + (((k >> axis) & 1 ? 1 : -1) * size[axis]) / Math.sqrt(12);
    return point(`${name}${k}`, on, mass_kg / 8, [side(0), side(1), side(2)]);
  });

const box = (name: string, on: string, mass_kg: number, at: Vec3, size_mm: Vec3): Part => ({
  ...point(name, on, mass_kg, at),
  shape: { kind: 'box', size_mm },
  inertia_kgmm2: null,
});

const axisJoint = (joint: Joint, name: string, on: string | null, at_mm: Vec3, along: Vec3, gear = 1): Joint => {
  const length = Math.hypot(...along);
  return {
    ...joint,
    name,
    kind: 'axis',
    unit: 'deg',
    gear_ratio: gear,
    gear_efficiency: gear === 1 ? 1 : 0.9,
    axis: { on, at_mm, along: scale(along, 1 / length) },
  };
};

const BOXES = [
  ['shell', 'moving', 0.6, [5, -3, 38], [80, 60, 100]],
  ['beak', 'moving', 0.1, [12, 4, 70], [10, 20, 40]],
  ['plate', 'base', 0.4, [0, 8, -5], [140, 120, 30]],
  ['frame', 'nod', 0.9, [60, 10, 40], [80, 110, 90]],
  ['post', 'turn', 0.5, [10, 0, -100], [40, 40, 200]],
  ['lid', 'flap', 0.05, [20, 5, 60], [30, 40, 10]],
] as const;

/** A platform that looks forward on a nod on a turntable, and a flap on the moving plate; rotors behind gears. */
function owl(drive: 'crank' | 'linear', parts: readonly Part[]): Rig {
  const placed = {
    on: 'nod',
    mount: { at_mm: [30, 5, 55], rpy_rad: [0.1, 1.4, -0.2] },
    pivot_mm: [3, -2, 40],
  } as const;
  const platform =
    drive === 'crank'
      ? crankPlatform({ ...placed, crank_kg: 0.012, rod_kg: 0.02 })
      : linearPlatform({ ...placed, stroke_mm: [100, 260] });
  const rig = rigOf(platform, -1, 1);
  const [leg] = rig.joints;
  const servo = { ...leg!.servo, rotor_inertia_kgm2: 2e-4 };
  const legs = rig.joints.map((joint) => ({ ...joint, servo: drive === 'crank' ? servo : joint.servo }));
  const base = { ...leg!, servo };
  const joints = [
    ...legs,
    axisJoint(base, 'flap', 'moving', [20, 0, 50], [0.3, 1, 0]),
    axisJoint(base, 'nod', 'turn', [0, 0, 20], [0, -1, 0.1], 3),
    axisJoint(base, 'turn', null, [-10, 0, 0], [0.1, 0.2, 1], 2),
    {
      ...base,
      name: 'lid',
      kind: 'axis',
      unit: 'deg',
      at_mm: [8, -4, 55],
      load: { mass_kg: 0.02, arm_mm: 30, arm_level_at_rad: 0.4, inertia_kgm2: 4e-5 },
    } as Joint,
  ];
  return { ...rig, joints, parts };
}

const boxesOf = (): Part[] => BOXES.map(([name, on, kg, at, size]) => box(name, on, kg, at, size));
const pointsOf = (): Part[] => BOXES.flatMap(([name, on, kg, at, size]) => asPoints(name, on, kg, at, size));

/** The place of a rig as one vector, and the pose that belongs to it. */
interface Place {
  readonly q: readonly number[];
  readonly pose: Pose;
}

const within = (size: number): fc.Arbitrary<number> => fc.double({ min: -size, max: size, noNaN: true });
const places = fc.record({
  pose: fc.tuple(within(5), within(5), within(5), within(0.12), within(0.12), within(0.12)),
  rest: fc.tuple(within(0.6), within(0.5), within(1.5), within(1)),
});
const rates = (legs: number): fc.Arbitrary<number[]> =>
  fc.tuple(...Array.from({ length: 10 }, (_, i) => within(i < 6 ? legs : 2))).map((v) => [...v]);

/** The pose that belongs to coordinates near a known place. */
function poseAt(rig: Rig, q: readonly number[], near: Pose): Pose {
  const pose: MutablePose = [...near];
  if (!new ForwardSolver(rig.platform!).solve(q, near, pose)) throw new Error('no pose');
  return pose;
}

function placeOf(rig: Rig, { pose, rest }: { pose: Pose; rest: readonly number[] }): Place | null {
  const legs = inverse(rig.platform!, pose);
  if (!legs || (rig.platform!.drive === 'crank' && legs.some((angle) => Math.abs(angle) > toRad(55)))) return null;
  return { q: [...legs, ...rest], pose };
}

/** Every gram of the rig in the world at a place, m; bars as eight points by Gauss and Legendre's two-point rule in four pieces. */
function gramsAt(rig: Rig, { q, pose }: Place): { kg: number; at: Vec3 }[] {
  const frames = framesOf(rig, q, pose);
  const grams = rig.parts.map(({ on, mass_kg, at_mm }) => ({
    kg: mass_kg ?? 0,
    at: scale(inWorld(frames.get(on)!, at_mm), MM),
  }));
  for (const { load, at_mm } of rig.joints)
    if (load && at_mm) grams.push({ kg: load.mass_kg!, at: scale(inWorld(frames.get('moving')!, at_mm), MM) });
  const platform = rig.platform!;
  const carrier = frames.get('nod')!;
  const turn = rpyMatrix([pose[3], pose[4], pose[5]]);
  const origin = platform.mount.at_mm;
  const bar = (kg: number | null, from: Vec3, to: Vec3): void => {
    if (kg === null) return;
    for (const share of [0.5 - 1 / Math.sqrt(12), 0.5 + 1 / Math.sqrt(12)]) {
      const at = add(scale(from, 1 - share), scale(to, share));
      grams.push({ kg: kg / 2, at: scale(inWorld(carrier, add(origin, at)), MM) });
    }
  };
  geometryOf(platform).legs.forEach((leg, i) => {
    if (platform.drive === 'linear') return;
    const tip = startOf(platform, leg, q[i]!);
    bar(platform.crank_kg, leg.base_mm, tip);
    bar(platform.rod_kg, tip, endOf(geometryOf(platform), leg, pose, turn));
  });
  return grams;
}

const unitOf = (rig: Rig, i: number): number => (rig.joints[i]!.unit === 'mm' ? MM : 1);

/** Differences of a function along coordinates, by two central differences of h and 2h: error h⁴. */
function slope(f: (step: number) => number, h: number): number {
  return (8 * (f(h) - f(-h)) - (f(2 * h) - f(-2 * h))) / (12 * h);
}

const moved = (rig: Rig, { q, pose }: Place, by: readonly number[], k: number): Place => {
  const next = q.map((value, i) => value + k * by[i]!);
  return { q: next, pose: poseAt(rig, next, pose) };
};

function expectClose(found: ArrayLike<number>, wanted: readonly number[], within: number, least = 1e-3): void {
  const size = Math.max(...wanted.map(Math.abs), least);
  wanted.forEach((value, i) =>
    expect(Math.abs(found[i]! - value) / size, `joint ${i}: ${found[i]} for ${value}`).toBeLessThan(within),
  );
}

describe.each(['crank', 'linear'] as const)('%s platform on a nod on a turntable', (drive) => {
  const rig = owl(drive, pointsOf());
  const whole = new Mechanism(owl(drive, boxesOf()));
  const mechanism = new Mechanism(rig);
  const legStep = drive === 'crank' ? 1 : 30;

  const each = (check: (place: Place, v: number[], a: number[]) => void, numRuns = 60): void => {
    fc.assert(
      fc.property(places, rates(legStep), rates(8 * legStep), (given, v, a) => {
        const place = placeOf(rig, given);
        fc.pre(place !== null);
        expect(mechanism.at(place.q, place.pose)).toBe(true);
        expect(whole.at(place.q, place.pose)).toBe(true);
        check(place, v, a);
      }),
      { seed: SEED, numRuns },
    );
  };

  test(`holding is the slope of the energy of height, to 1e-6 (seed ${SEED})`, () => {
    each((place) => {
      const found = [...mechanism.gravity];
      const wanted = rig.joints.map((joint, i) => {
        const by = rig.joints.map((_, k) => (k === i ? 1 : 0));
        const height = (k: number): number => {
          const there = moved(rig, place, by, k);
          const parts = gramsAt(rig, there).reduce((sum, { kg, at }) => sum + kg * G_M_S2 * at[2], 0);
          const { load } = joint;
          const own = load
            ? load.mass_kg! * G_M_S2 * load.arm_mm! * MM * Math.sin(there.q[i]! - load.arm_level_at_rad)
            : 0;
          return parts + own;
        };
        return slope(height, joint.unit === 'mm' ? 0.1 : 2e-3) / unitOf(rig, i);
      });
      expectClose(found, wanted, 1e-6);
      expectClose(whole.gravity, wanted, 1e-6);
    });
  });

  test('the energy of motion is that of every gram: boxes as eight points each, bars in space', () => {
    each((place, v) => {
      let wanted = 0;
      const steps = [1, -1, 2, -2].map((k) => gramsAt(rig, moved(rig, place, v, k * 1e-3)));
      steps[0]!.forEach(({ kg, at }, g) => {
        for (let axis = 0; axis < 3; axis++) {
          const [p, m, pp, mm] = [at[axis]!, steps[1]![g]!.at[axis]!, steps[2]![g]!.at[axis]!, steps[3]![g]!.at[axis]!];
          wanted += (kg / 2) * ((8 * (p - m) - (pp - mm)) / 12e-3) ** 2;
        }
      });
      rig.joints.forEach(({ servo, gear_ratio, load }, i) => {
        const rotor = servo.rotor_inertia_kgm2 ?? 0;
        wanted += ((rotor * gear_ratio ** 2 + (load?.inertia_kgm2 ?? 0)) / 2) * v[i]! ** 2;
      });
      expectClose([mechanism.kinetic_j(v), whole.kinetic_j(v)], [wanted, wanted], 1e-6);
    });
  });

  test('power is the rate of all energy: centrifugal terms', () => {
    const there = new Mechanism(owl(drive, boxesOf()));
    each((place, v, a) => {
      const efforts = new Float64Array(10);
      whole.efforts(v, a, efforts);
      const power = efforts.reduce((sum, effort, i) => sum + effort * v[i]! * unitOf(rig, i), 0);
      const energy = (t: number): number => {
        const q = place.q.map((at, i) => at + v[i]! * t + (a[i]! * t * t) / 2);
        there.at(q, poseAt(rig, q, place.pose));
        return there.potential_j() + there.kinetic_j(v.map((rate, i) => rate + a[i]! * t));
      };
      const size = 1e-3 + efforts.reduce((sum, effort, i) => sum + Math.abs(effort * v[i]! * unitOf(rig, i)), 0);
      expect(Math.abs(slope(energy, 1e-3) - power) / size).toBeLessThan(1e-6);
    });
  });

  test('each joint by itself: Lagrange’s equations, from the energies alone', () => {
    const there = new Mechanism(owl(drive, boxesOf()));
    const efforts = new Float64Array(10);
    const axes = rig.joints.map((_, i) => i);
    each((place, v, a) => {
      whole.efforts(v, a, efforts);
      const { gravity } = whole;
      /** ∂T/∂v_i, exact as T is square in v: (T(v + e) - T(v - e))/2. */
      const momentum = (t: number): number[] => {
        const q = place.q.map((at, i) => at + v[i]! * t + (a[i]! * t * t) / 2);
        const rate = v.map((value, i) => value + a[i]! * t);
        there.at(q, poseAt(rig, q, place.pose));
        const off = (i: number, by: number): number => there.kinetic_j(rate.with(i, rate[i]! + by));
        return axes.map((i) => (off(i, 1) - off(i, -1)) / 2);
      };
      const steps = [1, -1, 2, -2].map((k) => momentum(k * 1e-3));
      const wanted = axes.map((i) => {
        const turning = slope(
          (by) => {
            const q = place.q.with(i, place.q[i]! + by);
            there.at(q, poseAt(rig, q, place.pose));
            return there.kinetic_j(v);
          },
          rig.joints[i]!.unit === 'mm' ? 0.1 : 2e-3,
        );
        const change = (8 * (steps[0]![i]! - steps[1]![i]!) - (steps[2]![i]! - steps[3]![i]!)) / 12e-3;
        return (change - turning) / unitOf(rig, i) + gravity[i]!;
      });
      // Differences of energies of some 1 J, over steps of 1e-3.
      expectClose(efforts, wanted, 1e-6, drive === 'crank' ? 0.1 : 10);
    }, 25);
  });

  test('forward dynamics undo inverse dynamics', () => {
    const efforts = new Float64Array(10);
    const back = new Float64Array(10);
    each((_, v, a) => {
      whole.efforts(v, a, efforts);
      expect(whole.accelerations(v, efforts, back)).toBe(true);
      expectClose(back, a, 1e-9, legStep);
    });
  });

  test('the mass matrix is symmetric but for units, and takes efforts from accelerations', () => {
    const rest = new Float64Array(10);
    const moving = new Float64Array(10);
    each((_, v, a) => {
      const M = [...whole.mass];
      for (let i = 0; i < 10; i++)
        for (let j = 0; j < i; j++)
          expect(Math.abs(M[10 * i + j]! / unitOf(rig, j) - M[10 * j + i]! / unitOf(rig, i))).toBeLessThan(
            1e-10 * Math.sqrt(M[11 * i]! * M[11 * j]!) + 1e-10,
          );
      whole.efforts(
        v,
        v.map(() => 0),
        rest,
      );
      whole.efforts(v, a, moving);
      expectClose(
        moving.map((effort, i) => effort - rest[i]!),
        a.map((_, i) => a.reduce((sum, value, j) => sum + M[10 * i + j]! * value, 0)),
        1e-9,
      );
    });
  });
});

describe('by hand', () => {
  const bare = rigOf(crankPlatform(), -1, 1);
  const alone = (joint: Joint, parts: readonly Part[] = []): Rig => ({
    ...bare,
    platform: null,
    joints: [joint],
    parts,
  });
  const tilt = axisJoint(bare.joints[0]!, 'nod', null, [0, 0, 0], [0, -1, 0], 3);

  it('a geared axis: 0.9 kg 50 mm in front of it, rotor 2e-4 kg·m² behind 3:1', () => {
    const rotor = { ...tilt, servo: { ...tilt.servo, rotor_inertia_kgm2: 2e-4 } };
    const mechanism = new Mechanism(alone(rotor, [point('head', 'nod', 0.9, [50, 0, 0])]));
    mechanism.at([0], HOME);
    // Looking level, positive up: m·g·d; m·d² + 9·rotor.
    expect(mechanism.gravity[0]).toBeCloseTo(0.9 * 9.80665 * 0.05, 12);
    expect(mechanism.mass[0]).toBeCloseTo(0.9 * 0.0025 + 9 * 2e-4, 15);
    mechanism.at([toRad(60)], HOME);
    expect(mechanism.gravity[0]).toBeCloseTo(0.9 * 9.80665 * 0.05 * 0.5, 12);
    // Turning steadily about a fixed axis takes no more than holding.
    const out = new Float64Array(1);
    mechanism.efforts([5], [0], out);
    expect(out[0]).toBeCloseTo(mechanism.gravity[0]!, 12);
  });

  it('a load of its own resists + most where its arm is level', () => {
    const load = { mass_kg: 0.02, arm_mm: 20, arm_level_at_rad: toRad(-30), inertia_kgm2: 1.2e-5 };
    const mechanism = new Mechanism(alone({ ...tilt, axis: null, load }));
    mechanism.at([toRad(-30)], HOME);
    expect(mechanism.gravity[0]).toBeCloseTo(0.02 * 9.80665 * 0.02, 15);
    mechanism.at([toRad(60)], HOME);
    expect(mechanism.gravity[0]).toBeCloseTo(0, 15);
    expect(mechanism.mass[0]).toBeCloseTo(1.2e-5, 18);
  });

  it('a level platform with its weight in the middle: each crank the same, and their rates lift it', () => {
    const rig = { ...bare, parts: [point('weight', 'moving', 1.2, [0, 0, 30])] };
    const mechanism = new Mechanism(rig);
    const platform = rig.platform!;
    const low = inverse(platform, [0, 0, -0.001, 0, 0, 0])!;
    const high = inverse(platform, [0, 0, 0.001, 0, 0, 0])!;
    mechanism.at(inverse(platform, HOME)!, HOME);
    for (let i = 0; i < 6; i++)
      expect(mechanism.gravity[i]).toBeCloseTo((1.2 * 9.80665 * 2e-6) / (high[i]! - low[i]!) / 6, 7);
  });

  it('a singular platform is said, not answered', () => {
    // Joints of both plates on circles with the same angles, no twist: the plate turns freely (common to all such hexapods).
    const legs = bare.platform!.legs.map((leg) => ({
      ...leg,
      base_mm: [leg.moving_mm[0] * 1.5, leg.moving_mm[1] * 1.5, 0] as Vec3,
    }));
    const platform = linearPlatform({ legs });
    const rig = rigOf(platform, 0, 300);
    expect(new Mechanism(rig).at(inverse(platform, HOME)!, HOME)).toBe(false);
  });

  it('a joint without any inertia that is known has no acceleration, and the others have theirs', () => {
    const second = { ...tilt, name: 'lid', axis: null };
    const rig = { ...alone(tilt, [point('head', 'nod', 0.9, [50, 0, 0])]), joints: [tilt, second] };
    const mechanism = new Mechanism(rig);
    mechanism.at([0, 0], HOME);
    const out = new Float64Array(2);
    expect(mechanism.accelerations([0, 0], [1, 1], out)).toBe(false);
    expect(out[0]).toBeCloseTo((1 - 0.9 * 9.80665 * 0.05) / (0.9 * 0.0025), 9);
    expect(out[1]).toBeNaN();
  });

  it('parts without, and parts that are not fitted, weigh nothing', () => {
    const parts = [
      point('head', 'nod', 0.9, [50, 0, 0]),
      point('hat', 'nod', 0.2, [50, 0, 90]),
      { ...point('bow', 'nod', 0.1, [9, 0, 0]), fitted: false },
    ];
    const mechanism = new Mechanism(alone(tilt, parts), { without: ['hat'] });
    mechanism.at([0], HOME);
    expect(mechanism.gravity[0]).toBeCloseTo(0.9 * 9.80665 * 0.05, 12);
  });
});

describe('what is not known', () => {
  it('is left out and said, with the joints it concerns', () => {
    const parts = [
      { ...point('shell', 'moving', 0, [0, 0, 38]), mass_kg: null },
      { ...point('frame', 'nod', 0.9, [60, 0, 40]), inertia_kgmm2: null },
    ];
    const rig = owl('crank', parts);
    const { platform } = rig;
    const { gaps } = new Mechanism({ ...rig, platform: { ...platform!, rod_kg: null } });
    const legs = ['leg1', 'leg2', 'leg3', 'leg4', 'leg5', 'leg6'];
    expect(gaps.map(({ path, joints }) => [path, joints])).toEqual([
      ['parts.shell.mass_kg', [...legs, 'nod', 'turn']],
      ['parts.frame.shape', ['nod', 'turn']],
      ['platform.rod_kg', [...legs, 'nod', 'turn']],
      ['parts', ['flap']],
    ]);
    for (const { words } of gaps) expect(words).toMatch(/left out|taken as|counted as/);
  });

  it('nothing on the moving plate, no rotor, no load', () => {
    const rig = rigOf(crankPlatform(), -1, 1);
    const lid = { ...rig.joints[0]!, name: 'lid', kind: 'axis', unit: 'deg' } as Joint;
    const joints = [...rig.joints, lid].map((joint) => ({
      ...joint,
      servo: { ...joint.servo, rotor_inertia_kgm2: null },
    }));
    const { gaps } = new Mechanism({ ...rig, joints });
    expect(gaps.map(({ path }) => path)).toEqual([
      'platform.crank_kg',
      'platform.rod_kg',
      'parts',
      'joints.lid',
      'servos.neck.rotor_inertia_kgm2',
    ]);
  });
});

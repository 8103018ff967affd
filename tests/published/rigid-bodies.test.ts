/**
 * Rigid bodies, gears and the servo line against textbooks; values, sources and where they were read in values/rigid-bodies.json
 * (Meriam & Kraige, Dynamics; Halliday, Resnick & Walker; Lynch & Park, Modern Robotics; BIPM; MIT).
 */
import { describe, expect, it } from 'vitest';
import { bodyOf, shapeInertia, together } from '../../host/physics/dynamics/inertia.ts';
import { G_M_S2, Mechanism } from '../../host/physics/dynamics/mechanism.ts';
import { available, useOf } from '../../host/physics/servo/servo-line.ts';
import { HOME, type Joint, type Part, type Rig, type Servo, type Shape, type Vec3, toRad } from '../../host/rig/rig.ts';
import { crankPlatform, rigOf } from '../host/physics/platforms.ts';
import values from './values/rigid-bodies.json' with { type: 'json' };

const part = (mass_kg: number, at_mm: Vec3, more: Partial<Part> = {}): Part => ({
  name: 'part',
  on: 'nod',
  mass_kg,
  at_mm,
  shape: null,
  inertia_kgmm2: null,
  fitted: true,
  ...more,
});

const PLAIN = rigOf(crankPlatform(), -1, 1);

/** An axis alone, horizontal, positive up for what is in front of it. */
function axisOf(
  parts: readonly Part[],
  { gear = 1, efficiency = 1, ...servo }: Partial<Servo> & { gear?: number; efficiency?: number } = {},
): { rig: Rig; joint: Joint } {
  const first = PLAIN.joints[0]!;
  const joint: Joint = {
    ...first,
    name: 'nod',
    kind: 'axis',
    unit: 'deg',
    servo: { ...first.servo, ...servo },
    gear_ratio: gear,
    gear_efficiency: efficiency,
    axis: { on: null, at_mm: [0, 0, 0], along: [0, -1, 0] },
  };
  return { rig: { ...PLAIN, platform: null, joints: [joint], parts }, joint };
}

const diagonal = (shape: Shape): number[] => [0, 4, 8].map((k) => shapeInertia(shape, 1)[k]! * 1e6);

describe('moments of inertia, 1 kg (Meriam & Kraige, table D/4)', () => {
  const table = values['rb-inertia-table'].published;
  const share = ([over, under]: readonly number[]): number => over! / under!;

  it('sphere, thin sphere, cylinder, box', () => {
    const round: Vec3 = [50, 50, 50];
    diagonal({ kind: 'ellipsoid', radii_mm: round }).forEach((I) =>
      expect(I).toBeCloseTo(share(table.solid_sphere) * 2500, 9),
    );
    diagonal({ kind: 'ellipsoid_shell', radii_mm: round }).forEach((I) =>
      expect(I).toBeCloseTo(share(table.thin_sphere) * 2500, 6),
    );
    const [x, y, z] = diagonal({ kind: 'cylinder', radius_mm: 30, length_mm: 70, along: [0, 0, 2] });
    expect(z).toBeCloseTo(share(table.cylinder_axis) * 900, 9);
    const { r2, h2, over } = table.cylinder_across;
    for (const across of [x, y]) expect(across).toBeCloseTo((r2 * 900 + h2 * 4900) / over, 9);
    diagonal({ kind: 'box', size_mm: [10, 20, 30] }).forEach((I, k) =>
      expect(I).toBeCloseTo([400 + 900, 100 + 900, 100 + 400][k]! * share(table.box), 9),
    );
  });

  it('a thin rod about its end', () => {
    const rod: Shape = { kind: 'cylinder', radius_mm: 1e-6, length_mm: 90, along: [1, 0, 0] };
    const { rig } = axisOf([part(1, [45, 0, 0], { shape: rod })]);
    const mechanism = new Mechanism(rig);
    mechanism.at([0.3], HOME);
    expect(mechanism.mass[0]! * 1e6).toBeCloseTo(8100 * share(table.rod_end), 6);
  });
});

it('parallel axes (Steiner’s theorem)', () => {
  const { inputs, derived } = values['rb-parallel-axis'];
  const [x, y, z] = inputs.Ic as [number, number, number];
  const body = bodyOf(part(inputs.m, [0, 0, 0], { inertia_kgmm2: [x * 1e6, y * 1e6, z * 1e6] }))!;
  const d = inputs.d as unknown as Vec3;
  // Two such bodies about a common centre half way: each is d/2 from it, so with d doubled the pair has twice the tensor.
  const pair = together([body, { ...body, com_m: [2 * d[0], 2 * d[1], 2 * d[2]] }]);
  derived.I.flat().forEach((value, k) => expect(pair.inertia_kgm2[k]! / 2).toBeCloseTo(value, 12));
});

it('standard gravity (3rd CGPM, 1901)', () => expect(G_M_S2).toBe(values['rb-gravity'].published.g_m_s2));

describe('physical pendulum: a metre stick at its end', () => {
  const stick: Shape = { kind: 'cylinder', radius_mm: 1e-6, length_mm: 1000, along: [0, 0, 1] };
  const { rig } = axisOf([part(0.7, [0, 0, -500], { shape: stick })]);
  const mechanism = new Mechanism(rig);

  it('swings with the period of I/(m·g·d)', () => {
    const h = 1e-4;
    mechanism.at([h], HOME);
    const stiffness = mechanism.gravity[0]! / h;
    const period = 2 * Math.PI * Math.sqrt(mechanism.mass[0]! / stiffness);
    const { inputs, published, derived } = values['rb-physical-pendulum'];
    expect(period).toBeCloseTo(derived.T_gn_s, 7);
    // The book's pendulum swings where g is 9.8 m/s².
    expect(period * Math.sqrt(G_M_S2 / inputs.g)).toBeCloseTo(derived.T_s, 7);
    expect(derived.T_s).toBeCloseTo(published.T_s, 2);
  });

  it.each(values['rb-pendulum-large'].inputs.deg.map((deg, i) => [deg, values['rb-pendulum-large'].derived.ratio[i]!]))(
    'at %d deg its period is %d of that at none',
    (deg, wanted) => {
      // A quarter swing from rest in steps of 0.1 ms, velocity Verlet: error of its square.
      const out = new Float64Array(1);
      const dt = 1e-4;
      const pull = (q: number): number => {
        mechanism.at([q], HOME);
        mechanism.accelerations([0], [0], out);
        return out[0]!;
      };
      let [q, v, t] = [toRad(deg), 0, 0];
      let a = pull(q);
      for (; q > 0; t += dt) {
        const half = v + (a * dt) / 2;
        q += half * dt;
        a = pull(q);
        v = half + (a * dt) / 2;
      }
      const quarter = t - q / v;
      expect((4 * quarter) / values['rb-physical-pendulum'].derived.T_gn_s).toBeCloseTo(wanted, 5);
    },
  );
});

it('gear reflection: a rotor counts with the ratio squared; the ratio √(J_load/J_rotor) gives the largest acceleration', () => {
  const { inputs, derived } = values['rb-gear-reflection'];
  const load = { mass_kg: 0, arm_mm: 0, arm_level_at_rad: 0, inertia_kgm2: inputs.JL };
  const most = (gear: number): number => {
    const { rig, joint } = axisOf([], { gear, rotor_inertia_kgm2: inputs.Jm, stall: inputs.tau });
    const mechanism = new Mechanism({ ...rig, joints: [{ ...joint, axis: null, load }] });
    mechanism.at([0], HOME);
    const out = new Float64Array(1);
    mechanism.accelerations([0], [available(joint, 0, 1)!], out);
    return out[0]!;
  };
  expect(most(derived.N_opt)).toBeCloseTo(derived.a_max, 9);
  for (const other of [0.99, 1.01]) expect(most(derived.N_opt * other)).toBeLessThan(derived.a_max);
});

it('servo line: most power at half the no-load speed and half the stall torque', () => {
  const { inputs, published, derived } = values['rb-dc-motor'];
  const { joint } = axisOf([], { stall: inputs.tau_s, no_load_speed: inputs.w0 });
  const power = (w: number): number => available(joint, w, 1)! * w;
  expect(power(derived.at_w)).toBeCloseTo(derived.Pmax, 12);
  expect(available(joint, derived.at_w, 1)).toBeCloseTo(derived.at_tau, 12);
  for (const w of [derived.at_w - 0.01, derived.at_w + 0.01]) expect(power(w)).toBeLessThan(derived.Pmax);
  inputs.mit.forEach(({ rpm, Nm }, k) => {
    const motor = axisOf([], { stall: Nm, no_load_speed: rpm }).joint;
    // Their 0.163 N·m is half of 0.325.
    expect(Math.abs(available(motor, published.mit[k]!.rpm, 1)! - published.mit[k]!.Nm)).toBeLessThan(0.00051);
  });
});

it('holding a tilt: m·g·d·sin θ at the axis, over ratio and efficiency at the servo', () => {
  const { inputs, derived } = values['rb-tilt-holding'];
  const { rig, joint } = axisOf([part(inputs.m, [0, 0, inputs.d * 1000])], { gear: inputs.N, efficiency: inputs.eta });
  const mechanism = new Mechanism(rig);
  // Positive turns what stands over the axis backward: leaning forward by theta is -theta.
  mechanism.at([-toRad(inputs.theta_deg)], HOME);
  const effort = mechanism.gravity[0]!;
  expect(effort).toBeCloseTo(derived.axis, 12);
  const { use } = useOf(joint, effort, 0);
  expect(use! * joint.servo.stall!).toBeCloseTo(derived.servo, 12);
});

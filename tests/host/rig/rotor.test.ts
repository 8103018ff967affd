/** A servo's rotor by its motor time constant: given, assumed, unlikely. */
import { expect, it } from 'vitest';
import { Mechanism } from '../../../host/physics/dynamics/mechanism.ts';
import { modesAt } from '../../../host/physics/vibration/modes.ts';
import { unlikelyFigures } from '../../../host/physics/dynamics/unlikely.ts';
import { readRig } from '../../../host/rig/read.ts';
import { HOME, type Servo, toRad } from '../../../host/rig/rig.ts';
import { inertiaFor, motorTime_s, rotorAt, rotorOf } from '../../../host/rig/rotor.ts';
import { LIFT, TILT, rigFrom } from '../load/rigs.ts';

const servoOf = (change: Partial<Servo>): Servo => ({ ...rigFrom(TILT).joints[0]!.servo, ...change });

// Ametek Pittman data sheets: rotor inertia kg·m², no-load speed rad/s, stall torque N·m.
it.each([
  ['14203S010', 2.1e-5, 362, 1.1, 6.9],
  ['9233S013', 3.2e-6, 628, 0.22, 9.1],
])('motor %s has a time constant within the usual 5 to 20 ms', (_, rotor_inertia_kgm2, no_load_speed, stall, ms) => {
  const servo = servoOf({ rotor_inertia_kgm2, no_load_speed, stall });
  expect(1000 * motorTime_s(servo)!).toBeCloseTo(ms, 1);
  expect(inertiaFor(servo, motorTime_s(servo)!)! / rotor_inertia_kgm2).toBeCloseTo(1, 12);
});

it('not given it is 10 ms of stall torque over no-load speed, behind its gear by the ratio squared', () => {
  const rig = rigFrom(TILT, ['    rotor_inertia_kgm2: 2.0e-4\n', '']);
  const [nod] = rig.joints;
  const expected = (0.01 * 1.5) / toRad(360);
  expect(rotorOf(nod!.servo)).toEqual({ inertia: expect.closeTo(expected, 12), assumed: true });
  expect(rotorAt(nod!)).toBeCloseTo(9 * expected, 12);
  const mechanism = new Mechanism(rig);
  mechanism.at([0, 0], HOME);
  expect(mechanism.mass[0]).toBeCloseTo(0.9 * 0.05 ** 2 + 600e-6 + 9 * expected, 12);
  expect(mechanism.gaps.filter(({ assumed }) => assumed).map(({ words }) => words)).toEqual([
    'the inertia of rotor and gears inside the neck servos (nod and lid) is not given: taken as 0.0024 kg·m², a motor time constant of 10 ms (assumed); 0.0012 to 0.0048 kg·m² (usual, not measured)',
  ]);
  // It slows what shakes.
  const hz = (of: typeof rig): number => modesAt(of, [0, 0], HOME)!.modes[0]!.hz!;
  expect(hz(rig)).toBeLessThan(0.5 * hz(rigFrom(TILT)));
});

it('unknown is as not given; a servo of unknown torque has none', () => {
  const unknown = rigFrom(TILT, ['2.0e-4', 'unknown']).joints[0]!.servo;
  expect(rotorOf(unknown)?.assumed).toBe(true);
  expect(rotorOf({ ...unknown, stall: null })).toBeNull();
  expect(rotorOf({ ...unknown, no_load_speed: null })).toBeNull();
  expect(rotorOf({ ...unknown, stall: null, rotor_inertia_kgm2: 1e-3 })).toEqual({ inertia: 1e-3, assumed: false });
});

it('an actuator’s is a mass: force over speed', () => {
  const [leg] = rigFrom(LIFT).joints;
  // 60 N and 40 mm/s.
  expect(rotorOf(leg!.servo)).toEqual({ inertia: expect.closeTo((0.01 * 60) / 0.04, 9), assumed: true });
});

it('check warns of less than 1 ms, with what 10 ms would be', () => {
  const at = (value: string) =>
    readRig(TILT.replace('2.0e-4', value)).problems.filter(({ path }) => path.includes('rotor_inertia'));
  // 1 ms is 2.39e-4 kg·m².
  expect(at('2.4e-4')).toEqual([]);
  const [problem] = at('2.3e-4');
  expect(problem).toMatchObject({ path: 'servos.neck.rotor_inertia_kgm2', severity: 'warning' });
  expect(problem!.message).toMatch(/means a motor time constant .* of 0\.96 ms, .* 10 ms would be 0\.0024 kg·m²/);
});

it('figures that no prop has: rotors too light, parts denser than lead', () => {
  const words = unlikelyFigures(rigFrom(TILT, ['[600, 600, 600]', '[0.01, 0.01, 0.01]'])).join('; ');
  expect(words).toContain('parts.head is smaller than lead of its mass');
  expect(words).toContain('servos.neck.rotor_inertia_kgm2');
  expect(unlikelyFigures(rigFrom(TILT, ['2.0e-4', '2.4e-3']))).toEqual([]);
});

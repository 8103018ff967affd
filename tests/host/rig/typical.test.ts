/** What is usual of a figure that is not given: by the formulas that the figures are defined by. */
import { expect, it } from 'vitest';
import { rigOf, OWL, swap } from './owl.ts';
import { typicalOf } from '../../../host/rig/typical.ts';

it('follows the servo’s size: 1.9 N·m at 380 deg/s', () => {
  const found = new Map(typicalOf(rigOf(OWL)).map(({ path, usual }) => [path, usual]));
  const speed_rad_s = (380 * Math.PI) / 180;
  const text = (value: number): string => String(Number(value.toPrecision(2)));
  // 5 to 20 ms · stall / speed; full torque at 2 to 6 deg; 10 to 20 % of the stall torque.
  const wanted = {
    rotor_inertia_kgm2: `${text((0.005 * 1.9) / speed_rad_s)} to ${text((0.02 * 1.9) / speed_rad_s)} kg·m²`,
    stiffness_nm_rad: `${text((1.9 * 30) / Math.PI)} to ${text((1.9 * 90) / Math.PI)} N·m/rad`,
    friction_nm: '0.19 to 0.38 N·m',
  };
  for (const [key, usual] of Object.entries(wanted)) expect(found.get(`servos.neck.${key}`)).toBe(usual);
  expect(found.get('joints.nod.gear_play_deg')).toMatch(/^0\.1 to 0\.3 deg/);
});

it('is not told of what is given, nor of a servo whose torque is not known', () => {
  const given = rigOf(
    swap(
      OWL,
      ['stiffness_nm_rad: unknown', 'stiffness_nm_rad: 40'],
      ['gear_ratio: 3', 'gear_ratio: 3\n    gear_play_deg: 0.2'],
    ),
  );
  const paths = typicalOf(given).map(({ path }) => path);
  expect(paths).toContain('servos.neck.friction_nm');
  expect(paths).not.toContain('servos.neck.stiffness_nm_rad');
  expect(paths).not.toContain('joints.nod.gear_play_deg');
  const unknown = rigOf(swap(OWL, ['stall_torque_nm: 1.9', 'stall_torque_nm: unknown']));
  expect(typicalOf(unknown).filter(({ path }) => path.startsWith('servos.neck'))).toEqual([]);
});

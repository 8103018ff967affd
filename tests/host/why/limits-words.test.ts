import { expect, it } from 'vitest';
import { toRad } from '../../../host/rig/rig.ts';
import { limitsWords } from '../../../host/why/words.ts';
import { OWL, rigOf } from './rigs.ts';

it('limits that fade below the joint’s speed say so: the acceleration is that from rest', () => {
  const nod = rigOf(OWL).joints.find(({ name }) => name === 'nod')!;
  const [speed, plus, minus] = [toRad(77), toRad(1500), toRad(735)];
  const rising = { speed, plus, minus, plus_gone: toRad(67), minus_gone: Infinity };
  expect(limitsWords(nod, rising)).toBe(
    'at most 77 deg/s; acceleration from rest 1500 deg/s² upward, less with speed and none from 67 deg/s on, and 735 deg/s² downward',
  );
  expect(limitsWords(nod, { ...rising, plus_gone: Infinity })).toBe(
    'at most 77 deg/s; acceleration from rest 1500 deg/s² upward and 735 deg/s² downward',
  );
});

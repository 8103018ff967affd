import { expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { readFileSync } from 'node:fs';
import { tune } from '../../../host/tune/tune.ts';
import { tell } from '../../../host/why/why.ts';
import { TILT, rigFrom } from '../load/rigs.ts';
import { edit, lookedInto } from '../why/rigs.ts';

const rubbing = (friction_nm: string): string =>
  edit(TILT, ['    continuous_use', `    friction_nm: ${friction_nm}\n    continuous_use`]);

const warnings = (friction_nm: string) =>
  readRig(rubbing(friction_nm)).problems.filter(({ path }) => path.endsWith('friction_nm'));

it('check warns of a servo that rubs away 30 % of its stall torque or more', () => {
  // Of 1.5 N·m.
  expect(warnings('0.44')).toEqual([]);
  expect(warnings('0.45')).toMatchObject([{ path: 'servos.neck.friction_nm', severity: 'warning' }]);
  const [problem] = warnings('3');
  expect(problem!.message).toContain('takes 200 % of its stall torque of 1.50 N·m');
});

it('tune and why name friction where it is what takes the torque', async () => {
  const target = simTarget({ wasm: readFileSync('build/controller.wasm') });
  const { answer } = await tune(rigFrom(rubbing('3')), target, { faster: false, stream: null });
  const nod = answer.joints.find(({ name }) => name === 'nod')!;
  expect(nod.outcome).toBe('cannot_hold');
  expect(nod.bound_by).toContain('friction: dry friction of 3.00 N·m (friction_nm) takes 200 %');
  expect(answer.advice.join('; ')).toContain('nod: measure friction_nm first');
  const looked = await lookedInto(rubbing('3'), 't_s,nod_deg\n0,0\n0.2,10\n0.4,-10\n');
  const { why } = await tell(looked, 'jerk');
  const torque = why.causes.find(({ cause }) => cause === 'torque_saturated')!;
  expect(torque.because).toContain('dry friction of 3.00 N·m');
  expect(torque.cure).toContain('Measure friction_nm');
});

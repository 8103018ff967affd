/** An invented stork of which neither shapes nor rotors are given: it does not fall, and its legs' limits are well as they are. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { load } from '../../../host/load/load.ts';
import { HOME } from '../../../host/rig/rig.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { tune } from '../../../host/tune/tune.ts';
import { WASM } from '../../assembly/prop.ts';
import { rigFrom, streamOf } from '../load/rigs.ts';

const rig = rigFrom(readFileSync('tests/data/stork.yaml', 'utf8'));

it('stands and moves on simulated metal, and no leg is slowed', async () => {
  const { answer } = await tune(rig, simTarget({ wasm: WASM }), { faster: false, stream: null });
  expect(answer.unsure).toBeNull();
  expect(answer.advice).toEqual([]);
  for (const { before, after } of answer.joints) expect([before!.falls, after!.falls]).toEqual([false, false]);
  expect(answer.joints[0]).toMatchObject({ name: 'legs', outcome: 'well', limits: { plus: 1500, minus: 1500 } });
  const rests = answer.rests_on.join('; ');
  expect(rests).toContain('head has no shape: taken as a solid ball of 300 kg/m³, 179 mm across (assumed)');
  // 10 ms · 21 kgf·cm / (60 deg / 0.17 s) = 0.01 s · 2.059 N·m / 6.160 rad/s.
  expect(rests).toContain('taken as 0.0033 kg·m², a motor time constant of 10 ms (assumed)');
}, 60_000);

it('load rests on what is assumed, twice as much of it counted', () => {
  const stored = streamOf(rig, 2, (t) => ({ joints: [18 + 8 * (1 - Math.cos(6 * t))] }));
  const found = load(rig, { pose: HOME, without: [], stream: { name: 's', stored } });
  if ('refused' in found) throw new Error(found.refused);
  const assumed = found.rests_on.filter(({ from }) => from === 'assumed');
  expect(assumed.map(({ figure }) => figure)).toContain('servos.big.rotor_inertia_kgm2');
  for (const { within_percent, taken } of assumed) expect([within_percent, taken]).toEqual([100, false]);
  expect(found.assumed.join()).toContain('head has no shape: taken as a solid ball');
  expect(found.left_out.join()).not.toMatch(/taken as/);
});

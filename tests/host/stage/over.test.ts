/** What the hand lays over a take reaches the joints it is laid over, and no other. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { Stand } from '../../../host/stage/page/engine/stand.ts';
import { WASM } from '../../assembly/prop.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const rows = Array.from({ length: 151 }, (_, n) => `${n / 50},2,1`);
const text = ['t_s,jaw_deg,lid_deg', ...rows, ''].join('\n');
const at = (joint: string): number => owl.joints.findIndex(({ name }) => name === joint);

it('is asked in the place of the take, where it is a number', async () => {
  const stand = await Stand.open(owl, WASM);
  await stand.follower.play(text, 0);
  const values = stand.follower.homeValues().fill(NaN);
  values[6 + at('jaw') - 6] = toRad(9);
  stand.follower.over(values);
  for (let to_us = stand.now_us; (stand.look().take_s ?? 9) < 2; to_us += 20_000) stand.run(to_us);
  const { commanded } = stand.look();
  expect(commanded[at('jaw')]).toBeCloseTo(toRad(9), 2);
  expect(commanded[at('lid')]).toBeCloseTo(toRad(1), 2);
});

/** The demo's responses, with the rig that goes with them: a copy of the folder replays, smoothly. */
import { copyFileSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { needController, run, scratch } from '../cli/fixture.ts';

const FOLDER = 'host/demo/responses/';
const files = scratch();
beforeAll(needController, 60_000);
afterAll(files.remove);

/** Lines without their comments, up to the night. */
const lines = (path: string): string[] =>
  readFileSync(path, 'utf8')
    .split(/^night:/m)[0]!
    .split('\n')
    .map((line) => line.replace(/\s*#.*/, ''))
    .filter((line) => line !== '');

it('their rig is the owl of the demo’s night but for the board, which has four analog pins', () => {
  const [own, night] = [lines(`${FOLDER}night-owl.yaml`), lines('host/demo/night/night-owl.yaml')];
  expect(own.filter((line) => !night.includes(line))).toEqual([
    'board: { kind: native, stop: { pin: 20, category: 1 }, power_pin: 21 }',
  ]);
  expect(night.filter((line) => !own.includes(line))).toEqual([
    'board: { kind: pico, stop: { pin: 20, category: 1 }, power_pin: 21 }',
  ]);
});

it('a copy of them replays within reach and smoothly, and every response changes what is asked', async () => {
  for (const name of ['night-owl.yaml', 'responses.ts', 'calm.csv', 'inputs.csv'])
    copyFileSync(FOLDER + name, files.path(name));
  const [rig, calm, inputs] = ['night-owl.yaml', 'calm.csv', 'inputs.csv'].map((name) => files.path(name));
  const { code, out, err } = await run(['replay', rig!, calm!, '--inputs', inputs!]);
  expect([code, out.match(/\? +yes:/g)?.length], err).toEqual([0, 2]);
  expect(out.replaceAll(/\s+/g, ' ')).toMatch(/move what is asked: lid by up to 1\d\.\d\d deg.*; yaw by .*; z by /);
}, 120_000);

/** One sentence says what is so: who leads, what stops it, what it lacks, what to do about it. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { TRIPS } from '../../../host/controller/messages.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Look } from '../../../host/stage/page/engine/protocol.ts';
import { sentence } from '../../../host/stage/page/hand/words.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const NOD = 6;
const idle = new Array<number>(10).fill(0.1);
const seen: Look = {
  said: 'look',
  state: 'live',
  trip: null,
  follows: 'hand',
  take_s: null,
  asked: new Float64Array(10),
  commanded: new Float64Array(10),
  metal: new Float64Array(10),
  pose: null,
  metalPose: null,
  use: new Float64Array(10),
  stoppedBy: null,
  fallen: null,
};
const said = (change: Partial<Look>, use = idle): string => sentence(owl, { ...seen, ...change }, use);

it('says who leads', () => {
  expect(said({})).toBe('following your hand');
  expect(said({ follows: 'take' })).toBe('following the take');
  expect(said({ state: 'limp' })).toBe('limp: nothing moves it; G rouses it');
  expect(said({ state: 'settling' })).toBe('settling to its rest');
});

it('says what stops it and what it lacks, while it moves', () => {
  const stop = { joint: 'leg3', cause: 'rod_end' };
  expect(said({ stoppedBy: stop })).toBe('following your hand; out of reach: leg3: rod end');
  expect(said({ stoppedBy: stop, state: 'limp' })).not.toContain('leg3');
  expect(said({}, idle.with(NOD, 1.1))).toContain('nod is short of torque: it needs more than it has');
  expect(said({}, idle.with(NOD, 1.6))).toContain('at least 150 %');
  expect(said({}, idle.with(NOD, Infinity))).toContain('nod is asked to go faster than its servo can');
  expect(said({}, idle.fill(NaN))).toBe('following your hand');
});

it('has a cure for every trip', () => {
  for (const trip of TRIPS.slice(1).filter((name) => name !== ''))
    expect(said({ state: 'tripped', trip })).toMatch(/^stopped by its guard \(.+\): .+ (rouse it|off and on)/);
});

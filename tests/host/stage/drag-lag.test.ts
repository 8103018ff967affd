/** A hand in the page is followed at once: the delay that a take needs, to bear jitter and to look ahead, is not a hand's. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { Stand } from '../../../host/stage/page/engine/stand.ts';
import { WASM } from '../../assembly/prop.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
/** A display's frame at 60 Hz. */
const FRAME_US = 1e6 / 60;

async function still(): Promise<Stand> {
  const stand = await Stand.open(owl, WASM);
  stand.run(stand.now_us + 2e6);
  return stand;
}

/** The farthest that any of these joints' places are apart, degrees: all of the owl's turn. */
const apart = (a: Float64Array, b: Float64Array): number =>
  (Math.max(...a.map((at, i) => Math.abs(at - b[i]!))) * 180) / Math.PI;

/** Runs of a drawn frame from the asking to the first look in which command and metal are 0.02 degrees elsewhere. */
async function runsToShow(column: number, by: number, phase_us: number): Promise<{ told: number; moved: number }> {
  const stand = await still();
  let wall_us = stand.now_us + phase_us;
  stand.run(wall_us);
  const before = stand.look();
  const values = stand.follower.homeValues();
  values[column]! += by;
  stand.follower.hand(values);
  const seen = { told: NaN, moved: NaN };
  for (let n = 1; n <= 60 && Number.isNaN(seen.told + seen.moved); n++) {
    stand.run((wall_us += FRAME_US));
    const look = stand.look();
    if (Number.isNaN(seen.told) && apart(look.commanded, before.commanded) > 0.02) seen.told = n;
    if (Number.isNaN(seen.moved) && apart(look.metal, before.metal) > 0.02) seen.moved = n;
  }
  return seen;
}

it('shows a drag in the answer to the first run after it, whatever the phase of the ticks', async () => {
  const phases_us = [0, 1000, 2000, 3000, 4000, 4900];
  const all = [];
  for (const column of [3, 4, 5, 6])
    for (const phase_us of phases_us) all.push(await runsToShow(column, 0.12, phase_us));
  expect(Math.max(...all.map(({ told }) => told))).toBe(1);
  expect(Math.max(...all.map(({ moved }) => moved))).toBe(1);
});

it('shows nothing while nothing is asked', async () => {
  expect(await runsToShow(4, 0, 0)).toEqual({ told: NaN, moved: NaN });
});

it('stays live while the hand is still for longer than a prop may hold', async () => {
  const stand = await still();
  const seen = new Set<string>();
  for (let n = 0; n < (owl.motion.hold_s + 2) * 10; n++) {
    stand.run(stand.now_us + 100_000);
    seen.add(stand.look().state);
  }
  expect([...seen]).toEqual(['live']);
});

/** Every joint's pulses while dusk plays, tick after tick. @param before what the hand does just before */
async function takePulses(before: (stand: Stand) => void): Promise<string[]> {
  const stand = await still();
  before(stand);
  await stand.follower.play(readFileSync('host/demo/dusk.csv', 'utf8'), 0);
  for (let to_us = stand.now_us; ; to_us += FRAME_US) {
    stand.run(to_us);
    const pulses = stand.played();
    if (!pulses) continue;
    const n = owl.joints.length;
    return Array.from({ length: pulses.length / n }, (_, k) => pulses.subarray(k * n, (k + 1) * n).join());
  }
}

/** From the first change on: how long it stood before is no matter. */
const fromFirstChange = (rows: string[]): string[] => rows.slice(rows.findIndex((row) => row !== rows[0]));

/** Pulls the prop about, 60 times a second, and does not wait for it to stand. */
function pull(stand: Stand): void {
  for (let n = 0; n < 40; n++) {
    const values = stand.follower.homeValues();
    values[4]! += 0.3 * Math.sin(n / 6);
    values[6]! += 0.2 * Math.cos(n / 5);
    stand.follower.hand(values);
    stand.run(stand.now_us + FRAME_US);
  }
}

it('leaves a take as it is, pulse for pulse, however the hand moved before', async () => {
  const [alone, after] = [fromFirstChange(await takePulses(() => undefined)), fromFirstChange(await takePulses(pull))];
  expect(alone.length).toBeGreaterThan(19 * 200);
  expect(after.slice(0, alone.length)).toEqual(alone);
});

it('goes on from a take that it breaks off without a leap', async () => {
  const stand = await still();
  await stand.follower.play(readFileSync('host/demo/dusk.csv', 'utf8'), 0);
  while (!((stand.look().take_s ?? 0) > 3)) stand.run(stand.now_us + FRAME_US);
  const values = stand.follower.homeValues();
  stand.follower.hand(values);
  let [before, most_deg_s] = [stand.look().commanded, 0];
  for (let n = 0; n < 240; n++) {
    stand.run(stand.now_us + 5000);
    const { commanded } = stand.look();
    most_deg_s = Math.max(most_deg_s, apart(commanded, before) / 0.005);
    before = commanded;
  }
  // The fastest joint's own limit is 400 deg/s, and it gets where it is asked to be.
  expect(most_deg_s).toBeLessThan(401);
  expect(Math.abs(before[6]! - values[6]!)).toBeLessThan(1e-3);
});

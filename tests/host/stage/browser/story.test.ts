/** A take from the first drag to the file: moved, recorded, layered, set to sound, played, settled, found again, and the same pulses from the command line. */
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { playOnMetal } from '../../../../host/replay/on-metal.ts';
import { readRig } from '../../../../host/rig/read.ts';
import { simTarget } from '../../../../host/targets/sim.ts';
import { WASM } from '../../../assembly/prop.ts';
import { type Served, go, headAt, launch, open, picture, says, serve, until } from './page.ts';
import { columnOf, dropped, syllables } from './take-file.ts';

let browser: Browser | undefined;
let served: Served;
let page: Awaited<ReturnType<typeof open>>;
beforeAll(async () => {
  browser = await launch();
  served = await serve();
  page = await open(browser, served.url);
});
afterAll(async () => {
  await browser?.close();
  served.close();
});

const take = (): string => readFileSync(join(served.folder, 'take 1.csv'), 'utf8');
const dashes = (on: Page): Promise<number> =>
  on
    .locator('.asked-lines path')
    .evaluateAll((all) => all.filter((path) => (path.getAttribute('d') ?? '') !== '').length);
const range = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);
const saved = (): Promise<void> => until(() => page.getByText('saved', { exact: true }).isVisible(), 'it is saved');

/** Drags the head to and fro, with what is held down, for about so many ms. */
async function dragged(across: number, down: number, for_ms: number): Promise<void> {
  const [x, y] = await headAt(page);
  await page.mouse.down();
  for (let t_ms = 0; t_ms < for_ms; t_ms += 80) {
    const swing = Math.sin((2 * Math.PI * t_ms) / 2400);
    await page.mouse.move(x + swing * across, y + swing * down);
    await page.waitForTimeout(60);
  }
  await page.mouse.up();
}

it('what loads first is at most 1.2 MB, from this server only', async () => {
  const all = await page.evaluate(() =>
    [...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')].map((one) => {
      const { name, transferSize } = one as PerformanceResourceTiming;
      return { name, bytes: transferSize };
    }),
  );
  expect(all.every(({ name }) => name.startsWith(served.url))).toBe(true);
  const sum = all.reduce((bytes, one) => bytes + one.bytes, 0);
  expect(all.map(({ name }) => name.slice(served.url.length)).sort()).toEqual(
    expect.arrayContaining(['', 'app.js', 'controller.wasm', 'engine.js', 'rig', 'style.css']),
  );
  expect(sum).toBeGreaterThan(2e5);
  expect(sum).toBeLessThan(1.2e6);
});

it('the head follows a drag: its outline at once, the metal after it', async () => {
  expect(await dashes(page)).toBe(0);
  const before = await page.evaluate(() => [...overheard.look!.metal]);
  const [x, y] = await headAt(page);
  await page.mouse.down();
  await page.mouse.move(x + 24, y - 4, { steps: 2 });
  await until(async () => (await dashes(page)) > 0, 'what is asked is outlined');
  await picture(page, 'hand-drag-wide');
  await page.mouse.up();
  const far = (was: number[]): number => Math.max(...overheard.look!.metal.map((at, i) => Math.abs(at - was[i]!)));
  await until(async () => (await page.evaluate(far, before)) > 0.1, 'the metal follows');
  await says(page, /following your hand/);
});

it('Look is recorded from a drag, and the mouth over it', async () => {
  await go(page, 'Takes');
  await page.getByRole('button', { name: /^Record Look/ }).click();
  await says(page, /recording Look in [1-4]/);
  await says(page, /records Look|plays/);
  await until(() => page.evaluate(() => overheard.look!.take_s! > 0.3), 'the take runs');
  await dragged(30, 4, 3200);
  await page.keyboard.press('r');
  await says(page, /Look is recorded, \d/);
  // A hand is not smooth; its stretch is made so before anything goes over it.
  await page.getByRole('group', { name: /^time line/ }).focus();
  await page.keyboard.press('Home');
  await page.keyboard.press('Shift+End');
  await page.keyboard.press('h');
  await says(page, /smooth Look/);
  await page.getByRole('button', { name: /^open Mouth/ }).click();
  await page.keyboard.press('Home');
  await page.keyboard.press('Home');
  await page.keyboard.press('r');
  await until(() => page.evaluate(() => overheard.look!.take_s! > 0.3), 'the take runs');
  await dragged(0, 60, 1600);
  await page.keyboard.press('r');
  await says(page, /Mouth is recorded, \d/);
  await saved();
  const text = take();
  expect(range(columnOf(text, 'yaw_deg'))).toBeGreaterThan(10);
  expect(range(columnOf(text, 'jaw_deg'))).toBeGreaterThan(8);
  await picture(page, 'takes-recorded-wide');
});

it('a sound is dropped, the jaw taken from it', async () => {
  const before = columnOf(take(), 'jaw_deg');
  await dropped(page, 'hoot.wav', syllables([0.5, 1.4, 2.6], 4));
  await until(() => page.evaluate(() => document.querySelector('.spine .hint') === null), 'the sound is on the spine');
  await page.getByText('Sound: hoot.wav').click();
  await page.getByRole('button', { name: 'Take the jaw from the sound' }).click();
  await says(page, /jaw_deg follows the sound/);
  await page.getByRole('button', { name: /^Mark/ }).click();
  // Its word could be typed now: Enter leaves it as it is, and goes back to the time line.
  await page.keyboard.press('Enter');
  await saved();
  const jaw = columnOf(take(), 'jaw_deg');
  expect(jaw).not.toEqual(before);
  const around = (t_s: number): number => Math.max(...jaw.slice(Math.round(t_s * 50) - 5, Math.round(t_s * 50) + 15));
  for (const t_s of [0.5, 1.4, 2.6]) expect(around(t_s), `a syllable at ${String(t_s)} s`).toBeGreaterThan(8);
  expect(jaw[Math.round(2.2 * 50)]).toBeLessThan(3);
  await picture(page, 'takes-sound-wide');
});

it('plays to its end and tells the servos what a replay of the saved file tells them, pulse for pulse', async () => {
  await page.keyboard.press('Home');
  await page.evaluate(() => (overheard.played = []));
  await page.getByRole('button', { name: /^Play/ }).click();
  await says(page, /plays/);
  await until(() => page.evaluate(() => overheard.played.length > 0), 'the take has ended', 40_000);
  await saved();
  const pulses = Uint16Array.from(await page.evaluate(() => [...overheard.played[0]!]));
  const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
  const n = owl.joints.length;
  const there: string[] = [];
  const target = simTarget({ wasm: WASM, pulses: (us) => there.push(us.subarray(0, n).join()) });
  await playOnMetal(owl, [readFileSync(join(served.folder, 'take 1.csv'))], target, 'take');
  const here = Array.from({ length: pulses.length / n }, (_, k) => pulses.subarray(k * n, (k + 1) * n).join());
  const first = here.findIndex((row, k) => k > 0 && row !== here[k - 1]);
  const at = there.findIndex((_, k) => [0, 1, 2, 3].every((next) => there[k + next] === here[first + next]));
  expect(here.length).toBeGreaterThan(3 * 200);
  expect(at).toBeGreaterThan(0);
  expect(here.slice(first)).toEqual(there.slice(at, at + here.length - first));
});

it('Escape settles it, in mid-play', async () => {
  await page.keyboard.press('Home');
  await page.getByRole('button', { name: /^Play/ }).click();
  await until(
    () => page.evaluate(() => overheard.look!.follows === 'take' && overheard.look!.take_s! > 0.2),
    'it plays',
  );
  await page.keyboard.press('Escape');
  await until(() => page.evaluate(() => ['settling', 'limp'].includes(overheard.look!.state)), 'it settles');
  await picture(page, 'takes-settling-wide');
});

it('after a reload the take, its sound and its mark are there', async () => {
  const before = take();
  await page.reload();
  await until(() => page.evaluate(() => overheard.look?.state === 'live'), 'the prop is live');
  await go(page, 'Takes');
  await until(() => page.getByText('Sound: hoot.wav').isVisible(), 'the sound is there');
  await until(() => page.getByRole('slider', { name: 'mark beat 1' }).isVisible(), 'the mark is there');
  await until(() => page.getByRole('group', { name: /^keys of/ }).isVisible(), 'the keys are there');
  expect(take()).toBe(before);
  expect(page.faults).toEqual([]);
});

it('the command line replays the saved file', () => {
  expect(existsSync(join(served.folder, 'hoot.wav'))).toBe(true);
  const args = ['replay', join(served.folder, 'night-owl.yaml'), join(served.folder, 'take 1.csv'), '--json'];
  const { stdout } = spawnSync(process.execPath, ['dist/posewright.mjs', ...args], { encoding: 'utf8' });
  expect(JSON.parse(stdout), stdout).toMatchObject({ ok: true });
});

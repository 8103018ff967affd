/** What a page must live through: bad names, files too large or broken, a take of two hours, a server that dies, a computer that slept. */
import { existsSync, readFileSync, readdirSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { dropped, syllables } from './take-file.ts';
import { type Served, go, launch, open, picture, says, serve, until } from './page.ts';

let browser: Browser | undefined;
let served: Served;
let page: Awaited<ReturnType<typeof open>>;
beforeAll(async () => {
  browser = await launch();
  served = await serve('dusk.csv');
  const rows = Array.from({ length: 360_001 }, (_, n) => `${String(n / 50)},${Math.sin(n / 100).toFixed(3)},0`);
  writeFileSync(join(served.folder, 'long.csv'), ['t_s,yaw_deg,nod_deg', ...rows, ''].join('\n'));
  writeFileSync(join(served.folder, 'bad.csv'), 't_s,yaw_deg\n0,0\n0.02,oops\n0.04,0\n');
  page = await open(browser, served.url, {}, () => {
    // A computer that sleeps: the clock of frames has gone on, nothing else has.
    let slept_ms = 0;
    const real = requestAnimationFrame.bind(globalThis);
    globalThis.requestAnimationFrame = (call) => real((now_ms) => call(now_ms + slept_ms));
    Object.assign(globalThis, { sleep: (ms: number) => void (slept_ms += ms) });
  });
  await go(page, 'Takes');
  await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
  await page.locator('summary').first().click();
});
afterAll(async () => {
  await browser?.close();
  served.close();
});

const openTake = async (on: Page, name: string): Promise<void> => {
  await on.getByRole('combobox', { name: 'take', exact: true }).selectOption(name);
  await on.getByRole('button', { name: 'Open', exact: true }).click();
};
const saveAs = async (name: string): Promise<void> => {
  await page.getByLabel('save as').fill(name);
  await page.getByRole('button', { name: 'Save', exact: true }).click();
};

it.each(['../out', 'a/../../out', '..'])(
  'the name %j is refused in words, and the take keeps its own',
  async (name) => {
    await saveAs(name);
    await says(page, /no name for a take/);
    expect(await page.getByText('Takes: dusk').isVisible()).toBe(true);
    expect(existsSync(join(served.folder, '..', 'out.csv'))).toBe(false);
  },
);

it('a sound whose name leads out of the folder is refused in words', async () => {
  await dropped(page, '../hoot.wav', syllables([0.2], 0.5));
  await says(page, /no name for a sound/);
  expect(existsSync(join(served.folder, '..', 'hoot.wav'))).toBe(false);
});

it('100 MB of sound are refused in words', async () => {
  const path = join(served.folder, 'large.bin.wav');
  writeFileSync(path, '');
  truncateSync(path, 100e6);
  await page.getByText(/^Sound/).click();
  await page.getByLabel('sound file').setInputFiles(path);
  await says(page, /large\.bin\.wav is 100 MB: 64 MB is the most/);
});

it('a broken stream is named with its line, and what was open stays open', async () => {
  await openTake(page, 'bad.csv');
  await says(page, /bad\.csv, line 3: /);
  expect(await page.getByText('Takes: dusk').isVisible()).toBe(true);
});

it('a minute asleep in mid-play is skipped, not made up for', async () => {
  await page.getByRole('button', { name: /^Play/ }).click();
  await until(
    () => page.evaluate(() => overheard.look!.follows === 'take' && overheard.look!.take_s! > 0.3),
    'it plays',
  );
  const before = await page.evaluate(() => {
    (globalThis as unknown as { sleep: (ms: number) => void }).sleep(60_000);
    return { at_ms: overheard.look!.at_ms, take_s: overheard.look!.take_s! };
  });
  await until(() => page.evaluate((was) => overheard.look!.at_ms > was + 59_000, before.at_ms), 'it is awake');
  const after = await page.evaluate(() => ({ take_s: overheard.look!.take_s!, state: overheard.look!.state }));
  expect(after.state).toBe('live');
  expect(after.take_s - before.take_s).toBeLessThan(2);
  expect(after.take_s).toBeGreaterThanOrEqual(before.take_s);
  await page.getByRole('button', { name: /^Stop/ }).click();
});

it('a take of two hours opens, zooms and is edited', async () => {
  const began_ms = Date.now();
  await openTake(page, 'long.csv');
  await until(() => page.getByText('Takes: long').isVisible(), 'it is open', 60_000);
  const opened_ms = Date.now() - began_ms;
  const keyed_ms = await page.evaluate(async () => {
    const from_ms = performance.now();
    dispatchEvent(new KeyboardEvent('keydown', { key: '+' }));
    dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter' }));
    await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)));
    return performance.now() - from_ms;
  });
  process.stdout.write(
    `a take of 7,200 s: open in ${String(opened_ms)} ms, a zoom and a key in ${keyed_ms.toFixed(0)} ms\n`,
  );
  await until(() => page.getByText('saved', { exact: true }).isVisible(), 'it is saved', 60_000);
  expect(readFileSync(join(served.folder, 'long.csv'), 'utf8')).toMatch(/^# keys/m);
  expect(readdirSync(served.folder)).toContain('long.before-1.csv');
});

it('saving that fails is tried again until it is done', async () => {
  await openTake(page, 'dusk.csv');
  await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
  await page.route('**/streams/*.csv', (route) =>
    route.request().method() === 'PUT' ? route.abort() : route.continue(),
  );
  await page.getByRole('button', { name: /^Set a key/ }).click();
  await until(() => page.getByText('not saved: tries again').isVisible(), 'it says that it is not saved');
  await page.unroute('**/streams/*.csv');
  await until(() => page.getByText('saved', { exact: true }).isVisible(), 'it is saved');
});

it('the server killed in mid-play: it says so, plays on, settles, and offers the take as a file', async () => {
  await page.keyboard.press('Home');
  await page.getByRole('button', { name: /^Play/ }).click();
  await until(
    () => page.evaluate(() => overheard.look!.follows === 'take' && overheard.look!.take_s! > 0.1),
    'it plays',
  );
  served.process.kill('SIGKILL');
  await page.getByRole('button', { name: /^Mark/ }).click();
  await says(page, /does not answer/);
  await picture(page, 'takes-server-gone-wide');
  expect(await page.evaluate(() => overheard.look!.state)).toBe('live');
  const [made] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Keep it as a file' }).click(),
  ]);
  expect(made.suggestedFilename()).toBe('dusk.csv');
  expect(readFileSync(await made.path(), 'utf8')).toMatch(/^# mark .* beat/m);
  await page.keyboard.press('Escape');
  await until(() => page.evaluate(() => ['settling', 'limp'].includes(overheard.look!.state)), 'it settles');
  expect(page.faults).toEqual([]);
});

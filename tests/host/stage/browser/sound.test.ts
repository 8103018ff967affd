/** What is heard and kept of a take: a film of it with its sound, lids on stresses, words at the wave, how late each joint is. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Download, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type Served, go, launch, open, picture, says, serve, until, violations } from './page.ts';
import { columnOf, dropped, syllables } from './take-file.ts';

const TAKE = 't_s,yaw_deg,jaw_deg,lid_deg\n0,0,0,40\n1,8,0,40\n2,0,0,40\n';

let browser: Browser | undefined;
let served: Served;
let page: Awaited<ReturnType<typeof open>>;
beforeAll(async () => {
  browser = await launch('--autoplay-policy=no-user-gesture-required');
  served = await serve('short.csv');
  writeFileSync(join(served.folder, 'short.csv'), TAKE);
  page = await open(browser, served.url);
  await go(page, 'Takes');
  await page.reload();
  await until(() => page.evaluate(() => overheard.look?.state === 'live'), 'the prop is live');
  await go(page, 'Takes');
  await until(() => page.getByText('Takes: short').isVisible(), 'the take is open');
  await dropped(page, 'hoot.wav', syllables([0.3, 1.2], 2));
  await until(() => page.getByText('Sound: hoot.wav').isVisible(), 'the sound is there');
});
afterAll(async () => {
  await browser?.close();
  served.close();
});

/** What a browser finds in a film: how long it lasts, s, how large its picture is, px, how loud it is at most, from when the prop is seen, s, and how many greys its last picture has. */
const found = (
  bytes: Buffer,
): Promise<{ seconds: number; width: number; loudest: number; seen_s: number; last: number }> =>
  page.evaluate(async (text) => {
    const raw = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    const video = document.createElement('video');
    video.muted = true;
    video.src = URL.createObjectURL(new Blob([raw], { type: 'video/webm' }));
    await new Promise((resolve, reject) => {
      video.onloadeddata = resolve;
      video.onerror = () => reject(new Error(video.error?.message));
    });
    const pen = new OffscreenCanvas(video.videoWidth, video.videoHeight).getContext('2d')!;
    // What has been loaded is not always painted: what has been sought is.
    const greysAt = async (t_s: number): Promise<number> => {
      video.currentTime = t_s;
      await new Promise((resolve) => (video.onseeked = resolve));
      pen.drawImage(video, 0, 0);
      const { data } = pen.getImageData(0, 0, video.videoWidth, video.videoHeight);
      return new Set(data.filter((_, n) => n % 4 === 0)).size;
    };
    // Sound may begin a picture earlier.
    let seen_s = 0.001;
    while (seen_s < 2 && (await greysAt(seen_s)) <= 20) seen_s += 0.05;
    // A stream that was written as it came says no length: its end is where a leap comes to stand.
    const last = await greysAt(1e6);
    const sound = await new OfflineAudioContext(1, 1, 48_000).decodeAudioData(raw.buffer);
    const loudest = sound.getChannelData(0).reduce((most, now) => Math.max(most, Math.abs(now)), 0);
    return { seconds: video.currentTime, width: video.videoWidth, loudest, seen_s, last };
  }, bytes.toString('base64'));

it('a take of 2 s is filmed, picture and sound, as a WebM of its name', async () => {
  await page.getByText('Takes: short').click();
  const kept: Promise<Download> = page.waitForEvent('download', { timeout: 30_000 });
  const asked_ms = performance.now();
  await page.getByRole('button', { name: 'Film the take' }).click();
  await until(() => page.getByRole('button', { name: 'End the film' }).isVisible(), 'it can be ended');
  const film = await kept;
  const made_s = (performance.now() - asked_ms) / 1000;
  expect(film.suggestedFilename()).toBe('short.webm');
  const bytes = readFileSync(await film.path());
  // EBML's own first bytes (RFC 8794, 11.2.1), the codecs' names as Matroska spells them (RFC 9559 and its codec registry).
  expect(bytes.subarray(0, 4).toString('hex')).toBe('1a45dfa3');
  const text = bytes.toString('latin1');
  expect(text).toMatch(/V_VP[89]/);
  expect(text).toContain('A_OPUS');
  const { seconds, width, loudest, seen_s, last } = await found(bytes);
  expect(seconds).toBeGreaterThan(1.8);
  // Filmed as it plays: a machine that draws four pictures a second plays it slower.
  expect(seconds).toBeLessThan(Math.max(3, made_s));
  expect(width).toBeGreaterThan(200);
  expect(width % 2).toBe(0);
  expect(loudest, 'the syllables are heard').toBeGreaterThan(0.1);
  // Within a tenth of the take, or of the time that a slow machine took for it.
  expect(seen_s, 'the prop is seen at once').toBeLessThan(0.1 * Math.max(2, made_s));
  expect(last, 'and to the end').toBeGreaterThan(20);
  await until(() => page.getByRole('button', { name: 'Film the take' }).isVisible(), 'the film has ended');
  expect(page.faults).toEqual([]);
});

it('a browser that makes no films says so', async () => {
  const other = await open(browser!, served.url, {}, () => {
    delete (globalThis as { MediaRecorder?: unknown }).MediaRecorder;
  });
  await go(other, 'Takes');
  await other.getByText(/^Takes: /).click();
  await until(() => other.getByText('No film: this browser cannot make films').isVisible(), 'it says so');
  expect(await other.getByRole('button', { name: /film/i }).count()).toBe(0);
  await other.context().close();
});

const file = (): string => readFileSync(join(served.folder, 'short.csv'), 'utf8');
const saved = (): Promise<void> => until(() => page.getByText('saved', { exact: true }).isVisible(), 'it is saved');
const undoWords = (): Promise<string> => page.getByRole('button', { name: /^Undo/ }).innerText();

it('the lids move on the stresses, as far as is asked, and one undo takes it back', async () => {
  await page.getByText('Sound: hoot.wav').click();
  const before = await undoWords();
  await page.getByRole('button', { name: 'Move the lids on its stresses' }).click();
  await says(page, /the lids move on 2 stresses/);
  await page.getByLabel('by, deg').fill('-20');
  await saved();
  const lid = columnOf(file(), 'lid_deg');
  // Each syllable lasts 0.25 s and is loudest in its middle.
  for (const t_s of [0.42, 1.32]) {
    const around = lid.slice(Math.round(t_s * 50) - 4, Math.round(t_s * 50) + 5);
    expect(Math.min(...around), `the stress at ${String(t_s)} s`).toBeCloseTo(20, 0);
  }
  expect(lid[Math.round(0.9 * 50)]).toBeCloseTo(40, 0);
  await picture(page, 'takes-sound-panel');
  await page.getByRole('button', { name: /^Undo: move the lids/ }).click();
  expect(await undoWords()).toBe(before);
});

it('a word is typed at once at its mark, by the keyboard alone, and stands under the wave', async () => {
  const time = page.getByRole('group', { name: /^time line/ });
  await time.focus();
  await page.keyboard.press('Home');
  for (let n = 0; n < 10; n++) await page.keyboard.press('ArrowRight');
  await page.keyboard.press('k');
  await page.keyboard.type('startle');
  await page.keyboard.press('Enter');
  expect(await time.evaluate((element) => element === document.activeElement)).toBe(true);
  for (let n = 0; n < 4; n++) await page.keyboard.press('Alt+ArrowRight');
  await page.keyboard.press('k');
  await page.keyboard.type('a very long word');
  await page.keyboard.press('Enter');
  await page.keyboard.press('Home');
  await saved();
  expect(file()).toMatch(/^# mark 0\.4 startle$/m);
  expect(file()).toMatch(/^# mark 0\.48 a very long word$/m);
  const mark = page.getByRole('slider', { name: 'mark a very long word' });
  expect(await mark.getAttribute('aria-valuetext')).toBe('0.48 s');
  await page.setViewportSize({ width: 390, height: 844 });
  const word = (text: string): ReturnType<Page['locator']> => page.locator('.mark text', { hasText: text });
  await until(() => word('startle').isVisible(), 'the first is read');
  await until(() => word('a very long word').isHidden(), 'the second has no room beside it');
  await mark.focus();
  await page.keyboard.press('Enter');
  await until(() => word('a very long word').isVisible(), 'the one at the cursor is read');
  expect(await word('startle').isHidden()).toBe(true);
  expect(await violations(page)).toEqual([]);
  await picture(page, 'takes-sound-panel-narrow');
  await page.setViewportSize({ width: 1280, height: 800 });
});

it('each joint has its own lead from a filmed clap, on top of the one it has, and the file and the play have it', async () => {
  await page.getByText('How late a joint is, from a filmed clap').click();
  await page.getByRole('combobox', { name: /^joint/ }).selectOption('Lids: lid');
  const filmed = async (heard: number, seen: number): Promise<void> => {
    await page.getByLabel('frame in which the clap is heard').fill(String(heard));
    await page.getByLabel('frame in which it is seen shut').fill(String(seen));
    await page.getByRole('button', { name: 'Ask it that much earlier' }).click();
  };
  const before = columnOf(file(), 'yaw_deg');
  await filmed(120, 123);
  await says(page, /was 100 ms late: it is asked 100 ms earlier/);
  await filmed(200, 199);
  await says(page, /was -33 ms late: it is asked 67 ms earlier/);
  await page.getByRole('combobox', { name: /^joint/ }).selectOption('Nod');
  await until(() => page.getByText('asked 0 ms earlier than its keys').isVisible(), 'the nod has a lead of its own');
  await filmed(1, 2);
  await saved();
  expect(file()).toMatch(/^# lead nod_deg 33$/m);
  expect(file()).toMatch(/^# lead lid_deg 67$/m);
  expect(columnOf(file(), 'yaw_deg')).toEqual(before);
  await picture(page, 'takes-lead-panel');
  expect(page.faults).toEqual([]);
});

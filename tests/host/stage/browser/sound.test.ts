/** What is heard and kept of a take: a film of it with its sound, lids on stresses, words at the wave, how late each joint is. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Download } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type Served, go, launch, open, serve, until } from './page.ts';
import { dropped, syllables } from './take-file.ts';

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

/** What a browser finds in a film: how long it lasts, s, how large its picture is, px, how loud it is at most, and which colours it has. */
const found = (bytes: Buffer): Promise<{ seconds: number; width: number; loudest: number; greys: number }> =>
  page.evaluate(async (text) => {
    const raw = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    const video = document.createElement('video');
    video.muted = true;
    video.src = URL.createObjectURL(new Blob([raw], { type: 'video/webm' }));
    await new Promise((resolve, reject) => {
      video.onloadeddata = resolve;
      video.onerror = () => reject(new Error(video.error?.message));
    });
    // A stream that was written as it came says no length: its end is where a leap comes to stand.
    video.currentTime = 1e6;
    await new Promise((resolve) => (video.onseeked = resolve));
    const pen = new OffscreenCanvas(video.videoWidth, video.videoHeight).getContext('2d')!;
    pen.drawImage(video, 0, 0);
    const { data } = pen.getImageData(0, 0, video.videoWidth, video.videoHeight);
    const greys = new Set(data.filter((_, n) => n % 4 === 0)).size;
    const sound = await new OfflineAudioContext(1, 1, 48_000).decodeAudioData(raw.buffer);
    const loudest = sound.getChannelData(0).reduce((most, now) => Math.max(most, Math.abs(now)), 0);
    return { seconds: video.currentTime, width: video.videoWidth, loudest, greys };
  }, bytes.toString('base64'));

it('a take of 2 s is filmed, picture and sound, as a WebM of its name', async () => {
  await page.getByText('Takes: short').click();
  const kept: Promise<Download> = page.waitForEvent('download', { timeout: 30_000 });
  await page.getByRole('button', { name: 'Film the take' }).click();
  await until(() => page.getByRole('button', { name: 'End the film' }).isVisible(), 'it can be ended');
  const film = await kept;
  expect(film.suggestedFilename()).toBe('short.webm');
  const bytes = readFileSync(await film.path());
  // EBML's own first bytes (RFC 8794, 11.2.1), the codecs' names as Matroska spells them (RFC 9559 and its codec registry).
  expect(bytes.subarray(0, 4).toString('hex')).toBe('1a45dfa3');
  const text = bytes.toString('latin1');
  expect(text).toMatch(/V_VP[89]/);
  expect(text).toContain('A_OPUS');
  const { seconds, width, loudest, greys } = await found(bytes);
  expect(seconds).toBeGreaterThan(1.8);
  expect(seconds).toBeLessThan(3);
  expect(width).toBeGreaterThan(200);
  expect(width % 2).toBe(0);
  expect(loudest, 'the syllables are heard').toBeGreaterThan(0.1);
  expect(greys, 'the prop is seen').toBeGreaterThan(20);
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

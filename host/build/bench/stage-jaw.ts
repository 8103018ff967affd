/** Jaw against sound in a real browser, in real time, with an audio clock that is 100 ppm fast. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { readRig } from '../../rig/read.ts';
import { beatsWav, lateJaw, runFast, sizes } from './stage-drift.ts';

const SHARE = 100e-6;

async function dropSound(page: Page, name: string, bytes: Buffer): Promise<void> {
  await page.evaluate(
    ({ text, called }) => {
      const data = new DataTransfer();
      data.items.add(new File([Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0))], called));
      document.querySelector('main section')!.dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true }));
    },
    { text: bytes.toString('base64'), called: name },
  );
}

/** @param folder of the rig, where the page saves the take @returns what it came to, in words */
export async function jawAgainstSound(browser: Browser, url: string, folder: string, for_s: number): Promise<string> {
  const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
  await page.addInitScript(runFast, SHARE);
  await page.goto(url);
  await page.getByRole('navigation').getByRole('button', { name: 'Takes' }).click();
  await page.getByText(/^Takes: /).click();
  await page.getByRole('button', { name: 'New take' }).click();
  await page.getByText('Takes: take 1').waitFor();
  const beats_s = Array.from({ length: for_s - 1 }, (_, n) => n + 0.5);
  await dropSound(page, 'beats.wav', beatsWav(beats_s, for_s));
  await page.getByText('Sound: beats.wav').click();
  await page.getByRole('button', { name: 'Take the jaw from the sound' }).click({ timeout: 60_000 });
  await page.getByRole('slider', { name: /^gain/ }).fill('0.3');
  await page.getByText('saved', { exact: true }).waitFor({ timeout: 60_000 });
  await page.keyboard.press('Home');
  await page.getByRole('button', { name: /^Play/ }).click();
  while (!(await page.evaluate(() => clock.pulses !== null))) await page.waitForTimeout(1000);
  const { joints } = readRig(readFileSync(join(folder, 'night-owl.yaml'), 'utf8')).rig!;
  const [header = '', ...rows] = readFileSync(join(folder, 'take 1.csv'), 'utf8')
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'));
  const column = header.split(',').indexOf('jaw_deg');
  const asked_deg = rows.map((row) => Number(row.split(',')[column]));
  const jaw = joints.findIndex(({ name }) => name === 'jaw');
  const late_ms = await lateJaw(page, joints.length, jaw, { asked_deg, beats_s });
  const starts = await page.evaluate(() => clock.starts.length);
  await page.close();
  const { worst_ms, p95_ms } = sizes(late_ms);
  return (
    `jaw against sound over ${String(for_s)} s, audio clock ${String(SHARE * 1e6)} ppm fast: worst ${worst_ms.toFixed(2)} ms, 95 % within ` +
    `${p95_ms.toFixed(2)} ms of ${String(late_ms.length)} beats (first ${late_ms[0]!.toFixed(2)}, last ${late_ms.at(-1)!.toFixed(2)} ms); sound started ${String(starts)} times`
  );
}

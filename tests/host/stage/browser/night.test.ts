/** A night in the browser: takes packed for the board, and a rig with responses whose inputs are worked by hand. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { readNight } from '../../../../host/shows/night-file.ts';
import { type Served, go, launch, open, picture, serveWith, until, violations } from './page.ts';

const RIG = `${readFileSync('host/demo/night-owl.yaml', 'utf8')}night:
  inputs: { step: { pin: 27 } }
  analog: { near: 26 }
`;
const RESPONSES = `import { add, closed, level } from './senses';
import { Level, Pin, Value } from './named';
export function respond(): void {
  add(Value.ears, level(Level.near) * 20.0);
  if (closed(Pin.step)) add(Value.lid, 10.0);
}
`;
const take = (column: string, at: (t_s: number) => number): string =>
  `t_s,${column}\n${Array.from({ length: 201 }, (_, n) => `${(n / 50).toFixed(2)},${at(n / 50).toFixed(3)}`).join('\n')}\n`;
/** The nod leaps by 15 deg from one frame to the next. */
const LEAP = take('nod_deg', (t_s) => (t_s < 1 ? 0 : -15));
const CALM = take('yaw_deg', (t_s) => 3 - 3 * Math.cos((Math.PI * t_s) / 2));

let browser: Browser | undefined;
let served: Served;
let page: Awaited<ReturnType<typeof open>>;
beforeAll(async () => {
  browser = await launch();
  const files = { 'night-owl.yaml': RIG, 'responses.ts': RESPONSES, 'leap.csv': LEAP, 'calm.csv': CALM };
  served = await serveWith(files, 'calm.csv');
  page = await open(browser, served.url);
});
afterAll(async () => {
  await browser?.close();
  served.close();
});

/** Both widths, and dark: axe-core finds nothing, and nothing is wider than the page. */
async function looked(name: string): Promise<void> {
  for (const [size, width] of [
    ['wide', 1280],
    ['narrow', 390],
  ] as const) {
    await page.setViewportSize({ width, height: 844 });
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      expect(await violations(page), `${name} ${size} ${colorScheme}`).toEqual([]);
      await picture(page, `${name}-${size}-${colorScheme}`);
    }
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
  }
  await page.emulateMedia({ colorScheme: 'light' });
  await page.setViewportSize({ width: 1280, height: 800 });
}

const EARS = 9;
const LID = 7;
/** Where the metal has a joint, deg. */
const metal = (joint: number): Promise<number> =>
  page.evaluate((j) => (overheard.look!.metal[j]! * 180) / Math.PI, joint);

it('its inputs are worked by hand and by keys, and the prop responds', async () => {
  const ears_deg = await metal(EARS);
  await page.getByRole('combobox', { name: 'it senses' }).selectOption('near');
  const slider = page.getByRole('slider', { name: 'near' });
  await slider.focus();
  await page.keyboard.press('End');
  expect(await slider.getAttribute('aria-valuetext')).toBe('1.00 of full scale');
  await until(async () => (await metal(EARS)) > ears_deg + 18, 'the ears answer to it');
  await page.keyboard.press('ArrowLeft');
  expect(await slider.getAttribute('aria-valuetext')).toBe('0.99 of full scale');
  const lid_deg = await metal(LID);
  await page.getByRole('combobox', { name: 'it senses' }).selectOption('step');
  const step = page.getByRole('button', { name: 'close step' });
  await step.click();
  expect(await step.getAttribute('aria-pressed')).toBe('true');
  await until(async () => (await metal(LID)) > lid_deg + 8, 'the lid answers to the pin');
  expect(await page.getByText('near: 0.99 of full scale').isVisible()).toBe(true);
  await looked('hand-senses');
  await page.getByRole('button', { name: 'let all go' }).click();
  await until(async () => Math.abs((await metal(EARS)) - ears_deg) < 1, 'the ears are let go');
  await until(async () => Math.abs((await metal(LID)) - lid_deg) < 1, 'and the lid');
  expect(page.faults).toEqual([]);
});

it('a rig without responses has no inputs to work', async () => {
  const plain = await serveWith({ 'night-owl.yaml': RIG });
  const other = await open(browser!, plain.url);
  expect(await other.getByRole('combobox', { name: 'what moves' }).isVisible()).toBe(true);
  expect(await other.getByRole('combobox', { name: 'it senses' }).count()).toBe(0);
  await other.context().close();
  plain.close();
});

it('a take that is out of limits is refused, with the joint and the second; one within limits is packed', async () => {
  await go(page, 'Takes');
  await page.getByText('Night: takes as a board show').click();
  const packs = page.getByRole('button', { name: 'Pack the night' });
  expect(await packs.isDisabled()).toBe(true);
  await page.getByLabel('leap', { exact: true }).check();
  await page.getByLabel('calm', { exact: true }).check();
  await page.getByLabel('night’s name').fill('tonight');
  await packs.click();
  const refused = page.getByText(/^leap\.csv: Will it be smooth\? no: nod .* s\b/);
  await until(() => refused.isVisible(), 'it says why');
  expect(await page.getByText('No night was made:').isVisible()).toBe(true);
  await looked('takes-night-refused');
  await page.getByLabel('leap', { exact: true }).uncheck();
  await packs.click();
  await until(
    () => page.getByText(/^tonight\.pwshow is in the rig’s folder: 1 show, 4\.0 s, \d+\.\d KiB\.$/).isVisible(),
    'it is packed',
  );
  expect(await page.getByText(/posewright shows send .*tonight\.pwshow --on usb/).isVisible()).toBe(true);
  const night = readNight(readFileSync(join(served.folder, 'tonight.pwshow')));
  if (typeof night === 'string') throw new Error(night);
  expect(night.shows.map(({ name }) => name)).toEqual(['calm']);
  await looked('takes-night');
  expect(page.faults).toEqual([]);
});

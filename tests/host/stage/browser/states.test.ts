/**
 * States that are asked for now and then: shares of a look, help in every place, the sound's details, a fix that is tried, a film.
 * What a screen reader's rules find in them, wide and narrow, light and dark; and that the keyboard alone reaches all.
 */
import { utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Served, go, launch, open, picture, says, serve, until, violations } from './page.ts';
import { dropped, syllables } from './take-file.ts';

let browser: Browser | undefined;
let served: Served;
beforeAll(async () => {
  browser = await launch('--autoplay-policy=no-user-gesture-required');
  served = await serve('dusk.csv');
});
afterAll(async () => {
  await browser?.close();
  served.close();
});

/** Tab until what has the focus has this name. */
async function tabTo(page: Page, name: RegExp): Promise<void> {
  const tried: string[] = [];
  for (let n = 0; n < 120; n++) {
    const here = await page.evaluate(() => {
      const at = document.activeElement as HTMLInputElement | null;
      return at?.getAttribute('aria-label') ?? at?.labels?.[0]?.textContent ?? at?.textContent ?? '';
    });
    if (name.test(here.trim())) return;
    tried.push(here.trim().slice(0, 30));
    await page.keyboard.press('Tab');
  }
  throw new Error(`Tab does not come to ${String(name)}, but to ${[...new Set(tried)].join('; ')}`);
}

/** The owl, whose ears are an eye that turns to the side. */
async function openWithEye(options: Parameters<typeof open>[2] = {}): Promise<Awaited<ReturnType<typeof open>>> {
  const page = await open(browser!, served.url, options);
  await page.route('**/rig', async (route) => {
    const response = await route.fetch();
    await route.fulfill({ response, body: (await response.text()).replaceAll('"ears"', '"eye_left"') });
  });
  await page.reload();
  await until(() => page.evaluate(() => overheard.look?.state === 'live'), 'the prop is live');
  return page;
}

const LOOKS = [
  ['wide', 'light', { width: 1280, height: 800 }],
  ['wide', 'dark', { width: 1280, height: 800 }],
  ['narrow', 'light', { width: 390, height: 844 }],
  ['narrow', 'dark', { width: 390, height: 844 }],
] as const;

it.each(LOOKS)(
  'no violation with shares, help or the sound’s details open, %s and %s',
  async (size, colorScheme, viewport) => {
    const page = await openWithEye({ viewport, colorScheme, deviceScaleFactor: size === 'wide' ? 0.5 : 1 });
    const found: Record<string, string[]> = {};
    const look = async (state: string): Promise<void> => {
      found[state] = await violations(page);
      const across = await page.evaluate(() =>
        Math.max(
          ...['html', 'main']
            .map((name) => document.querySelector(name)!)
            .map((one) => one.scrollWidth - one.clientWidth),
        ),
      );
      if (across > 0) found[state].push(`sticks out by ${String(across)} px`);
      await picture(page, `${state}-${size}-${colorScheme}`);
    };
    await page.keyboard.press('l');
    await until(() => page.getByLabel('eyes’ share, %').isVisible(), 'the shares are there');
    await look('shares');
    for (const place of ['Hand', 'Takes', 'Effort', 'Workshop']) {
      await go(page, place);
      await page.keyboard.press('?');
      await until(() => page.getByRole('region', { name: 'help' }).isVisible(), 'help is open');
      await look(`help-${place.toLowerCase()}`);
      await page.keyboard.press('?');
    }
    await go(page, 'Takes');
    await dropped(page, `hoot ${size} ${colorScheme}.wav`, syllables([0.3], 1));
    await until(() => page.getByText(`Sound: hoot ${size} ${colorScheme}.wav`).isVisible(), 'the sound is there');
    await page.getByText(/^Sound: /).click();
    await page.getByText('How late a joint is, from a filmed clap').click();
    for (const part of ['jaw from loudness', 'lids on stresses'])
      expect(await page.getByRole('group', { name: part }).isVisible(), part).toBe(true);
    await look('sound-details');
    expect(found).toEqual(Object.fromEntries(Object.keys(found).map((state) => [state, []])));
    expect(page.faults).toEqual([]);
    await page.context().close();
  },
);

describe('by the keyboard alone', () => {
  it('shares of a look are changed: eyes, neck and platform are asked for theirs, and it is kept for the next visit', async () => {
    const page = await openWithEye();
    const names = await page.evaluate(async () => {
      const { joints } = JSON.parse(await (await fetch('rig')).text()) as { joints: { name: string; kind: string }[] };
      return joints.filter(({ kind }) => kind !== 'leg').map(({ name }) => name);
    });
    const [eye, neck] = ['eye_left', 'nod'].map((name) => 6 + names.indexOf(name));
    const deg = async (): Promise<{ eye: number; neck: number; pitch: number; yaw: number }> => {
      await page.waitForTimeout(2000);
      const asked = await page.evaluate(() => overheard.look!.asked);
      const at = (i: number): number => (asked[i]! * 180) / Math.PI;
      return { eye: at(eye!), neck: at(neck!), pitch: at(4), yaw: at(5) };
    };
    const share = async (of: RegExp, percent: number): Promise<void> => {
      await tabTo(page, of);
      await page.keyboard.press('Control+a');
      await page.keyboard.type(String(percent));
    };
    await page.keyboard.press('l');
    for (let n = 0; n < 8; n++) await page.keyboard.press(n % 2 ? 'ArrowLeft' : 'ArrowUp');
    await share(/^eyes’ share/, 0);
    await share(/^neck’s share of what is left/, 0);
    const none = await deg();
    expect(await page.getByText('platform: 100 %').isVisible()).toBe(true);
    expect(Math.abs(none.yaw)).toBeGreaterThan(2);
    expect(Math.abs(none.pitch)).toBeGreaterThan(1);
    await page.keyboard.press('Control+a');
    await page.keyboard.type('60');
    const necked = await deg();
    expect(await page.getByText('platform: 40 %').isVisible()).toBe(true);
    expect(Math.abs(necked.neck - none.neck)).toBeGreaterThan(0.5);
    expect(Math.abs(necked.pitch)).toBeLessThan(Math.abs(none.pitch) - 0.5);
    await page.getByLabel('eyes’ share, %').focus();
    await share(/^eyes’ share/, 50);
    const eyed = await deg();
    expect(await page.getByText('platform: 20 %').isVisible()).toBe(true);
    expect(Math.abs(eyed.eye)).toBeGreaterThan(Math.abs(necked.eye) + 1);
    expect(Math.abs(eyed.yaw)).toBeLessThan(0.7 * Math.abs(necked.yaw));
    await page.reload();
    await until(() => page.evaluate(() => overheard.look?.state === 'live'), 'the prop is live');
    await page.keyboard.press('l');
    expect(await page.getByLabel('eyes’ share, %').inputValue()).toBe('50');
    expect(page.faults).toEqual([]);
    await page.context().close();
  });

  it('the jaw is taken from the sound, louder, and a film is begun and ended', async () => {
    const page = await open(browser!, served.url);
    await tabTo(page, /^Takes$/);
    await page.keyboard.press('Enter');
    await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
    await dropped(page, 'hoot keys.wav', syllables([0.3], 1));
    await until(() => page.getByText('Sound: hoot keys.wav').isVisible(), 'the sound is there');
    await tabTo(page, /^Sound: hoot/);
    await page.keyboard.press('Enter');
    await tabTo(page, /^Take the jaw from the sound/);
    await page.keyboard.press('Enter');
    await says(page, /follows the sound, gain 1\.0/);
    await tabTo(page, /^gain, /);
    await page.keyboard.press('ArrowRight');
    await says(page, /follows the sound, gain 1\.1/);
    await tabTo(page, /^Takes: dusk/);
    await page.keyboard.press('Enter');
    await tabTo(page, /^Film the take/);
    await page.keyboard.press('Enter');
    await until(() => page.getByRole('button', { name: 'End the film' }).isVisible(), 'it can be ended');
    await tabTo(page, /^End the film/);
    await page.keyboard.press('Enter');
    await until(() => page.getByRole('button', { name: 'Film the take' }).isVisible(), 'it has ended');
    await page.keyboard.press('Control+z');
    expect(page.faults).toEqual([]);
    await page.context().close();
  });

  it('a gap is opened, “Until it follows” says what it is doing, is stopped, and another fix is taken', async () => {
    const page = await open(browser!, served.url);
    await go(page, 'Takes');
    await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
    await until(() => page.locator('ul.questions[aria-busy=false]').isVisible(), 'the take is judged');
    await tabTo(page, /^open Nod/);
    await page.keyboard.press('Enter');
    await tabTo(page, /^(torque|limit|reach)/);
    await page.keyboard.press('Enter');
    await tabTo(page, /^Until it follows/);
    await page.keyboard.press('Enter');
    const tried = page.getByRole('group', { name: 'what Until it follows comes to' });
    await until(
      () => tried.getByText(/^Now: retimed; the simulated prop plays it/).isVisible(),
      'it says what it is doing',
    );
    await tabTo(page, /^Stop$/);
    await page.keyboard.press('Enter');
    await until(() => tried.isHidden(), 'it has been stopped');
    await tabTo(page, /^Until it follows/);
    await page.keyboard.press('Enter');
    await until(
      () =>
        tried.getByText(/^Now: round 1 of at most 6: stretch \d+ of \d+, from [\d.]+ to [\d.]+ s, is made/).isVisible(),
      'it says the round and the stretch',
    );
    await picture(page, 'takes-follow-tried');
    expect(await violations(page)).toEqual([]);
    await tabTo(page, /^(Stop|Leave it)$/);
    await page.keyboard.press('Enter');
    await tabTo(page, /^Smaller$/);
    await page.keyboard.press('Enter');
    await until(() => page.getByRole('button', { name: 'Take it' }).isVisible(), 'it has been tried');
    await tabTo(page, /^Take it/);
    await page.keyboard.press('Enter');
    await says(page, /Smaller: done, and undone by undo/);
    await page.keyboard.press('Control+z');
    expect(page.faults).toEqual([]);
    await page.context().close();
  });
});

it('opens the take made last where none is named, whatever streams from elsewhere are newer', async () => {
  const own = await serve();
  try {
    const made = (name: string, at_s: number): void => {
      writeFileSync(join(own.folder, name), '# keys yaw_deg 0 0, 1 5\nt_s,yaw_deg\n0,0\n1,5\n');
      utimesSync(join(own.folder, name), at_s, at_s);
    };
    made('older.csv', 1000);
    made('newer.csv', 2000);
    const page = await open(browser!, own.url);
    await go(page, 'Takes');
    await until(() => page.getByText('Takes: newer').isVisible(), 'the newest is open');
    expect(await page.getByRole('button', { name: /^Undo/ }).isDisabled()).toBe(true);
    await page.context().close();
  } finally {
    own.close();
  }
});

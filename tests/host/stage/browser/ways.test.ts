/** Ways in beside the mouse on a wide window: a narrow one, the keyboard alone, a gamepad, MIDI faders, fingers, no WebGL; and what a screen reader's rules find. */
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { dropped, syllables } from './take-file.ts';
import { type Served, go, headAt, launch, open, picture, says, serve, until, violations } from './page.ts';

let browser: Browser | undefined;
let served: Served;
beforeAll(async () => {
  browser = await launch();
  served = await serve('dusk.csv');
});
afterAll(async () => {
  await browser?.close();
  served.close();
});

const asked = (page: Page, place: number): Promise<number> => page.evaluate((i) => overheard.look!.asked[i]!, place);

it.each([
  ['wide', 'light', { width: 1280, height: 800 }],
  ['narrow', 'dark', { width: 390, height: 844 }],
] as const)('no violation in any state of Hand and Takes, %s and %s', async (size, colorScheme, viewport) => {
  const page = await open(browser!, served.url, {
    viewport,
    colorScheme,
    deviceScaleFactor: size === 'wide' ? 0.5 : 1,
  });
  const found = new Map<string, string[]>();
  const look = async (state: string): Promise<void> => {
    found.set(state, await violations(page));
    await picture(page, `${state}-${size}-${colorScheme}`);
  };
  await look('hand');
  await page.keyboard.press('?');
  await look('hand-keys');
  await page.keyboard.press('?');
  await page.keyboard.press('l');
  await page.keyboard.press('r');
  await look('hand-look-at-range');
  await page.keyboard.press('Escape');
  await until(() => page.evaluate(() => overheard.look!.state === 'limp'), 'it has settled');
  await look('hand-limp');
  await page.keyboard.press('g');
  await go(page, 'Takes');
  await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
  await look('takes');
  await dropped(page, `hoot ${size} ${colorScheme}.wav`, syllables([0.5], 1));
  await page.keyboard.press('k');
  await page.getByRole('group', { name: /^time line/ }).focus();
  for (let n = 0; n < 9; n++) await page.keyboard.press('Shift+ArrowRight');
  for (const panel of await page.locator('summary').all()) await panel.click();
  await look('takes-stretch-panels');
  await page.getByRole('button', { name: /^Record/ }).click();
  await look('takes-count-in');
  await page.keyboard.press('Escape');
  expect(Object.fromEntries([...found].filter(([, lines]) => lines.length > 0))).toEqual({});
  expect(page.faults).toEqual([]);
  const across = await page.evaluate(() =>
    Math.max(
      ...['html', 'main'].map((name) => document.querySelector(name)!).map((one) => one.scrollWidth - one.clientWidth),
    ),
  );
  expect(across, 'nothing sticks out sideways').toBeLessThanOrEqual(0);
  await page.context().close();
});

it('at 390 px it is seen, plays and settles by touch alone', async () => {
  const page = await open(browser!, served.url, {
    viewport: { width: 390, height: 844 },
    deviceScaleFactor: 1,
    hasTouch: true,
    isMobile: true,
  });
  const box = (await page.locator('.room canvas').boundingBox())!;
  expect(box.height).toBeGreaterThan(240);
  await page.getByRole('navigation').getByRole('button', { name: 'Takes' }).tap();
  await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
  await page.getByRole('button', { name: /^Play/ }).tap();
  await until(
    () => page.evaluate(() => overheard.look!.follows === 'take' && overheard.look!.take_s! > 0.3),
    'it plays',
  );
  await picture(page, 'takes-plays-phone');
  await page.getByRole('button', { name: /^Settle/ }).tap();
  await until(() => page.evaluate(() => ['settling', 'limp'].includes(overheard.look!.state)), 'it settles');
  await page.context().close();
});

it('a layer is recorded, played and settled by the keyboard alone', { retry: 1 }, async () => {
  const page = await open(browser!, served.url);
  /** Tab until what has the focus has this name. */
  const tabTo = async (name: RegExp): Promise<void> => {
    for (let n = 0; n < 60; n++) {
      const here = await page.evaluate(
        () => document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '',
      );
      if (name.test(here)) return;
      await page.keyboard.press('Tab');
    }
    throw new Error(`Tab does not come to ${String(name)}`);
  };
  await tabTo(/^Takes$/);
  await page.keyboard.press('Enter');
  await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
  await tabTo(/^open Ears/);
  await page.keyboard.press('Enter');
  await page.keyboard.press('r');
  await until(
    () => page.evaluate(() => overheard.look!.follows === 'take' && overheard.look!.take_s! > 0.2),
    'it runs',
    60_000,
  );
  for (const key of ['ArrowUp', 'ArrowUp', 'ArrowUp', 'ArrowDown', 'ArrowUp']) {
    for (let n = 0; n < 3; n++) await page.keyboard.press(key);
    await page.waitForTimeout(150);
  }
  await page.keyboard.press('r');
  await says(page, /Ears is recorded, \d/);
  await page.keyboard.press('Control+z');
  await page.keyboard.press('Escape');
  await until(() => page.evaluate(() => ['settling', 'limp'].includes(overheard.look!.state)), 'it settles');
  await page.context().close();
});

it('a gamepad moves what it is mapped to, in Hand and in Takes, and a press maps it anew', async () => {
  const page = await open(browser!, served.url, {}, () => {
    const pad = {
      id: 'a pad',
      connected: true,
      mapping: 'standard',
      axes: [0, 0, 0, 0],
      buttons: Array.from({ length: 17 }, () => ({ pressed: false, touched: false, value: 0 })),
    };
    Object.assign(globalThis, { pad });
    Navigator.prototype.getGamepads = () => [pad as unknown as Gamepad];
  });
  const stick = (axis: number, at: number): Promise<void> =>
    page.evaluate(
      ([i, value]) => void ((globalThis as unknown as { pad: { axes: number[] } }).pad.axes[i!] = value!),
      [axis, at],
    );
  await stick(2, 1);
  await until(async () => Math.abs(await asked(page, 5)) > 0.3, 'the right stick turns the head');
  await stick(2, 0);
  await page.getByRole('button', { name: 'a pad' }).click();
  expect(await violations(page)).toEqual([]);
  await picture(page, 'hand-gamepad');
  await page.getByRole('button', { name: /^right stick across/ }).click();
  await page.waitForTimeout(100);
  await stick(1, 1);
  await until(
    () => page.getByRole('button', { name: /^left stick up and down: look left and right/ }).isVisible(),
    'mapped',
  );
  await stick(1, 0);
  await page.reload();
  await until(() => page.evaluate(() => overheard.look?.state === 'live'), 'the prop is live');
  await page.getByRole('button', { name: 'a pad' }).click();
  await until(
    () => page.getByRole('button', { name: /^left stick up and down: look left and right/ }).isVisible(),
    'it is so after a reload',
  );
  await go(page, 'Takes');
  await stick(1, 1);
  await until(async () => Math.abs(await asked(page, 5)) > 0.3, 'it is heard beside the time line too');
  await page.context().close();
});

it('a MIDI fader moves what it is mapped to', async () => {
  const page = await open(browser!, served.url, {}, () => {
    const input = { name: 'a box', onmidimessage: null as ((event: { data: Uint8Array }) => void) | null };
    Object.assign(globalThis, { input });
    Object.assign(Navigator.prototype, {
      requestMIDIAccess: () => Promise.resolve({ inputs: new Map([['1', input]]) }),
    });
  });
  const fader = (value: number): Promise<void> =>
    page.evaluate(
      (at) =>
        (globalThis as unknown as { input: { onmidimessage: (event: object) => void } }).input.onmidimessage({
          data: Uint8Array.of(0xb0, 21, at),
        }),
      value,
    );
  await page.keyboard.press('?');
  await page.getByRole('button', { name: /MIDI/ }).click();
  await says(page, /a box is listened to/);
  await page.keyboard.press('?');
  await page.getByRole('button', { name: 'a box' }).click();
  await fader(0);
  await page.waitForTimeout(100);
  await page
    .getByRole('button', { name: /look left and right/ })
    .last()
    .click();
  await page.waitForTimeout(100);
  await fader(127);
  await says(page, /fader 21 moves yaw_deg/);
  await page.waitForTimeout(100);
  await fader(100);
  await until(async () => (await asked(page, 5)) > 0.1, 'the fader turns the head');
  await page.context().close();
});

describe('fingers', () => {
  let page: Page;
  /** Puts fingers down, moves them to the other places in steps, and lifts them. */
  const fingers = async (from: readonly (readonly number[])[], to: readonly (readonly number[])[]): Promise<void> => {
    const session = await page.context().newCDPSession(page);
    const send = (
      type: 'touchStart' | 'touchMove' | 'touchEnd',
      at: readonly (readonly number[])[],
    ): Promise<unknown> =>
      session.send('Input.dispatchTouchEvent', { type, touchPoints: at.map(([x, y], id) => ({ x: x!, y: y!, id })) });
    await send('touchStart', from);
    for (let n = 1; n <= 5; n++)
      await send(
        'touchMove',
        from.map(([x, y], k) => [x! + ((to[k]![0]! - x!) * n) / 5, y! + ((to[k]![1]! - y!) * n) / 5]),
      );
    await send('touchEnd', []);
    await session.detach();
  };
  beforeAll(async () => {
    page = await open(browser!, served.url, { hasTouch: true });
  });
  afterAll(() => page.context().close());

  it('one turns the head, two move it', async () => {
    const [x, y] = await headAt(page);
    await fingers([[x, y]], [[x + 40, y]]);
    await until(async () => Math.abs(await asked(page, 5)) > 0.1, 'it turns');
    expect(Math.abs(await asked(page, 1))).toBeLessThan(1);
    const yaw = await asked(page, 5);
    await fingers(
      [
        [x - 10, y],
        [x + 10, y],
      ],
      [
        [x + 10, y - 20],
        [x + 30, y - 20],
      ],
    );
    await until(async () => (await asked(page, 2)) > 3, 'it moves');
    expect(await asked(page, 5)).toBeCloseTo(yaw, 1);
  });

  it('two apart on the time line show less of it, and one still chooses', async () => {
    await go(page, 'Takes');
    await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
    const box = (await page.locator('.open-lane > svg').boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + 80];
    const more = /zoom in|keys of/;
    expect(await page.locator('.open-lane').innerText()).toMatch(/./);
    const before = await page.evaluate(() => document.querySelector('.strip path')!.getAttribute('d'));
    await fingers(
      [
        [x - 20, y],
        [x + 20, y],
      ],
      [
        [x - 200, y],
        [x + 200, y],
      ],
    );
    await until(
      async () => (await page.evaluate(() => document.querySelector('.strip path')!.getAttribute('d'))) !== before,
      'a pinch shows less time',
    );
    expect(await page.getByRole('group', { name: /^stretch/ }).count(), String(more)).toBe(0);
    await fingers([[x - 50, y]], [[x + 50, y]]);
    await until(() => page.getByRole('group', { name: /^stretch/ }).isVisible(), 'one finger chooses a stretch');
  });
});

it('without WebGL it is drawn flat, moves and is told', async () => {
  const page = await open(browser!, served.url, {}, () => {
    const get = HTMLCanvasElement.prototype.getContext;
    HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string, ...more: unknown[]) {
      return kind.startsWith('webgl') ? null : (get as (...all: unknown[]) => unknown).call(this, kind, ...more);
    } as typeof get;
  });
  await until(() => page.locator('.scene svg').isVisible(), 'the flat picture');
  await page.keyboard.press('ArrowLeft');
  await until(async () => Math.abs(await asked(page, 5)) > 0.01, 'it moves');
  expect(await violations(page)).toEqual([]);
  await picture(page, 'hand-flat');
  expect(page.faults).toEqual([]);
  await page.context().close();
});

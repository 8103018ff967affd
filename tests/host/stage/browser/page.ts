/**
 * A real browser on a real stage: `dist/posewright.mjs stage` on a copy of the demo's folder, and Chromium without a window. What the
 * page's engine tells is overheard by wrapping Worker before the page's own script runs; the product has no door for tests.
 */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout } from 'node:timers/promises';
import axe from 'axe-core';
import { type Browser, type BrowserContextOptions, type Page, chromium } from 'playwright-core';

/** Names under which systems have it. */
const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'];

/** The browser's program; throws in words when there is none: these tests are never left out. */
function browserPath(): string {
  const found = NAMES.find((name) => !spawnSync(name, ['--version']).error);
  if (found === undefined) throw new Error('there is no Chromium on this machine: run "npm run setup"');
  return spawnSync('which', [found], { encoding: 'utf8' }).stdout.trim();
}

export const launch = (...more: string[]): Promise<Browser> =>
  chromium.launch({
    executablePath: browserPath(),
    args: ['--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', ...more],
  });

/** The server on a copy of the demo's folder. */
export interface Served {
  readonly url: string;
  readonly folder: string;
  readonly process: ChildProcess;
  close(): void;
}

export const serve = (...args: string[]): Promise<Served> => serveWith({}, ...args);

/** With these files besides, by name; one of the same name takes the place of the demo's. */
export async function serveWith(files: Readonly<Record<string, string>>, ...args: string[]): Promise<Served> {
  const folder = mkdtempSync(join(tmpdir(), 'posewright-browser-'));
  for (const name of ['night-owl.yaml', 'dusk.csv']) copyFileSync(join('host/demo', name), join(folder, name));
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
  const rig = join(folder, 'night-owl.yaml');
  const process_ = spawn(process.execPath, ['dist/posewright.mjs', 'stage', rig, ...args, '--json'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const url = await new Promise<string>((resolve, reject) => {
    process_.once('exit', () => reject(new Error('the stage has ended')));
    createInterface(process_.stdout).on('line', (line) => {
      const [, address] = /"url": "([^"]+)"/.exec(line) ?? [];
      if (address !== undefined) resolve(address);
    });
  });
  return {
    url,
    folder,
    process: process_,
    close: () => {
      process_.kill('SIGKILL');
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** What is overheard in the page. */
interface Overheard {
  engine?: Worker;
  look?: { state: string; follows: string; take_s: number | null; at_ms: number; metal: number[]; asked: number[] };
  played: Uint16Array[];
}
declare global {
  var overheard: Overheard;
}

function overhear(): void {
  globalThis.overheard = { played: [] };
  const Real = Worker;
  globalThis.Worker = class extends Real {
    constructor(url: string | URL, options?: WorkerOptions) {
      super(url, options);
      overheard.engine = this;
      this.addEventListener('message', ({ data }: MessageEvent<{ said: string; pulses: Uint16Array }>) => {
        if (data.said === 'look') overheard.look = data as never;
        if (data.said === 'played') overheard.played.push(data.pulses);
      });
    }
  };
}

const WIDE = { width: 1280, height: 800 };

/** A page on the stage, with the prop live; what the page throws fails the test that closes it. */
export async function open<T = undefined>(
  browser: Browser,
  url: string,
  options: BrowserContextOptions = {},
  before?: (argument: T) => void,
  argument?: T,
): Promise<Page & { readonly faults: string[] }> {
  const context = await browser.newContext({
    viewport: WIDE,
    deviceScaleFactor: 0.5,
    reducedMotion: 'reduce',
    ...options,
  });
  const page = await context.newPage();
  page.setDefaultTimeout(20_000);
  const faults: string[] = [];
  page.on('pageerror', (error) => faults.push(error.message));
  await page.addInitScript(overhear);
  if (before) await page.addInitScript(before as (given: unknown) => void, argument);
  await page.goto(url);
  await until(() => page.evaluate(() => overheard.look?.state === 'live'), 'the prop is live');
  return Object.assign(page, { faults });
}

/** Waits until it is so; what the status line says stands in the failure. */
export async function until(
  so: () => Promise<unknown>,
  words: string,
  for_ms = 20_000,
  say?: () => Promise<string>,
): Promise<void> {
  for (let waited_ms = 0; ; waited_ms += 50) {
    if (await so()) return;
    if (waited_ms > for_ms)
      throw new Error(`not within ${String(for_ms)} ms: ${words}${say ? `; it says: ${await say()}` : ''}`);
    await setTimeout(50);
  }
}

export const status = (page: Page): Promise<string> => page.getByRole('status').innerText();
export const says = (page: Page, words: RegExp): Promise<void> =>
  until(
    async () => words.test(await status(page)),
    `the status line says ${String(words)}`,
    20_000,
    () => status(page),
  );
export const go = (page: Page, place: string): Promise<void> =>
  page.getByRole('navigation').getByRole('button', { name: place }).click();

/** Where on the page a pointer finds the head. */
export async function headAt(page: Page): Promise<readonly [number, number]> {
  const box = (await page.locator('.room canvas').boundingBox())!;
  for (const down of [0.4, 0.35, 0.5, 0.3, 0.6])
    for (const across of [0.5, 0.45, 0.55]) {
      const [x, y] = [box.x + across * box.width, box.y + down * box.height];
      await page.mouse.move(x, y);
      if ((await page.locator('.room canvas').getAttribute('data-hold')) === 'head') return [x, y];
    }
  throw new Error('there is no head under the pointer');
}

interface Found {
  readonly violations: readonly { id: string; nodes: readonly { target: unknown; failureSummary: string }[] }[];
}

/** What axe-core finds wrong on the page as it is, one line each. */
export async function violations(page: Page): Promise<string[]> {
  await page.evaluate(axe.source);
  const { violations: found } = await page.evaluate(() =>
    (globalThis as unknown as { axe: { run: (options: object) => Promise<Found> } }).axe.run({
      resultTypes: ['violations'],
      iframes: false,
    }),
  );
  return found.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id}: ${String(target)} ${failureSummary}`),
  );
}

/** Writes a picture where POSEWRIGHT_PICTURES says; nowhere without. */
export async function picture(page: Page, name: string): Promise<void> {
  const folder = process.env['POSEWRIGHT_PICTURES'];
  if (folder === undefined) return;
  mkdirSync(folder, { recursive: true });
  await page.screenshot({ path: join(folder, `${name}.png`) });
}

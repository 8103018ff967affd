/**
 * The stage's page in a real browser, 1280 x 800, with the demo: what its own script takes of a drawn frame at rest, under a drag and
 * while a take plays; frames from a drag to the prop's change; what loads first, and when the page can be used; jaw against sound over 3 minutes. One run, no aims met or
 * missed by a test: a browser without a graphics card draws by its processor, and that is not script.
 */
import type { Page } from 'playwright-core';
import { lateFrames } from './stage-board.ts';
import { verdictOfEdit } from './stage-verdict.ts';
import { jawAgainstSound } from './stage-jaw.ts';
import { withStage } from './stage-open.ts';

const say = (line: string): boolean => process.stdout.write(`${line}\n`);
const SCENE_MS = 5000;
const JAW_S = 180;

/** What runs of the page's own script between two frames, ms, main thread and worker, by frame. */
interface Counted {
  begin: () => void;
  end: () => { main_ms: number[]; worker_ms: number[] };
  look?: { state: string; take_s: number | null; follows: string; asked: number[]; metal: number[]; at_ms: number };
  frames: number;
}
declare global {
  var counted: Counted;
}

/** In the page, before its script: frames and the engine's messages are timed from outside. */
function count(): void {
  let [main_ms, worker_ms]: [number[], number[]] = [[], []];
  let sum_ms = 0;
  const timed = (act: () => void): void => {
    const from_ms = performance.now();
    act();
    sum_ms += performance.now() - from_ms;
  };
  globalThis.counted = {
    frames: 0,
    begin: () => ([main_ms, worker_ms] = [[], []]),
    end: () => ({ main_ms, worker_ms }),
  };
  const real = requestAnimationFrame.bind(globalThis);
  const tick = (): void => {
    counted.frames++;
    main_ms.push(sum_ms);
    sum_ms = 0;
    real(tick);
  };
  real(tick);
  globalThis.requestAnimationFrame = (call) => real((now_ms) => timed(() => call(now_ms)));
  const Real = Worker;
  let asked_ms = 0;
  globalThis.Worker = class extends Real {
    override addEventListener(kind: string, listener: EventListenerOrEventListenerObject): void {
      super.addEventListener(kind, (event) => {
        const { data } = event as MessageEvent<{ said?: string }>;
        if (data?.said === 'look') {
          counted.look = data as never;
          worker_ms.push(performance.now() - asked_ms);
        }
        timed(() => (typeof listener === 'function' ? listener(event) : listener.handleEvent(event)));
      });
    }
    override postMessage(what: unknown): void {
      if ((what as { do: string }).do === 'run') asked_ms = performance.now();
      super.postMessage(what);
    }
  };
  const listen = EventTarget.prototype.addEventListener;
  EventTarget.prototype.addEventListener = function (kind, listener, options) {
    const isPointer = kind.startsWith('pointer') && typeof listener === 'function';
    const wrapped: typeof listener = isPointer
      ? function (this: EventTarget, event: Event) {
          timed(() => listener.call(this, event));
        }
      : listener;
    listen.call(this, kind, wrapped, options);
  };
}

const figures = (values: number[]): string => {
  const sorted = [...values].sort((a, b) => a - b);
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return `mean ${mean.toFixed(2)} ms, 95 % within ${(sorted[Math.floor(0.95 * sorted.length)] ?? NaN).toFixed(2)} ms`;
};

async function scene(page: Page, name: string, act: () => Promise<void>): Promise<void> {
  await page.evaluate(() => counted.begin());
  const from = await page.evaluate(() => counted.frames);
  await act();
  const { main_ms, worker_ms } = await page.evaluate(() => counted.end());
  const frames = (await page.evaluate(() => counted.frames)) - from;
  say(`  ${name}: own script of a frame ${figures(main_ms)}; engine, asked to answered, ${figures(worker_ms)}; ${String(frames)} frames`);
}

/** The head's place on the page. */
async function headAt(page: Page): Promise<readonly [number, number]> {
  for (let down = 250; down < 560; down += 30) {
    await page.mouse.move(640, down);
    if ((await page.locator('.room canvas').getAttribute('data-hold')) === 'head') return [640, down];
  }
  return [640, 400];
}

async function swing(page: Page, [x, y]: readonly [number, number]): Promise<void> {
  await page.mouse.down();
  for (let t_ms = 0; t_ms < SCENE_MS; t_ms += 50) {
    await page.mouse.move(x + 60 * Math.sin(t_ms / 400), y + 10 * Math.sin(t_ms / 300));
    await page.waitForTimeout(40);
  }
  await page.mouse.up();
}

/** Frames from a pointer's move to the first look in which the prop is told otherwise, and to the outline. */
async function framesToChange(page: Page, [x, y]: readonly [number, number]): Promise<readonly number[]> {
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.waitForTimeout(1500);
  const seen = page.evaluate(
    () =>
      new Promise<readonly number[]>((resolve) => {
        const canvas = document.querySelector('.room canvas')!;
        const paths = document.querySelectorAll('.asked-lines path');
        const outline = (): string => Array.from(paths, (path) => path.getAttribute("d")).join();
        const [lines, asked, metal] = [outline(), counted.look!.asked.join(), counted.look!.metal.map((at) => at.toFixed(4)).join()];
        const found: number[] = [NaN, NaN, NaN];
        canvas.addEventListener(
          'pointermove',
          () => {
            const from = counted.frames;
            const look = (): void => {
              const after = counted.frames - from;
              if (Number.isNaN(found[0]!) && outline() !== lines) found[0] = after;
              if (Number.isNaN(found[1]!) && counted.look!.asked.join() !== asked) found[1] = after;
              if (Number.isNaN(found[2]!) && counted.look!.metal.map((at) => at.toFixed(4)).join() !== metal) found[2] = after;
              if (found.some(Number.isNaN) && after < 120) requestAnimationFrame(look);
              else resolve(found);
            };
            requestAnimationFrame(look);
          },
          { once: true },
        );
      }),
  );
  await page.waitForTimeout(50);
  await page.mouse.move(x + 20, y);
  const found = await seen;
  await page.mouse.up();
  return found;
}

const DRAGS = 9;

/** The same of some drags, each from home: the middle one and the worst. */
async function dragFrames(page: Page): Promise<string> {
  const all: (readonly number[])[] = [];
  for (let n = 0; n < DRAGS; n++) {
    await page.keyboard.press('h');
    await page.waitForTimeout(1500);
    all.push(await framesToChange(page, await headAt(page)));
  }
  return ['outline', 'controller told', 'metal moves']
    .map((what, k) => {
      const frames = all.map((one) => one[k]!).sort((a, b) => a - b);
      return `${what} after ${String(frames[DRAGS >> 1])}, at worst ${String(Math.max(...frames))}`;
    })
    .join('; ');
}

await withStage(async ({ browser, drawnBy, url, folder }) => {
  const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
  await page.addInitScript(count);
  await page.goto(url);
  while (!(await page.evaluate(() => counted.look?.state === 'live'))) await page.waitForTimeout(20);
  const ready_s = await page.evaluate(() => performance.now() / 1000);
  const loaded = await page.evaluate(() =>
    [...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')].reduce(
      (sum, one) => sum + (one as PerformanceResourceTiming).transferSize,
      0,
    ),
  );
  say(`${drawnBy}, drawn by the processor`);
  say(`  first load ${(loaded / 1e6).toFixed(2)} MB; the prop live and the page usable after ${ready_s.toFixed(2)} s`);
  await page.waitForTimeout(1500);
  await scene(page, 'at rest', () => page.waitForTimeout(SCENE_MS));
  const head = await headAt(page);
  await scene(page, 'under a drag', () => swing(page, head));
  say(`  frames from ${String(DRAGS)} drags: ${await dragFrames(page)}`);
  await page.getByRole('navigation').getByRole('button', { name: 'Takes' }).click();
  await page.getByRole('button', { name: /^Play/ }).click();
  while (!(await page.evaluate(() => counted.look!.follows === 'take' && counted.look!.take_s! > 0.2))) await page.waitForTimeout(20);
  await scene(page, 'while a take plays', () => page.waitForTimeout(SCENE_MS));
  await page.close();
  say(`  ${await jawAgainstSound(browser, url, folder, JAW_S)}`);
});
say(`  ${await verdictOfEdit(() => performance.now())}`);
say(`  ${await lateFrames()}`);

/** The verdict beside the time line, on the demo's take that its servo cannot carry: said, opened, cured, undone; and the command line's own answers. */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Served, go, launch, open, picture, says, serve, until, violations } from './page.ts';

let browser: Browser | undefined;
let served: Served;
let page: Awaited<ReturnType<typeof open>>;
beforeAll(async () => {
  browser = await launch();
  served = await serve('dusk.csv');
  page = await open(browser, served.url);
  await go(page, 'Takes');
  await until(() => page.getByText('Takes: dusk').isVisible(), 'the take is open');
  await page.getByRole('button', { name: /^open Nod/ }).click();
});
afterAll(async () => {
  await browser?.close();
  served.close();
});

/** The four questions as the page answers them once it has judged: question, word and sentence. */
async function judged(on = page): Promise<string[]> {
  await until(() => on.locator('ul.questions[aria-busy=false]').isVisible(), 'the take is judged');
  return on
    .locator('.questions > li')
    .evaluateAll((all) =>
      all.map((one) =>
        [one.querySelector('button')!, one.querySelector('.because')!].map((part) => part.textContent).join(' '),
      ),
    );
}

/** The same, as the command line answers them of the take as it is saved. */
async function told(): Promise<string[]> {
  await until(() => page.getByText('saved', { exact: true }).isVisible(), 'it is saved');
  const stream = join(served.folder, 'dusk.csv');
  const args = ['dist/posewright.mjs', 'why', join(served.folder, 'night-owl.yaml'), stream, '--json'];
  const { stdout } = spawnSync(process.execPath, args, { encoding: 'utf8' });
  const { answers } = JSON.parse(stdout) as { answers: { question: string; verdict: string; because: string }[] };
  return answers.map(({ question, verdict, because }) =>
    [question, verdict === 'still' ? 'nothing moves' : verdict, because.replaceAll(stream, 'dusk')].join(' '),
  );
}

/** The same words, and time without torque to 2 ms: the page's replay starts at another part of a tick than the command line's. */
function expectAlike(here: readonly string[], there: readonly string[]): void {
  const lacking = /torque for (\d+) ms/;
  const rest = (lines: readonly string[]): string[] => lines.map((line) => line.replace(lacking, ''));
  expect(rest(here)).toEqual(rest(there));
  const [a, b] = [here, there].map((lines) => Number(lacking.exec(lines.join(' '))?.[1] ?? 0));
  expect(Math.abs(a! - b!)).toBeLessThanOrEqual(2);
}

/** The sentences of the open lane's gaps. */
const gaps = (): Promise<string[]> =>
  page
    .getByRole('group', { name: 'where it is not followed' })
    .getByRole('button', { expanded: false })
    .evaluateAll((all) => all.map((button) => (button as HTMLElement).title));
const short = async (): Promise<string[]> =>
  (await gaps()).filter((words) => / short\b|faster than its servo can go/.test(words));

it('the four questions are answered of a saved take as the command line answers them', async () => {
  // Opened, it is drawn anew through its keys; once it is changed and saved, the file holds just that.
  await page.getByRole('button', { name: /^Mark/ }).click();
  const here = await judged();
  expect(here).toHaveLength(4);
  expectAlike(here, await told());
  expect(here[1]).toMatch(/^Can it carry it\? no /);
});

it('the words of gaps that lie close together do not lie on one another, wide or narrow', async () => {
  for (const viewport of [
    { width: 390, height: 844 },
    { width: 1280, height: 800 },
  ]) {
    await page.setViewportSize(viewport);
    const boxes = await page
      .locator('.gap-words > button')
      .evaluateAll((all) => all.map((one) => one.getBoundingClientRect().toJSON() as DOMRect));
    expect(boxes.length).toBeGreaterThan(2);
    for (const [k, a] of boxes.entries())
      for (const b of boxes.slice(k + 1))
        expect(a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top).toBe(true);
    expect(Math.max(...boxes.map(({ right }) => right))).toBeLessThanOrEqual(viewport.width);
    await picture(page, `takes-gaps-${String(viewport.width)}`);
  }
});

it('gaps are named by their cause, and one that is pressed says its sentence and what is offered', async () => {
  expect((await short()).length).toBeGreaterThan(0);
  const hatched = page.locator('.open-lane path[fill="url(#gap-torque)"]').first();
  expect(await hatched.evaluate((path) => getComputedStyle(path).fill), 'it is painted').toMatch(/gap-torque/);
  const [sentence] = await short();
  const gap = page.getByTitle(sentence!);
  expect(await gap.innerText()).toMatch(/^torque/);
  await gap.click();
  expect(await page.locator('.fixes > p').innerText()).toBe(`${sentence!}.`);
  expect(await page.locator('.fixes > button').allInnerTexts()).toEqual([
    'Until it follows',
    'Retime',
    'Soften',
    'Smaller',
    'Smooth',
  ]);
  await picture(page, 'takes-gap-wide');
});

it('Retime shows before and after; once taken, no servo lacks torque for the take, and undo brings all back', async () => {
  const [before, was] = [await judged(), await gaps()];
  await page.getByRole('button', { name: 'Retime' }).click();
  const tried = page.getByRole('group', { name: 'what Retime comes to' });
  await until(() => tried.getByRole('button', { name: 'Take it' }).isVisible(), 'it has been tried');
  expect(await tried.locator('p').innerText()).toMatch(
    /^Retime: .*\. Before: 20\.0 s, at worst \d{3} % of a servo’s torque\. After: 2\d\.\d s, at worst \d\d % of a/,
  );
  await picture(page, 'takes-retime-tried-wide');
  await tried.getByRole('button', { name: 'Take it' }).click();
  await says(page, /Retime: done, and undone by undo/);
  const after = await judged();
  expect(after.map((words) => words.split('?')[1]!.split(' ')[1])).toEqual(['yes', 'yes', 'yes', expect.anything()]);
  expectAlike(after, await told());
  expect(await short()).toEqual([]);
  await picture(page, 'takes-retimed-wide');
  await page.keyboard.press('Control+z');
  expect(await judged()).toEqual(before);
  expect((await gaps()).sort()).toEqual(was.sort());
});

it('“Until it follows” ends with four times yes', async () => {
  const was = await gaps();
  const again = page.getByRole('group', { name: 'where it is not followed' }).getByRole('button').first();
  if ((await again.getAttribute('aria-expanded')) !== 'true') await again.click();
  await page.getByRole('button', { name: 'Until it follows' }).click();
  await page.getByRole('button', { name: 'Take it' }).click();
  await says(page, /Until it follows: done/);
  await until(async () => (await judged()).every((words) => /\? yes/.test(words)), 'it is yes four times');
  await picture(page, 'takes-followed-wide');
  await page.keyboard.press('Control+z');
  await until(async () => (await gaps()).sort().join() === was.sort().join(), 'undo brings all back');
});

it('an edit is judged anew', async () => {
  const before = await judged();
  await page.getByRole('group', { name: /^time line/ }).focus();
  await page.keyboard.press('Home');
  await page.keyboard.press('Shift+End');
  await page.keyboard.press('h');
  await until(async () => (await judged()).join() !== before.join(), 'the answers are others');
});

describe('what a screen reader’s rules find', () => {
  it.each(['light', 'dark'] as const)(
    'nothing in Effort, in Workshop, and with a gap open, %s',
    async (colorScheme) => {
      await page.emulateMedia({ colorScheme });
      const found = new Map<string, string[]>();
      for (const place of ['Effort', 'Workshop', 'Takes']) {
        await go(page, place);
        await judged();
        if (place === 'Takes')
          await page.getByRole('group', { name: 'where it is not followed' }).getByRole('button').first().click();
        found.set(place, await violations(page));
        await picture(page, `${place.toLowerCase()}-judged-wide-${colorScheme}`);
      }
      expect(Object.fromEntries(found)).toEqual({ Effort: [], Workshop: [], Takes: [] });
      expect(page.faults).toEqual([]);
    },
  );
});

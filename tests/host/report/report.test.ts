/** The report as a document: whole, self-contained, every figure with its unit, and in the words of the verdict. */
import { describe, expect, it } from 'vitest';
import { renderReport } from '../../../host/report/report.ts';
import type { Replay } from '../../../host/replay/result.ts';
import { willItBeSmooth } from '../../../host/replay/verdict.ts';
import { replayOf, rig, roughReplay } from './fixture.ts';

const VOID = new Set(['meta', 'br', 'hr', 'link', 'img', 'input']);

/** Names of elements that are opened and closed in another order, or never closed. */
function misnested(html: string): string[] {
  const open: string[] = [];
  const wrong: string[] = [];
  for (const [, close, name, , self] of html.matchAll(/<(\/?)([a-zA-Z][\w-]*)((?:"[^"]*"|'[^']*'|[^>"'])*?)(\/?)>/g)) {
    if (!name || VOID.has(name) || self) continue;
    if (!close) open.push(name);
    else if (open.pop() !== name) wrong.push(name);
  }
  return [...wrong, ...open];
}

describe.each([
  ['a replay that follows', (): Replay => replayOf(0.7)],
  ['a replay that does not', (): Replay => roughReplay()],
])('%s', (_, make) => {
  const replay = make();
  const html = renderReport(rig, replay);

  it('is one well-nested page below 600 kB that asks for nothing from outside', () => {
    expect(misnested(html)).toEqual([]);
    expect(html.length).toBeLessThan(600_000);
    expect(html).not.toMatch(/<script|<iframe|src=|url\(|@import|href="(?!#)/);
    expect(html.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:/);
  });

  it('begins with the two questions, then the worst instant, then the joints', () => {
    const places = [
      'Can it get there?',
      'Will it be smooth?',
      'The worst instant',
      'The joints beside their limits',
    ].map((words) => html.indexOf(words));
    expect(places.every((at) => at > 0)).toBe(true);
    expect(places).toEqual([...places].sort((a, b) => a - b));
  });

  it('says the verdict of the command line', () => {
    expect(html).toContain(willItBeSmooth(replay.answer).word);
  });

  it('says what it was proven on and how to keep fingers', () => {
    expect(html).toContain('never on silicon');
    expect(html).toMatch(/power\s+cut-off/);
    expect(html).toContain('software is no safety device');
    expect(html).not.toMatch(/emergency stop/i);
  });

  it('shows no figure that is no number', () => {
    expect(html).not.toMatch(/NaN|Infinity|undefined/);
  });
});

it('marks what stops a pose with a ring and words', () => {
  const html = renderReport(rig, roughReplay());
  expect(html).toContain('class="ring"');
});

it('escapes what came from files', () => {
  const replay = replayOf(0.7);
  const html = renderReport(
    { ...rig, name: '<b>owl</b>' },
    { ...replay, answer: { ...replay.answer, rig: '<b>owl</b>', stream: '"><i>' } },
  );
  expect(html).not.toContain('<b>owl');
  expect(html).not.toContain('"><i>');
});

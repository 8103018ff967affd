/** The page of tuning: whole, both charts at one scale, and figures that agree with the answer. */
import { beforeAll, describe, expect, it } from 'vitest';
import { renderTuneReport } from '../../../host/report/tune-report.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { showTuned } from '../../../host/tune/shown.ts';
import type { TuneAnswer } from '../../../host/tune/result.ts';
import { tune } from '../../../host/tune/tune.ts';
import { cureFor } from '../../../host/tune/wobble.ts';
import { type TriedCure, tryWobble } from '../../../host/tune/wobble-trial.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { WASM } from '../../assembly/prop.ts';
import { stream } from '../cli/fixture.ts';
import { SICK, axisText, rigIn } from '../tune/axes.ts';
import { faultsOf, textOf } from './whole.ts';

const target = simTarget({ wasm: WASM });

interface Page {
  readonly html: string;
  readonly answer: TuneAnswer;
}

async function pageOf(rig: Rig, text: string | null = null, wobble: TriedCure | null = null): Promise<Page> {
  const show = text === null ? null : { source: [new TextEncoder().encode(text)], name: 'shows/<first>.csv' };
  const tuned = await tune(rig, target, { faster: false, stream: show });
  const shown = await showTuned(rig, tuned, target, show);
  return { html: renderTuneReport(rig, { answer: tuned.answer, shown, wobble }), answer: tuned.answer };
}

async function cured(rig: Rig): Promise<TriedCure> {
  const cure = cureFor(rig, { from: 'swings', swings: 8, hz: 3, hz_within: 0.1, damping: 0.02, damping_within: 0.005 });
  if ('problem' in cure) throw new Error(cure.problem);
  return { cure, tried: await tryWobble(rig, cure, target) };
}

const sick = SICK['a direct drive']!;
const direct = rigIn(axisText(sick));
/** The same with its load as a part in space. */
const placed = rigIn(
  axisText(sick)
    .replace(/ {4}load: .*\n/, '    axis: { at_mm: [0, 0, 0], along: [0, -1, 0] }\n')
    .replace(
      'joints:\n',
      'parts:\n  - { name: head, on: tilt, mass_kg: 0.9, at_mm: [120, 0, 0], shape: { ellipsoid: { radii_mm: [60, 50, 50] } } }\njoints:\n',
    ),
);
const heavy = rigIn(axisText({ ...SICK['a small servo at 3:1']!, ratio: 1 }));
const well = rigIn(axisText({ ...sick, accel: '60', speed_deg_s: 20 }));
const unknown = rigIn(axisText(sick).replace(/stall_torque_nm: \S+/, 'stall_torque_nm: unknown'));
const swing = stream(2, { tilt_deg: (t) => 20 * Math.sin(9 * t) * Math.min(1, t) });

const pages = new Map<string, Page>();
beforeAll(async () => {
  pages.set('an axis', await pageOf(direct));
  pages.set('an axis along a stream', await pageOf(direct, swing));
  pages.set('a head in space, and its wobble', await pageOf(placed, null, await cured(placed)));
  pages.set('one that no limits help', await pageOf(heavy));
  pages.set('one that is well', await pageOf(well));
  pages.set('figures that are unknown', await pageOf(unknown, null, await cured(unknown)));
}, 120_000);
const page = (name: string): Page => pages.get(name)!;

describe.each([
  'an axis',
  'an axis along a stream',
  'a head in space, and its wobble',
  'one that no limits help',
  'one that is well',
  'figures that are unknown',
])('the page of %s', (name) => {
  it('stands alone, well nested, without a script or a figure that is none', () => {
    expect(faultsOf(page(name).html)).toEqual([]);
  });

  it('has its verdict, every joint’s limits with their unit, what bounds it, and how to keep fingers', () => {
    const { html, answer } = page(name);
    const words = textOf(html);
    for (const part of ['Does every servo keep up now?', 'What limits each', 'Keep hands clear', 'Plus and minus: '])
      expect(words).toContain(part);
    for (const { bound_by } of answer.joints) expect(words).toContain(bound_by.slice(1, 40));
    const table = html.slice(html.indexOf('<table'), html.indexOf('</table>'));
    for (const [, cell = ''] of table.matchAll(/<span class="value">([^]*?)<\/span><\/td>/g))
      if (/\d/.test(cell)) expect(textOf(cell)).toMatch(/\d (?:deg\/s²?|s|ms|deg)\s*$/);
  });
});

/** Heights of a chart's lines, px: lower is more. */
function chartOf(html: string, title: string): { needed: number[]; has: number[]; hatched: string; ticks: string } {
  const at = html.indexOf(`aria-label="${title}`);
  const svg = html.slice(at, html.indexOf('</svg>', at));
  const heights = (kind: string): number[] => {
    const [, d = ''] = new RegExp(`class="${kind}" d="([^"]*)"`).exec(svg)!;
    return [...d.matchAll(/[ML][\d.]+,([\d.]+)/g)].map(([, y]) => Number(y));
  };
  const [, hatched = ''] = /<path fill="url[^"]*" d="([^"]*)"/.exec(svg)!;
  return {
    needed: heights('needed'),
    has: heights('has'),
    hatched,
    ticks: [...svg.matchAll(/text-anchor="end">([^<]*)</g)].map(([, t]) => t).join(),
  };
}

describe('torque', () => {
  it('before and after at one scale: short before, and nowhere after', () => {
    const { html } = page('an axis');
    const [before, after] = [chartOf(html, 'tilt before'), chartOf(html, 'tilt after')];
    expect(before.ticks).toBe(after.ticks);
    const isShort = ({ needed, has }: typeof before): boolean => has.some((y, k) => needed[k]! < y - 0.5);
    expect([isShort(before), isShort(after)]).toEqual([true, false]);
  });

  it('tells the same milliseconds as the table, of what was played', () => {
    const words = textOf(page('an axis').html);
    const { before } = page('an axis').answer.joints[0]!;
    const [, ms] = /Before: out of torque for (\d+) ms/.exec(words)!;
    expect(Math.abs(Number(ms) - before!.saturated_ms)).toBeLessThan(1);
    expect(words).toMatch(/After: out of torque for 0 ms/);
    expect(words).toContain('Played: tilt from one soft limit to the other and back');
    expect(textOf(page('an axis along a stream').html)).toContain('Played: &lt;first&gt;.csv');
  });

  it('is one chart where nothing was changed, and none where nothing is short', () => {
    const stuck = page('one that no limits help').html;
    expect(stuck).toContain('aria-label="tilt as it is');
    expect(stuck).not.toContain('aria-label="tilt after');
    expect(textOf(stuck)).toMatch(/What helps .*a counterweight of/);
    expect(page('one that is well').html).not.toContain('id="torque"');
    expect(page('figures that are unknown').html).not.toContain('id="torque"');
  });
});

it('the prop is drawn where it was shortest, when it has a place in space', () => {
  const { html } = page('a head in space, and its wobble');
  expect(/<section id="worst">[^]*?<\/section>/.exec(html)![0]).toMatch(/<ellipse class="part"[^]*class="ring"/);
  expect(textOf(html)).toMatch(/tilt needs [\d.]+ N·m, 1\d\d % of what its servo has/);
  expect(page('an axis').html).not.toContain('id="worst"');
});

describe('the wobble', () => {
  it('before and after: the same figures in words and on the charts, at one scale', () => {
    const { html } = page('a head in space, and its wobble');
    const section = /<section id="wobble">[^]*?<\/section>/.exec(html)![0];
    const [, before, after] = /keeps swinging by ±([\d.]+) deg .* with the cure by ±([\d.]+) deg/.exec(
      textOf(section),
    )!;
    expect(Number(after)).toBeLessThan(0.05 * Number(before));
    expect(textOf(section)).toMatch(new RegExp(`left: ${before!} deg .*left: ${after!} deg`));
    const ticks = [...section.matchAll(/<svg class="chart"[^]*?<\/svg>/g)].map(([svg]) =>
      [...svg.matchAll(/text-anchor="end">([^<]*)</g)]
        .slice(1)
        .map(([, t]) => t)
        .join(),
    );
    expect(ticks).toHaveLength(2);
    expect(ticks[0]).toBe(ticks[1]);
  });

  it('that cannot be tried is words, without charts', () => {
    const section = /<section id="wobble">[^]*?<\/section>/.exec(page('figures that are unknown').html)![0];
    expect(textOf(section)).toContain('could not be tried in simulation');
    expect(section).not.toContain('<svg');
  });

  it('is left out without a cure', () => {
    expect(page('an axis').html).not.toContain('id="wobble"');
  });
});

it('tells figures of one run from those of all that was tried', () => {
  const text = textOf(pages.get('an axis along a stream')!.html);
  expect(text).toMatch(/Played: &lt;first&gt;\.csv\. .* for this run only. Before: out of torque for /);
  expect(text).toMatch(/Tried with each joint .*&lt;first&gt;\.csv.*; the figures are the worst of these\./);
});

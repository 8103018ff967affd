import { describe, expect, test } from 'vitest';
import { type ReachOptions, reach } from '../../../host/reach/reach.ts';
import { renderReachReport } from '../../../host/report/reach-report.ts';
import { HOME, type Pose, type Rig, toRad } from '../../../host/rig/rig.ts';
import { LINEAR, OWL, rigOf, swap } from '../rig/owl.ts';

const ALL: ReachOptions = {
  at: HOME,
  planes: [
    [5, 4],
    [0, 2],
  ],
  box: [{ axis: 0, from: -30, to: 30 }],
  samples: 500,
  seed: 1,
  sensitivity: true,
};
const page = (rig: Rig, at: Pose = HOME): string => renderReachReport(rig, at, reach(rig, { ...ALL, at }));
const linear = (half_deg: number): Rig =>
  rigOf(swap(LINEAR, ['home_z_mm: 250', 'home_z_mm: 290'], ['half_angle_deg: 50', `half_angle_deg: ${half_deg}`]));

const RIGS: readonly (readonly [string, string])[] = [
  ['a platform on its side', page(rigOf(OWL))],
  ['the same from a pose', page(rigOf(OWL), [2, 0, 3, 0, toRad(-3), 0])],
  ['actuators', page(linear(50))],
  ['a home that hangs loose', page(linear(10))],
];
const owl = RIGS[0]![1];
const text = (html: string): string =>
  html
    .replace(/<style>[^]*?<\/style>/, '')
    .replace(/<[^>]+>/g, ' ')
    .replace(/[ \n]+/g, ' ');

describe.each(RIGS)('the page of %s', (_, html) => {
  test('stands alone: no script, nothing fetched, nothing undefined', () => {
    expect(html).not.toMatch(/<script|<link|@import|https?:|src=/);
    expect(html).not.toMatch(/NaN|Infinity|undefined|\[object/);
    for (const [, url] of html.matchAll(/url\(([^)]*)\)/g)) expect(url).toMatch(/^#/);
  });

  test('every id it refers to is there once', () => {
    for (const [, id] of html.matchAll(/url\(#([^)]*)\)/g)) expect(html.split(`id="${id}"`)).toHaveLength(2);
  });

  test('twelve ends, two maps, the safety words', () => {
    expect(html.match(/<figure class="end">/g)).toHaveLength(12);
    expect(html.match(/class="chart plane"/g)).toHaveLength(2);
    expect(html).toMatch(/Keep hands clear/);
  });
});

test('each end rings what stops it and draws that leg as blocking', () => {
  expect(owl.match(/<circle class="ring"/g)).toHaveLength(12);
  for (const [group] of owl.matchAll(/<g class="now blocking">[^]*?<\/g>/g)) {
    expect(group).toMatch(/class="crank/);
    expect(group).toMatch(/class="rod/);
  }
});

test('figures carry their units, and travel stands beside what stops it', () => {
  expect(text(owl)).toMatch(/yaw −[\d.]+\u00a0deg turns right leg\d’s rod end/);
  expect(text(owl)).toMatch(/yaw, deg/);
  expect(text(owl)).toMatch(/x, mm/);
});

test('a map draws the edge of what is in reach and hatches what stops it by cause', () => {
  const map = /<svg class="chart plane"[^]*?<\/svg>/.exec(owl)![0];
  for (const kind of ['stops-rod"', 'stops-limit"', 'stops-rod_end"', 'in-reach"', 'name-of-stop"'])
    expect(map).toContain(`class="${kind}`);
});

test('what the answer does not hold has no section', () => {
  const rig = rigOf(OWL);
  const plain = renderReachReport(rig, HOME, reach(rig, { ...ALL, planes: [], box: null, sensitivity: false }));
  expect(plain).not.toMatch(/id="maps"|id="further"|Can it get there/);
  expect(plain).toMatch(/id="travel"/);
});

test('a rig’s name is text, whatever it holds', () => {
  const html = page(rigOf(swap(OWL, ['rig: test-owl', `rig: ${JSON.stringify('<b>&"owl"')}`])));
  expect(html).toContain('&lt;b&gt;&amp;&quot;owl&quot;');
  expect(html).not.toContain('<b>&');
});

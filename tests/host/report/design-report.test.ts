import { describe, expect, it } from 'vitest';
import type { Answer } from '../../../host/design/answer.ts';
import { designOf } from '../../../host/design/design.ts';
import { judge } from '../../../host/design/judge.ts';
import { describeProblem, subjectOf } from '../../../host/design/problem-of.ts';
import { rigOf } from '../../../host/design/rig-of.ts';
import { renderDesignReport } from '../../../host/report/design-report.ts';
import { NECK, wantOf } from '../design/want/wants.ts';

const want = wantOf(
  NECK.replace('height_mm: 130', 'height_mm: 190')
    .replace('roll_deg: 15', 'roll_deg: 12')
    .replace('[-12, 9]', '[-9, 6]')
    .replace(/axes:\n.*\n/, ''),
);
const design = { ...designOf(want.base), home_z_mm: null, servo: 1 };
const judged = judge(want, design, rigOf(want, design, 'owl')!);
if ('refused' in judged) throw new Error(judged.refused);
const one = {
  file: '1-smallest.yaml',
  name: 'owl-1',
  why: 'smallest',
  balanced: true,
  binds: ['stock.rod_mm: 90 mm, the least there is'],
  design,
  judged,
  objectives: [-1.2, 0.4, 120, 2000],
  robust: 0.97,
  travel_share: 1.2,
  least_axis: 'yaw',
  volume_cm3: 2000,
};
const answer: Answer = {
  subject: subjectOf(describeProblem(want)),
  front: {
    shown: [one, { ...one, file: '2-cheapest.yaml', why: 'cheapest that holds', objectives: [-1.5, 0.5, 72, 2500] }],
    before_nm: {},
    dropped: [{ because: 'load: holding takes more than 50 %', designs: 2 }],
  },
  relaxed: [],
  nearest: [],
  evaluated: 18_000,
  feasible: 900,
  late: false,
  few: false,
  complete: true,
  missing: [],
  seed: 1,
};

describe('the page of designs', () => {
  const page = renderDesignReport(answer);

  it('has a row for each, led by its drawing, and figures with units', () => {
    expect(page.match(/aria-label="Design \d from above at home"/g)).toHaveLength(2);
    expect(page).toContain('1 Smallest');
    expect(page).toMatch(/140\u00a0mm\u00a0wide/);
    expect(page).toMatch(/As built 97\u00a0%: drill closer than 0\.5\u00a0mm/);
  });

  it('links the rig files, and says what to buy, the cylinder, and what the margins are', () => {
    expect(page).toContain('<a href="1-smallest.yaml">');
    expect(page).toMatch(/cranks 22\u00a0mm.*rods 120\u00a0mm.*6\u00a0×\u00a0neck/s);
    expect(page).toMatch(/2000\u00a0cm³/);
    expect(page).toMatch(/with 10\u00a0% more weight and 10\u00a0% less voltage/);
  });

  it('lets no figure of the chart cover another: each design has its column', () => {
    const narrow = /<figure class="narrow">(.*?)<\/figure>/s.exec(page)![1]!;
    const values = [...narrow.matchAll(/<text class="value" x="([\d.]+)"/g)].map(([, x]) => Number(x));
    expect(values).toHaveLength(2 * answer.subject.want.better.length);
    expect(new Set(values).size).toBe(2);
  });

  it('has one figure of torque in table and chart, with its joint and its place', () => {
    const { use, joint, where } = judged.torque_used;
    expect(judged.use).toBeNull();
    expect(use).toBe(judged.hold_use);
    const told = `${String(Math.round(100 * use))}\u00a0%`;
    const cell = /<span class="head">torque used<\/span>(.*?)<\/td>/s.exec(page)![1]!;
    expect(cell).toContain(told);
    expect(cell.replaceAll('\u00a0', ' ').replaceAll('\u2212', '-')).toContain(`to hold: ${joint}, ${where}`);
  });

  it('draws all at one scale: the same rig twice is the same drawing', () => {
    const [first, second] = [...page.matchAll(/from above at home">(.*?)<\/svg>/gs)].map(([, inner]) => inner);
    expect(first).toBe(second);
    // The arrow of x, to the right.
    expect(first).toMatch(/h22m-5 -3l5 3l-5 3/);
    expect(first).toMatch(/>x<\/text>/);
  });

  it('ends with how they trade off, and says what was calculated and dropped', () => {
    expect(page.indexOf('Trade-offs')).toBeGreaterThan(page.indexOf('The designs'));
    expect(page).toContain('nothing here has run on a real prop');
    expect(page).toContain('2 designs dropped by check, reach or load: load: holding takes more than 50');
    expect(page).not.toContain('<script');
  });

  it('says which wish to relax where no design is left', () => {
    const relaxed = {
      wish: 'must.yaw_deg',
      unit: 'deg',
      asked: 30,
      possible: 24,
      by: 0.2,
      words: 'must.yaw_deg: 24 deg instead of 30 deg',
      design,
    };
    const lost = renderDesignReport({
      ...answer,
      front: { shown: [], dropped: [], before_nm: {} },
      relaxed: [relaxed],
    });
    expect(lost).toMatch(/must\.yaw_deg: 24\u00a0deg instead of 30\u00a0deg \(20\u00a0%\)/);
    expect(lost).toContain('all others, unless named beside it, stay as asked');
  });

  it('where check, reach or load refuse all that was found, or a shard is missing, no wish is blamed and no stop told', () => {
    const none: Answer = { ...answer, front: { shown: [], dropped: answer.front.dropped, before_nm: {} } };
    const dropped = renderDesignReport(none);
    expect(dropped).toContain('By the figures of the search some did, but check, reach or load refuse each of them:');
    expect(dropped).not.toContain('No single wish');
    const merged = renderDesignReport({
      ...none,
      front: { ...none.front, dropped: [] },
      nearest: ['firm.hold_use: 0.6 instead of 0.5'],
      complete: false,
      missing: ['shard 2 of 2 is not here'],
    });
    expect(merged).toContain('Shards are missing');
    expect(merged).toContain('Not all that was planned: shard 2 of 2 is not here.');
    expect(merged).not.toContain('It was stopped');
  });
});

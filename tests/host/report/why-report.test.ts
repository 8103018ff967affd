/** The page of `why`: whole, in the words of the command, with the torque before and after at one scale, hatched where it is short. */
import { beforeAll, describe, expect, it } from 'vitest';
import { renderWhy } from '../../../host/report/why-report.ts';
import { SYMPTOMS } from '../../../host/why/result.ts';
import { type Looked, type Reasoned, tell } from '../../../host/why/why.ts';
import { trialWords } from '../../../host/why/words.ts';
import { TILT } from '../load/rigs.ts';
import { OWL, QUICK_NOD, edit, lookedInto } from '../why/rigs.ts';
import { faultsOf, textOf } from './whole.ts';

const render = ({ facts }: Looked, told: Reasoned): string => renderWhy(facts.rig, told);
const plain = (words: string): string => words.replace(/\s+/g, ' ').replaceAll('-', '−');

/** The words of the page, as a reader sees them. */
const wordsOf = (html: string): string =>
  plain(textOf(html).replaceAll('&quot;', '"').replaceAll('&#39;', "'").replaceAll('&amp;', '&'));

describe('the demo, as its nod is out of torque', () => {
  let looked: Looked;
  let told: Reasoned;
  let page: string;
  beforeAll(async () => {
    looked = await lookedInto(OWL, QUICK_NOD);
    told = await tell(looked, null);
    page = render(looked, told);
  }, 60_000);

  it.each(SYMPTOMS)(
    'is a whole page for every symptom: %s',
    async (symptom) => {
      const other = await tell(looked, symptom);
      const html = render(looked, other);
      expect(faultsOf(html)).toEqual([]);
      const text = wordsOf(html);
      for (const { title, because, test, cure, cost } of other.why.causes)
        for (const said of [title, because, test, cure, cost]) expect(text).toContain(plain(said));
    },
    60_000,
  );

  it('has the four answers, then the worst instant, the torque, the causes, and what it rests on', () => {
    const ids = ['verdict', 'worst', 'torque', 'causes', 'rests'].map((id) => page.indexOf(` id="${id}"`));
    expect(ids).toEqual([...ids].sort((a, b) => a - b));
    expect(ids.every((at) => at > 0)).toBe(true);
    const text = wordsOf(page);
    for (const { question, because } of told.why.answers) {
      expect(text).toContain(question);
      expect(text).toContain(plain(because));
    }
    for (const words of told.why.rests_on) expect(text).toContain(plain(words));
    expect(text).toContain(plain(told.why.measure_first!));
    expect(text).toMatch(/real power cut−off/);
  });

  it('draws the torque of the joint that is short, before and after at one scale', () => {
    const charts = [...page.matchAll(/<div class="wide">\s*(<svg class="chart torque"[^]*?<\/svg>)/g)].map(
      ([, svg]) => svg!,
    );
    expect(charts.map((svg) => /aria-label="([^"]*)"/.exec(svg)?.[1])).toEqual([
      'nod before: torque needed and available in N·m',
      'nod after: torque needed and available in N·m',
    ]);
    const scales = charts.map((svg) => [...svg.matchAll(/class="grid" d="M[\d.]+ ([\d.]+)H/g)].map(([, y]) => y));
    expect(scales[0]!.length).toBeGreaterThan(1);
    expect(scales[1]).toEqual(scales[0]);
    const { before, after } = told.why.causes[0]!;
    expect(textOf(page)).toContain(`Before: ${trialWords(told.why.causes[0]!, before!)}.`);
    expect(textOf(page)).toContain(`After: ${trialWords(told.why.causes[0]!, after!)}.`);
  });

  it('hatches where it is short, and nothing after the cure', () => {
    /** Heights of what is hatched: pairs of the torque needed and the torque there, px. */
    const hatched = [...page.matchAll(/fill="url\(#(before|after)-620\)" d="([^"]*)"/g)].map(([, id, d]) => {
      const ys = [...d!.matchAll(/[ML][\d.]+,([\d.]+)/g)].map(([, y]) => Number(y));
      const upper = ys.slice(0, ys.length / 2);
      const lower = ys.slice(ys.length / 2).reverse();
      return { id, points: upper.length, most: Math.max(...upper.map((y, i) => Math.abs(lower[i]! - y))) };
    });
    expect(hatched.map(({ id }) => id)).toEqual(['before', 'after']);
    expect(hatched[0]!.points).toBeGreaterThan(20);
    expect(hatched[0]!.most).toBeGreaterThan(5);
    expect(hatched[1]!.most).toBeLessThan(0.2);
  });

  it('draws what is short where no cure can be tried', async () => {
    const other = await lookedInto(edit(TILT, ['mass_kg: 0.9', 'mass_kg: 15']), 't_s,nod_deg\n0,0\n0.1,1\n');
    const html = render(other, await tell(other, null));
    expect(faultsOf(html)).toEqual([]);
    expect(textOf(html)).toContain('no fix that the simulation could try');
    expect(html.match(/fill="url\(#before-\d+\)" d="M/g)).toHaveLength(2);
    expect(html).not.toContain('id="after-');
  });

  it('marks what is not known as that', async () => {
    const other = await lookedInto(edit(TILT, ['mass_kg: 0.9', 'mass_kg: unknown']), 't_s,nod_deg\n0,0\n0.1,1\n');
    const html = render(other, await tell(other, null));
    expect(faultsOf(html)).toEqual([]);
    expect(textOf(html)).toContain('Can it carry it? unknown Along show.csv');
    expect(html).not.toContain('id="torque"');
  });
});
